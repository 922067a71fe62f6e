"""The estate list and what it rests on: promises, whom to ask, what is not ours, what belongs together."""

from datetime import date
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone

from inventory.holdings.actions import lend, part_with
from inventory.holdings.models import HazardMark, Item, Loan
from inventory.house.records.actions import strike_out
from inventory.valuation.actions.estate import save_contact, save_promise
from inventory.valuation.models import Contact, Promise
from inventory.valuation.queries.estate import estate
from inventory.valuation.queries.promises import askable
from inventory.valuation.wording.papers.estate import estate_printed, worth
from tests.counting import cost
from tests.factories import FittingFactory, PlaceFactory, TubeFactory, TubeTypeFactory, days_ago
from tests.pages import page_text
from tests.pages import printed_text as texts
from tests.valuation.rows import ContactFactory, EvidenceFactory, PromiseFactory
from tests.valuation.test_schedule import sales, valued

pytestmark = pytest.mark.django_db


def listed(**said):
    return estate(valued(basis="fair-market", **said), timezone.localdate())


def promise(item, to, **said):
    row = Promise(item=item, to=to, since=days_ago(2), **said)
    return save_promise(row, today=timezone.localdate(), by=None)


def test_a_thing_is_promised_once_until_that_is_struck_out(keeper):
    item = TubeFactory().item
    first = promise(item, "Orla Finch")
    with pytest.raises(ValidationError, match="promised to Orla Finch since"):
        promise(item, "Tom Reed")
    strike_out(first, "she has one", by=keeper)
    assert promise(item, "Tom Reed").to == "Tom Reed" and Promise.objects.count() == 2
    gone = TubeFactory(item__gone_on=days_ago(3), item__gone_how="sold").item
    with pytest.raises(ValidationError, match="left the collection"):
        promise(gone, "Tom Reed")


def test_what_is_promised_is_asked_about_before_it_leaves_for_good_and_not_before_it_is_lent():
    item, other = TubeFactory().item, TubeFactory().item
    promise(item, "Orla Finch")
    with pytest.raises(ValidationError, match=f"{item.tag} is promised to Orla Finch"):
        part_with(item, "sold, 3 EUR", on=timezone.localdate(), by=None)
    part_with(item, "given", on=timezone.localdate(), by=None, why="to Orla Finch, as promised")
    promise(other, "Tom Reed")
    lend(other, "the club", on=timezone.localdate(), by=None)
    assert Item.objects.get(pk=item.pk).gone_on and Item.objects.get(pk=other.pk).lent_to == "the club"


def test_who_is_asked_is_who_knows_most_about_the_thing():
    room = PlaceFactory(code="Hall")
    shelf = PlaceFactory(code="S1", parent=room)
    tube = TubeFactory(item__place=shelf)
    everything, of_tubes = ContactFactory(name="Club"), ContactFactory(name="Tuber", kind="tube")
    of_room, of_thing = ContactFactory(name="Caretaker", place=room), ContactFactory(name="Giver", item=tube.item)
    ContactFactory(name="Struck", struck="moved")
    found = askable()
    assert found.everything == [everything]
    assert found.about(tube.item.pk, "tube", shelf.path) == [of_thing, of_room, of_tubes]
    assert [one.about for one in (everything, of_tubes, of_room, of_thing)] == [
        "everything", "tube", f"what is in {room}", tube.tag,
    ]  # fmt: skip
    with pytest.raises(ValidationError, match="not of two of them"):
        save_contact(Contact(name="Two", reach="here", kind="tube", place=room), by=None)


def test_the_list_says_what_it_is_where_and_worth_about_how_much():
    kind, hall = TubeTypeFactory(name="ZZ-heir"), PlaceFactory(code="Hall")
    sales(kind, 40, 40, 40, 40, 40, 40)
    TubeFactory(type=kind, state="good", item__place=hall)
    FittingFactory(until=None, tube__type=kind, tube__state="good")
    TubeFactory(type=TubeTypeFactory(name="ZZ-none"), state="good", item__place=hall)
    found = listed()
    told = {line.first.name: worth(line, "EUR") for line in found.lines}
    assert told["ZZ-heir"] == "about 40 EUR, from 6 sales"
    assert told["ZZ-none"].startswith("no sale is known; that is not worthless")
    (of_set,) = (line for line in found.lines if line.first.figure.kind == "chassis")
    assert worth(of_set, "EUR") == "no sale of such a set is known; what is in it alone about 40 EUR"
    assert of_set.holds[0].endswith("ZZ-heir")
    page = texts(estate_printed(found))
    assert "Do not switch anything on" in page and "Local codes" in page and "Do not throw anything away" in page


