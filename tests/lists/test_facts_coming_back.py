"""Prices and own numbers edited in a list that comes back: written as the page of the thing writes them, or refused.

Numbers are given once (Spectrum, Deaccessioning and disposal; laws.md L10.1); an insured value says its day and what it
rests on (L10.4). People and figures are invented.
"""

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone

from inventory.holdings.actions.facts import add_facts
from inventory.holdings.models import Fact
from inventory.lists.actions.undo import undo
from inventory.lists.models import ImportRun
from tests import factories as make
from tests.lists.test_coming_back import brought_back, cells_told, edit, taken_out

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


@pytest.fixture
def four(keeper):
    """Four tubes: numbered 1 to 3, two of them with a price."""
    items = [make.TubeFactory(marked="6V6GT", type__name="6V6GT", state="good").item for _ in range(4)]
    for number, item in enumerate(items[:3], 1):
        say(item, "number", f"W-{number}")
    say(items[0], "paid", "30 USD")
    say(items[1], "paid", "12.50 EUR")
    return items


def say(item, about, text, **more):
    return add_facts(item, about, text, by=None, today=timezone.localdate(), **more)


def stands(item, about):
    return [fact.words for fact in Fact.objects.filter(item=item, about=about, struck="").order_by("pk")]


@pytest.mark.parametrize("shape", ["csv", "xlsx"])
def test_prices_and_own_numbers_come_back(four, as_keeper, keeper, shape):
    rows = taken_out(as_keeper, shape=shape)
    rows = edit(rows, four[0].tag, Price_paid="17.50 USD", Own_number="W-1b")
    rows = edit(rows, four[3].tag, Price_paid="45 GBP", Own_number="W-4")
    rows = edit(rows, four[1].tag, Price_paid="", Own_number="")
    found = brought_back(rows, shape, by=keeper)
    assert set(cells_told(found.changed)) == {
        (four[0].tag, "Price paid", "30 USD", "17.50 USD"), (four[0].tag, "Own number", "W-1", "W-1b"),
        (four[1].tag, "Price paid", "12.50 EUR", ""), (four[1].tag, "Own number", "W-2", ""),
        (four[3].tag, "Price paid", "", "45 GBP"), (four[3].tag, "Own number", "", "W-4"),
    }  # fmt: skip
    assert not found.held and not found.read_only and found.untouched == 1
    assert stands(four[0], "paid") == ["17.50 USD"] and stands(four[1], "number") == []
    old = Fact.objects.get(item=four[0], text="30 USD")
    assert old.struck.startswith("came back with list")  # nothing is lost
    assert not brought_back(rows, shape).changed


@pytest.mark.parametrize(
    ("cells", "reason"),
    [
        ({"Price_paid": "17.50"}, "say the currency with it, such as 12.50 EUR (USD stood there)"),
        ({"Price_paid": "$17.50"}, "say the currency"),
        ({"Price_paid": "20 USD for the lot"}, "write what this one cost"),
        ({"Price_paid": "a handshake"}, "cannot be read as a price"),
        ({"Own_number": "W-2"}, "W-2 is the own number of "),
    ],
)
def test_what_is_not_certain_is_held_and_the_rest_of_the_row_is_written(four, as_keeper, cells, reason):
    found = brought_back(edit(taken_out(as_keeper), four[0].tag, Maker="Acme", **cells))
    (held,) = found.held
    assert reason in held.reason and held.tag == four[0].tag
    assert cells_told(found.changed) == [(four[0].tag, "Maker", "", "Acme")]
    assert (stands(four[0], "paid"), stands(four[0], "number")) == (["30 USD"], ["W-1"])


def test_a_price_that_is_not_of_one_thing_alone_is_changed_on_its_page(four, as_keeper):
    Fact.objects.filter(item=four[0], about="paid").update(per="lot", of_count=3)
    say(four[1], "paid", "2 EUR")
    rows = edit(taken_out(as_keeper), four[0].tag, Price_paid="10 USD")
    found = brought_back(edit(rows, four[1].tag, Price_paid="14.50 EUR"))
    assert [(one.tag, one.reason) for one in found.held] == [
        (four[0].tag, "it was said of 3 together; change it on the page of the thing"),
        (four[1].tag, "2 of them stand there; strike out or add one on the page of the thing"),
    ]


