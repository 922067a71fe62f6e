"""A list that was saved again with a cell or two of some rows changed doubles nothing in silence.

Places and prices are invented.
"""

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory.holdings.models import Tube
from inventory.lists.actions.answers import answer_alike, answer_held
from tests.counting import statements
from tests.lists.importing_lists import take
from tests.pages import page_text

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]
HEAD = "R\u00f6hre;St\u00fcck;Ort;Preis\n"
ROWS = [
    "EL84;1;Kiste 2;5 EUR", "ECC83;2;Kiste 2;8 EUR", "EF80;4;Kiste 3;1 EUR", "EF86;1;Kiste 3;12 EUR",
    "EL34;2;Kiste 4;20 EUR", "AZ1;1;Kiste 4;3 EUR", "EBC41;1;Kiste 5;2 EUR", "UCH42;1;Kiste 5;2 EUR",
]  # fmt: skip


def text(rows):
    return HEAD + "\n".join(rows) + "\n"


def asked(found):
    return {row.row: row.question["text"] for row in found.run.rows.filter(outcome="held").order_by("row")}


@pytest.fixture
def first(keeper):
    return take(text(ROWS), by=keeper, name="keller.csv")[0].run


def test_a_row_with_a_cell_or_two_changed_is_asked_about(first, keeper):
    again = ["EL84;3;Kiste 2;5 EUR", "ECC83;2;Kiste 7;8 EUR", "EF80;4;Kiste 7;2 EUR", *ROWS[3:]]
    before = Tube.objects.count()
    found, _ = take(text(again), by=keeper, name="keller.csv")
    told = asked(found)
    assert told[1] == f"as list {first.pk}, row 1, which is here, but for St\u00fcck: 1 -> 3"
    assert told[2] == f"as list {first.pk}, row 2, which is here, but for Ort: Kiste 2 -> Kiste 7"
    assert (
        told[3] == f"as list {first.pk}, row 3, which is here, but for Ort: Kiste 3 -> Kiste 7; Preis: 1 EUR -> 2 EUR"
    )
    assert all("already here" in told[row] for row in range(4, 9)) and Tube.objects.count() == before


def test_answers_leave_them_out_or_write_them_many_at_once(first, keeper):
    again = ["EL84;3;Kiste 2;5 EUR", "ECC83;2;Kiste 7;8 EUR", *ROWS[2:]]
    before = Tube.objects.count()
    found, _ = take(text(again), by=keeper, name="keller.csv")
    today = timezone.localdate()
    row = found.run.rows.get(row=1)
    assert len(answer_held(row, "more", by=keeper, today=today, about="changed")) == 3
    assert answer_alike(found.run, "leave out", by=keeper, today=today, about="changed") == (1, 0)
    assert Tube.objects.count() == before + 3


def test_new_rows_of_a_list_that_grew_are_new(first, keeper):
    found, _ = take(text([*ROWS, "EL84;1;Kiste 9;6 EUR", "EF80;4;Kiste 9;1 EUR"]), by=keeper, name="keller.csv")
    assert {row for row, told in asked(found).items() if "but for" in told} == set()
    assert found.run.rows.filter(outcome__startswith="written").count() == 2


def test_another_box_on_the_same_form_is_another_box(first, keeper):
    """The same headings and some of the same types, and no row in common: nothing was corrected."""
    other = [row.replace("Kiste", "Regal") for row in ROWS[:4]]
    found, _ = take(text(other), by=keeper, name="regal.csv")
    assert asked(found) == {} and found.run.rows.filter(outcome__startswith="written").count() == 4


def test_of_two_rows_that_fit_each_stands_for_one(first, keeper):
    again = ["EL84;2;Kiste 2;5 EUR", "EL84;3;Kiste 2;5 EUR", *ROWS[1:]]
    found, _ = take(text(again), by=keeper, name="keller.csv")
    assert [row for row, told in asked(found).items() if "but for" in told] == [1]


def test_the_page_says_what_is_asked_for_all_of_them(first, keeper, as_keeper):
    found, _ = take(text(["EL84;3;Kiste 2;5 EUR", *ROWS[1:]]), by=keeper, name="keller.csv")
    page = page_text(as_keeper.get(reverse("lists:list-in", args=[found.run.pk])))
    assert "of this list as it was taken in before, but for a cell or two" in page


def test_a_longer_list_asks_no_more(keeper):
    def of(many):
        rows = [f"EL84;1;Kiste {n};{many} EUR" for n in range(many)]
        take(text(rows), by=keeper, name=f"{many}.csv")
        again = [*(f"EL84;3;Kiste {n};{many} EUR" for n in range(many // 3)), *rows[many // 3 :]]
        return len(statements(lambda: take(text(again), by=None, trial=True, name=f"{many}.csv")))

    for number in range(3):  # with so many it is compared at most
        take(text([f"EL84;1;Kiste 0;{number}1 EUR"]), by=keeper, name=f"warm-{number}.csv")
    assert of(6) == of(12)
