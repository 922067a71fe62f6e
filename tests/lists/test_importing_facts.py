"""Prices, readings and dates of a list become facts of the things it makes, and leave again with it.

Testers, set models and serials are invented; what is expected of the cells: common practice, no source.
"""

from decimal import Decimal

import pytest

from inventory.holdings.actions import add_facts
from inventory.holdings.models import Fact, Item, Tube
from inventory.house.records.actions import strike_out
from inventory.lists.actions.undo import undo
from inventory.lists.models import ImportMade
from inventory.lists.rules.rows import HELD, REMARKED, WRITTEN
from tests.counting import cost_once
from tests.lists.importing_lists import take

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]

LIST = """Tube,Qty,State,Tested,Tester,Gm (umho),Min,Pd,Asking price,Ins. val,Serial,Date
807,1,good,12.06.09,Prover 3,5200,3900,€ 12 ea,,,0071,
807,2,good,,,5100/3900,,,,,,
6V6GT,1,,,,,,a song,DM 20 VB,£ 90,,1/82
6V6GT,1,,,,n/a,,,,,,Spring 1998
"""


def told(tag):
    return [(fact.get_about_display(), fact.words) for fact in Fact.objects.filter(item__tag=tag)]


def test_the_facts_of_a_list(keeper):
    _, rows = take(LIST, by=keeper)
    (first,) = rows[0]["made"]
    assert told(first) == [
        ("price paid", "12 EUR each"), ("reading", "5200 micromho, Prover 3"),
        ("reject minimum", "3900 micromho, Prover 3"), ("serial", "0071"),
        ("tested", "2009-06-12, Prover 3"),
    ]  # fmt: skip
    paid = Fact.objects.get(item__tag=first, about="paid")
    assert (paid.text, paid.value, paid.column, paid.from_list) == ("€ 12 ea", Decimal(12), "Pd", True)
    (kept,) = paid.history.all()
    assert (kept.history_type, kept.history_user) == ("+", keeper)
    two = [told(tag) for tag in rows[1]["made"]]
    assert two[0] == two[1] and two[0][0] == ("reading", "5100/3900")  # of two tubes: a minimum or the other's?
    assert told(rows[2]["made"][0]) == [
        ("price paid", "a song"), ("price asked", "20 DEM"), ("insured value", "90 GBP"), ("other date", "1982-01"),
    ]  # fmt: skip
    assert told(rows[3]["made"][0]) == [("other date", "1998-03 to 1998-05")]


def test_a_date_or_a_price_that_is_not_plain_has_a_word(keeper):
    _, rows = take(LIST, by=keeper)
    assert [row["outcome"] for row in rows] == [REMARKED] * 4
    said = {(one["column"], one["found"]): one["reason"] for row in rows for one in row["remarks"]}
    for cell in (("Pd", "a song"), ("Date", "1/82"), ("Date", "Spring 1998")):
        assert "kept as found" in said[cell], said
    assert "one reading for 2 things" in said["Gm (umho)", "5100/3900"]


def test_a_serial_is_a_fact_and_no_longer_only_in_the_note(keeper):
    _, ((row),) = take("Tube,Serial\n807,4711\n", by=keeper)
    assert row["outcome"] == WRITTEN
    assert Tube.objects.get().note == "" and told(row["made"][0]) == [("serial", "4711")]


def test_a_serial_entered_by_hand_is_asked_about(keeper, today):
    _, (row,) = take("Tube\n807\n", by=keeper)
    add_facts(Item.objects.get(tag=row["made"][0]), "serial", "4711", by=keeper, today=today)
    _, rows = take("Tube,Serial\n807,4711\n807,4712\n", by=keeper)
    assert [one["outcome"] for one in rows] == [HELD, WRITTEN]


def test_undo_takes_the_facts_away_and_counts_them(keeper):
    found, rows = take(LIST, by=keeper)
    made = Fact.objects.count()
    assert made and undo(found.run, by=keeper)["undone"]["facts"] == made
    assert not Fact.objects.exists() and not ImportMade.objects.exists()
    last = Fact.history.filter(history_type="-")
    assert last.count() == made and {row.history_user for row in last} == {keeper}
    assert sum(len(row["made"]) for row in rows) == 5


@pytest.mark.parametrize("change", ["added", "struck"])
def test_what_a_fact_was_changed_of_stays(keeper, today, change):
    found, rows = take(LIST, by=keeper)
    (tag,) = rows[0]["made"]
    if change == "added":
        add_facts(Item.objects.get(tag=tag), "insured", "£ 90", by=keeper, today=today, basis="cover", dated=today)
    else:
        strike_out(Fact.objects.filter(item__tag=tag).first(), "of another tube", by=keeper)
    assert undo(found.run, by=keeper)["stays"] == [f"{tag} was changed"]
    assert list(Item.objects.values_list("tag", flat=True)) == [tag]


def test_a_trial_makes_no_fact(keeper):
    take(LIST, by=keeper, trial=True)
    assert not Fact.objects.exists()


def test_facts_of_twice_the_rows_cost_no_more_statements(keeper):
    """Facts are written together: 15 and 30 of them fit the same statement, also where it holds a thousand values."""

    def taken(rows, first):
        lines = (f"807,1,{number} EUR,{number}/3 umho" for number in range(first, first + rows))
        text = "Tube,Qty,Pd,Gm\n" + "\n".join(lines) + "\n"
        return cost_once(lambda: take(text, by=keeper))

    taken(5, 10)
    assert taken(5, 30) == taken(10, 50)
    assert Fact.objects.count() == 60