def test_an_insured_value_and_a_reading_are_entered_where_their_day_is_said(four, as_keeper):
    rows = edit(taken_out(as_keeper), four[0].tag, Insured_value="100 USD", Reading="62")
    told = {one.column: one.reason for one in brought_back(rows).read_only}
    assert "its day and what it rests on" in told["Insured value"]
    assert "a day and an instrument" in told["Reading"]


def test_numbers_move_on_along_a_shelf_and_in_a_ring(four, as_keeper, keeper):
    rows = taken_out(as_keeper)
    along = rows
    for item, number in zip(four, ("W-2", "W-3", "W-4"), strict=False):
        along = edit(along, item.tag, Own_number=number)
    run = brought_back(along, by=keeper).run
    assert [stands(item, "number") for item in four] == [["W-2"], ["W-3"], ["W-4"], []]
    assert undo(run, by=keeper)["cells"] == 3
    assert [stands(item, "number") for item in four] == [["W-1"], ["W-2"], ["W-3"], []]
    ring = rows
    for item, number in zip(four, ("W-3", "W-1", "W-2"), strict=False):
        ring = edit(ring, item.tag, Own_number=number)
    run = brought_back(ring, by=keeper).run
    assert [stands(item, "number") for item in four] == [["W-3"], ["W-1"], ["W-2"], []]
    assert undo(run, by=keeper)["stays"] == []
    assert [stands(item, "number") for item in four] == [["W-1"], ["W-2"], ["W-3"], []]


def test_a_number_that_stays_with_another_breaks_no_ring_in_two(four, as_keeper):
    rows = edit(taken_out(as_keeper), four[0].tag, Own_number="W-2")
    rows = edit(rows, four[1].tag, Own_number="W-3")  # which four[2] keeps
    found = brought_back(rows)
    assert sorted(one.tag for one in found.held) == sorted([four[0].tag, four[1].tag]) and not found.changed
    assert [stands(item, "number") for item in four[:3]] == [["W-1"], ["W-2"], ["W-3"]]


def test_one_step_takes_them_back_where_nobody_said_otherwise_since(four, as_keeper, keeper):
    rows = edit(taken_out(as_keeper), four[0].tag, Price_paid="17.50 USD", Maker="Acme")
    run = brought_back(edit(rows, four[1].tag, Price_paid=""), by=keeper).run
    say(four[1], "paid", "9 EUR")  # by the keeper, since
    answer = undo(run, by=keeper)
    assert answer["cells"] == 2 and answer["stays"] == [f"{four[1].tag}: price paid changed since"]
    assert (stands(four[0], "paid"), stands(four[1], "paid")) == (["30 USD"], ["9 EUR"])
    with pytest.raises(ValidationError, match="price paid changed since"):
        undo(ImportRun.objects.get(pk=run.pk), by=keeper)


def test_a_price_changed_on_both_sides_is_a_conflict(four, as_keeper):
    rows = taken_out(as_keeper)
    Fact.objects.filter(item=four[0], about="paid").update(struck="wrong")
    say(four[0], "paid", "31 USD")
    found = brought_back(edit(rows, four[0].tag, Price_paid="17.50 USD"))
    assert cells_told(found.conflicts) == [(four[0].tag, "Price paid", "31 USD", "17.50 USD")]


def test_a_reader_without_money_sees_none_of_it(four, as_keeper, as_visitor, keeper):
    run = brought_back(edit(taken_out(as_keeper), four[0].tag, Price_paid="17.50 USD"), by=keeper).run
    page = as_visitor.get(reverse("lists:list-in", args=[run.pk])).content.decode()
    assert "17.50" not in page and "30 USD" not in page
    assert "17.50" in as_keeper.get(reverse("lists:list-in", args=[run.pk])).content.decode()
