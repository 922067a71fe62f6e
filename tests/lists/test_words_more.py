"""Two types in one cell, and wants that the keeper leaves out. Common practice, no source."""

import pytest
from django.urls import reverse

from inventory.holdings.models import PartLot, Tube
from inventory.lists.actions.answers import answer_held
from inventory.lists.rules.rows import HELD, NOT_AN_ITEM, REFUSED
from tests.lists.importing_lists import take

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


# --- two types in one cell -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cell", "one", "other"),
    [
        ("6SN7 + 6SL7", "6SN7", "6SL7"),
        ("6SN7+6SL7", "6SN7", "6SL7"),
        ("6SN7, 6SL7", "6SN7", "6SL7"),
        ("6SN7 and 6SL7", "6SN7", "6SL7"),
        ("6SN7 or 6SL7", "6SN7", "6SL7"),
        ("6SN7 & 6SL7", "6SN7", "6SL7"),
        ("6SN7 und 6SL7", "6SN7", "6SL7"),
        ("6SN7 oder 6SL7", "6SN7", "6SL7"),
        ("6SN7 et 6SL7", "6SN7", "6SL7"),
        ("6SN7 ou 6SL7", "6SN7", "6SL7"),
        ("6SN7 + 6SL7GT", "6SN7", "6SL7GT"),  # else all were written as the one that is known
        ("2x 6SN7, 3x 6SL7", "6SN7", "6SL7"),
        ("12AX and 12AU", "12AX", "12AU"),
        ("6SN7 + 807", "6SN7", "807"),
        ("6SN7 + 6SXZ9", "6SN7", "6SXZ9"),
        ("QX099 + QX134", "QX099", "QX134"),  # in no table
    ],
)
def test_two_beginnings_in_one_cell_are_refused(cell, one, other, keeper):
    _, (row,) = take(f'Tube,Qty\n"{cell}",4\n', by=keeper)
    assert row["outcome"] == REFUSED and not Tube.objects.exists()
    told = row["remarks"][-1]
    assert told["reason"] == f"two types in one cell: {one} and {other}"
    assert (told["column"], told["found"]) == ("Tube", cell)


@pytest.mark.parametrize(
    ("cell", "name"),
    [
        ("JAN-CHS-6SN7GT", "6SN7GT"),
        ("VT-231 / 6SN7GT", "6SN7GT"),
        ("5U4G, NOS", "5U4G"),
        ("807 and base adapter", "807"),
        ("6SN7GT, box 3B", "6SN7GT"),
        ("6SN7GT, A12", "6SN7GT"),
        ("6SN7GT, 1944", "6SN7GT"),
    ],
)
def test_one_type_with_words_beside_it_is_written(cell, name, keeper):
    take(f'Tube,Qty\n"{cell}",2\n', by=keeper)
    assert [tube.type.name for tube in Tube.objects.all()] == [name, name]


@pytest.mark.parametrize("cell", ["6SN7", "6SN7, NOS", "6SN7 and box", "6SN7 or 6SN7GT", "6SN7 + 6SN7", "6SN7, BIN12"])
def test_one_beginning_is_still_asked_about(cell, keeper):
    _, (row,) = take(f'Tube,Qty\n"{cell}",2\n', by=keeper)
    assert row["outcome"] == HELD and not Tube.objects.exists()


# --- wants -----------------------------------------------------------------------------------------------------------

WANTED = "Type;Anzahl;Zustand\nwanted: 814;2;\n807;1;wanted\n"


def test_a_want_names_its_own_column_and_offers_the_truthful_answer(keeper):
    found, rows = take(WANTED, by=keeper)
    assert [row["outcome"] for row in rows] == [HELD, HELD]
    told = [(row["remarks"][-1]["column"], row["remarks"][-1]["found"]) for row in rows]
    assert told == [("Type", "wanted: 814"), ("Zustand", "wanted")]
    words = [one["words"] for one in found.run.rows.first().question["choices"]]
    assert words == [
        "they are here: write them",
        "they are wanted, not here: leave this row out (its page offers to put it on the want list)",
    ]


def test_a_want_left_out_is_offered_for_the_want_list(keeper, as_keeper, today):
    found, _ = take(WANTED, by=keeper)
    for row in found.run.rows.all():
        assert answer_held(row, "leave out", by=keeper, today=today) == []
    rows = list(found.run.rows.all())
    assert [row.outcome for row in rows] == [NOT_AN_ITEM, NOT_AN_ITEM] and not Tube.objects.exists()
    assert all(row.remarks[-1]["reason"] == "left out by the keeper: a want, not a thing owned" for row in rows)
    assert rows[0].remarks[-1]["column"] == "Type" and rows[1].thing_wanted == "807"
    page = as_keeper.get(reverse("lists:list-in", args=[found.run.pk]), {"show": "all"}).content.decode()
    assert f"{reverse('holdings:want-add')}?thing=807" in page


def test_another_row_left_out_is_no_want(keeper, today):
    found, _ = take("Tube,Qty\n6SN7,2\n", by=keeper)
    row = found.run.rows.get()
    answer_held(row, "leave out", by=keeper, today=today)
    row.refresh_from_db()
    assert row.outcome == NOT_AN_ITEM and row.thing_wanted == ""


# --- parts by their heading ------------------------------------------------------------------------------------------


def test_a_sheet_of_parts_by_its_heading(keeper):
    take("Teil;Anzahl\nLagerschale;3\nZahnrad 40;2\nitogo;5\nитого;5\n", by=keeper)
    assert list(PartLot.objects.order_by("pk").values_list("name", "least")) == [
        ("Lagerschale", 3), ("Zahnrad 40", 2), ("itogo", 5),
    ]  # fmt: skip
