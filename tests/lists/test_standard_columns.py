"""The standard fields of a collection in lists: columns out and in, filters, numbers that are given once.

L10.1 restates the Collections Trust's Spectrum (Deaccessioning and disposal), laws.md section 10.
"""

import csv
import io
from functools import partial

import pytest
from django.urls import reverse

from inventory.holdings.actions import add_facts, part_with
from inventory.holdings.actions.said import say_how_it_came
from inventory.holdings.models import Fact, Item, Loan
from inventory.holdings.queries.record import came
from inventory.lists.actions.undo import undo
from tests.counting import cost
from tests.factories import ChassisFactory, TubeFactory, days_ago
from tests.holdings.parts import lot_of
from tests.holdings.rows import LoanFactory, condition_of
from tests.lists.importing_lists import take

pytestmark = pytest.mark.django_db


def table(client, name, query=""):
    answer = client.get(f"/lists/{name}/out/{query}")
    return list(csv.DictReader(io.StringIO(answer.getvalue().decode("utf-8"), newline="")))


def test_owner_and_condition_stand_in_every_list_of_things(as_visitor, today):
    ours, lent, old = TubeFactory(), TubeFactory(), ChassisFactory()
    LoanFactory(tube=lent, way=Loan.IN, who="Marrow museum", due=days_ago(-30))
    condition_of(ours.item, on=days_ago(90), state="as it came")
    condition_of(ours.item, lacking="top cap", complete="incomplete", look_again=days_ago(-9))
    one, other = (next(row for row in table(as_visitor, "tubes") if row["Tag"] == tube.tag) for tube in (ours, lent))
    assert (one["Owner"], one["State then"], one["Complete"]) == ("ours", "base loose", "not complete: top cap")
    assert (one["Looked at by"], one["Look again on"]) == ("I. Crane", str(days_ago(-9)))
    assert (other["Owner"], other["To be given back"]) == ("Marrow museum", str(days_ago(-30)))
    assert table(as_visitor, "chassis")[0]["Owner"] == "ours" and old.tag
    found = lambda query: [row["Tag"] for row in table(as_visitor, "tubes", query)]  # noqa: E731
    assert found("?owner=others") == found("?owner_name=marrow") == [lent.tag]
    assert found("?owner=ours") == [ours.tag] and found("?looked=never") == [lent.tag]
    assert found("?looked=incomplete") == [ours.tag] and found("?looked=due") == []
    assert found("?order=owner") == [lent.tag, ours.tag]


@pytest.mark.growth
def test_twice_the_things_take_no_more_questions(as_visitor):
    def grow():
        for _ in range(5):
            LoanFactory(way=Loan.IN)
            condition_of(TubeFactory().item, look_again=days_ago(1))
            TubeFactory(item__gone_on=days_ago(1), item__gone_how="sold")

    grow()
    for name, query in (("tubes", "?order=look-again-on"), ("disposals", ""), ("conditions", "")):
        run = partial(table, as_visitor, name, query)
        before = cost(run)
        grow()
        assert cost(run) == before, name


def test_what_left_is_listed_with_whose_word(as_keeper, keeper, today):
    tube = TubeFactory()
    record = {"reason": "too many", "authority": "the board", "recipient": "P. Quillan", "proceeds": "30 USD"}
    part_with(tube.item, "sold", on=today, by=keeper, record=record)
    (row,) = table(as_keeper, "disposals")
    assert (row["Tag"], row["Read as"], row["Why it left"]) == (tube.tag, "sold", "too many")
    assert (row["Authorised by"], row["Went to"], row["Proceeds"]) == ("the board", "P. Quillan", "30 USD")


def test_an_own_list_brings_back_how_a_thing_came(as_keeper, keeper, today):
    """Out with one house, into another: every word stands where it stood, and none in the note."""
    lot = lot_of(value=1e6)
    words = {"how": "given", "source": "Marrow museum", "title": "letter of the giver", "when": "1987"}
    say_how_it_came(lot.item, words, by=keeper, today=today)
    text = as_keeper.get("/lists/parts/out/").getvalue().decode()
    Fact.objects.all().delete()
    lot.item.movements.all().delete()
    lot.delete()
    Item.objects.all().delete()
    _, (row,) = take(text, by=keeper)
    (tag,) = row["made"]
    item = Item.objects.get(tag=tag)
    told = came(item)
    assert (told.how, told.source, told.title, told.when) == tuple(words.values())
    assert "Marrow" not in item.partlot.note


def test_a_list_gives_no_number_twice(keeper, today):
    """L10.1, by a list: a number that is another's is asked about; a running number of one that left is left out."""
    gone, here = TubeFactory(item__tag="T-0007"), TubeFactory(item__tag="T-0008")
    add_facts(gone.item, "number", "71", by=keeper, today=today)
    add_facts(here.item, "number", "72", by=keeper, today=today)
    part_with(gone.item, "scrapped", on=today, by=keeper)
    _, rows = take("My no.,Tube,Qty\n71,807,1\n72,6K7,1\n73,6V6GT,1\n", by=keeper)
    assert [row["outcome"] for row in rows] == ["held", "held", "written"]
    assert f"71 is the own number of T-0007, which left on {today}" in rows[0]["remarks"][-1]["reason"]
    _, rows = take("No,Tube,Qty\n71,6SN7GT,1\n72,6SL7GT,1\n", by=keeper)
    assert [row["outcome"] for row in rows] == ["written with a remark", "written"]
    told = [remark["reason"] for remark in rows[0]["remarks"]]
    assert any("written without it" in reason for reason in told)
    tags = [row["made"][0] for row in rows]
    numbers = [list(Fact.objects.filter(item__tag=tag, about="number").values_list("text", flat=True)) for tag in tags]
    assert numbers == [[], ["72"]]


def test_tags_of_a_list_taken_back_are_not_given_again(keeper, today):
    """L10.1, after an undo: what the list made keeps its tags, and taken in once more it gets others."""
    text = "My no.,Tube,Qty\nK-1,807,1\n"
    found, (row,) = take(text, by=keeper)
    undo(found.run, by=keeper)
    _, (once_more,) = take(text, by=keeper)
    assert once_more["outcome"] == "written" and once_more["made"] != row["made"]
    (tag,) = once_more["made"]
    part_with(Item.objects.get(tag=tag), "lost", on=today, by=keeper)
    _, (late,) = take("My no.,Tube,Qty\nk-1,6SN7GT,1\n", by=keeper)
    assert late["outcome"] == "held"


def test_filters_of_title(as_visitor, keeper, today):
    told, untold = lot_of(value=1e6), lot_of(value=2e6)
    say_how_it_came(told.item, {"title": "bill"}, by=keeper, today=today)
    page = as_visitor.get(reverse("holdings:part-list"), {"title": "no"})
    assert [lot.tag for lot in page.context["page"]] == [untold.tag]