def test_not_ours_lent_and_promised_are_told_first():
    borrowed, lent, promised = TubeFactory(), TubeFactory(), TubeFactory()
    Loan.objects.create(item=borrowed.item, way=Loan.IN, who="Mara Quill", since=days_ago(3), due=date(2027, 1, 2))
    lend(lent.item, "the club", on=timezone.localdate(), by=None)
    promise(promised.item, "Orla Finch")
    HazardMark.objects.create(item=promised.item, hazard="mercury", standing="confirmed", on=days_ago(3))
    ContactFactory(name="Ada Holm", reach="by the lighthouse")
    found = listed()
    assert [piece.tag for _, piece in found.borrowed] == [borrowed.tag]
    assert borrowed.tag not in {tag for line in found.lines for tag in line.tags}
    assert [line.first.tag for line in found.lent] == [lent.tag]
    assert [(kind.words, count) for kind, count in found.marked] == [("mercury", 1)]
    titles = [section.title for section in estate_printed(found).sections]
    assert titles[:7] == [
        "What not to do", "What to do first", "Whom to ask", "What can hurt here", "Not ours: give it back",
        "Ours, but out of the house: ask it back", "Promised",
    ]  # fmt: skip
    page = texts(estate_printed(found))
    assert "Mara Quill" in page and "by the lighthouse" in page and "Promised to Orla Finch." in page
    told = found.as_dict()
    assert told["not_ours"][0]["belongs_to"] == "Mara Quill" and told["lent"][0]["lent_to"] == "the club"


def test_what_stands_in_a_set_is_told_where_it_is_promised_or_somebody_knows_it():
    fitting = FittingFactory(until=None)
    promise(fitting.tube.item, "Orla Finch")
    knows = ContactFactory(name="Ada Holm", item=fitting.tube.item)
    found = listed()
    (line,) = found.lines
    assert (line.ask, [(one.tag, row.to) for one, row in line.held_promised]) == (
        (knows,), [(fitting.tube.tag, "Orla Finch")],
    )  # fmt: skip
    assert line.as_dict()["promised_in_it"][0]["to"] == "Orla Finch"
    page = texts(estate_printed(found))
    assert f"{fitting.tube.tag}." in page and "In it, promised to Orla Finch" in page and "Promised" in page.split("\n")


def test_a_tube_that_somebody_knows_is_not_told_behind_a_like_one():
    kind, hall = TubeTypeFactory(), PlaceFactory(code="Hall")
    tubes = [TubeFactory(type=kind, state="good", item__place=hall) for _ in range(3)]
    knows = ContactFactory(name="Ada Holm", item=tubes[1].item)
    told = {line.tags: line.ask for line in listed().lines}
    assert told == {(tubes[1].tag,): (knows,), (tubes[0].tag, tubes[2].tag): ()}


def test_what_is_not_ours_is_promised_to_nobody():
    item = TubeFactory().item
    Loan.objects.create(item=item, way=Loan.IN, who="Mara Quill", since=days_ago(3))
    with pytest.raises(ValidationError, match="on loan from Mara Quill"):
        promise(item, "Orla Finch")


def test_what_a_keeper_notes_of_a_promise_is_for_keepers(as_keeper, as_helper):
    item = TubeFactory().item
    promise(item, "Orla Finch", note="by the lighthouse")
    for address in (item.get_absolute_url(), reverse("valuation:asking")):
        assert "by the lighthouse" in page_text(as_keeper.get(address))
        assert "by the lighthouse" not in page_text(as_helper.get(address))


def test_only_keepers_see_how_to_reach_people(as_keeper, as_helper):
    tube = TubeFactory()
    ContactFactory(item=tube.item, name="Ada Holm", reach="by the lighthouse")
    address = reverse("valuation:paper", args=["estate"])
    assert "by the lighthouse" in page_text(as_keeper.get(address))
    page = as_keeper.get(reverse("valuation:paper-pdf", args=["estate"]))
    assert page.content.startswith(b"%PDF")
    for name in ("paper", "paper-pdf", "api-paper"):
        assert as_helper.get(reverse(f"valuation:{name}", args=["estate"])).status_code == 403
    seen = page_text(as_helper.get(tube.get_absolute_url()))
    assert "Ada Holm" in seen and "by the lighthouse" not in seen
    assert "Estate list" not in page_text(as_helper.get(reverse("valuation:collection")))
    assert "by the lighthouse" not in page_text(as_helper.get(reverse("valuation:asking")))
    assert "by the lighthouse" in page_text(as_keeper.get(reverse("valuation:asking")))


def test_more_things_ask_no_more_questions():
    kind = TubeTypeFactory()
    EvidenceFactory(type=kind, amount=Decimal(5))

    def more():
        for _ in range(3):
            PromiseFactory()
            FittingFactory(until=None)
            ContactFactory(place=PlaceFactory())
            Loan.objects.create(item=TubeFactory().item, way=Loan.IN, who="Mara", since=days_ago(3))

    more()
    first = cost(listed)
    more()
    assert cost(listed) == first
