"""Loans out and in: condition, due day, paper, overdue on the first page and in the calendar; what counts on a thing.

That an object lent out stays on the list and has a due day, its condition and a signature at both ends is Spectrum's
(Collections Trust): loans in, loans out. That a last spare is asked about is common practice, no source.
"""

import json
from datetime import timedelta
from io import StringIO

import pytest
from django.core.exceptions import ValidationError
from django.core.management import call_command
from django.db.models import QuerySet
from django.urls import reverse
from icalendar import Calendar

from inventory.holdings.actions import add_tubes, lend, move, move_place, part_with, take_back
from inventory.holdings.actions.facts import add_facts
from inventory.holdings.actions.loans import borrow, give_back, save_loan
from inventory.holdings.models import HazardMark, Item, Loan, Tube
from inventory.holdings.queries.loans import loans_due
from inventory.holdings.queries.record import record_of
from inventory.holdings.queries.standing import is_ours
from inventory.sets.models import Fitting
from inventory.sets.queries.only_spare import last_spares
from tests.counting import cost
from tests.factories import (
    ChassisFactory,
    FittingFactory,
    PlaceFactory,
    PositionFactory,
    TubeFactory,
    TubeTypeFactory,
)
from tests.holdings.rows import LoanFactory
from tests.pages import page_text, seen_at

pytestmark = pytest.mark.django_db


@pytest.fixture
def tube():
    return TubeFactory(type=TubeTypeFactory(name="6SN7GT"), place=PlaceFactory(code="Store"))


def test_a_loan_keeps_day_and_condition_at_both_ends(tube, keeper, today):
    due = today + timedelta(days=30)
    lend(tube.item, "Margit Ostrey", on=today, by=keeper, due=due, condition="reads 92", terms="for a display")
    row = Loan.objects.get()
    assert (row.way, row.who, row.since, row.due, row.condition) == ("out", "Margit Ostrey", today, due, "reads 92")
    take_back(tube.item, on=today, by=keeper, condition="reads 88, base loose")
    row.refresh_from_db()
    assert (row.ended, row.condition_back) == (today, "reads 88, base loose")
    assert Item.objects.get().lent_to == ""


def test_days_that_cannot_be(tube, keeper, today, days_ago, refused):
    with refused("due", "before"):
        lend(tube.item, "Margit Ostrey", on=today, by=keeper, due=days_ago(1))
    assert not Loan.objects.exists()
    lend(tube.item, "Margit Ostrey", on=today, by=keeper)
    with refused("on", "when it was lent"):
        take_back(tube.item, on=days_ago(1), by=keeper)
    with refused("on", "has not come yet"):
        take_back(tube.item, on=today + timedelta(days=1), by=keeper, today=today)


def test_the_form_says_before_anything_is_typed_what_forbids_it(tube, keeper, today, as_keeper):
    def shown(way):
        return page_text(as_keeper.get(f"/things/{tube.tag}/{way}/"))

    assert "first" not in shown("lend").split("<form")[0]
    fitting = FittingFactory(tube=tube)
    for way in ("lend", "part-with"):
        assert f"in {fitting.chassis}" in shown(way) and "take it out first." in shown(way)
    fitting.delete()
    lend(tube.item, "Margit Ostrey", on=today, by=keeper)
    assert "is lent to Margit Ostrey" in shown("lend") and "take it back first." in shown("lend")
    assert "take it back first." not in shown("part-with")  # what never came back is written off
    take_back(tube.item, on=today, by=keeper)
    LoanFactory(tube=tube, way="in", who="R. Oddsworth")
    assert "record that it was given back" in shown("part-with")
    Item.objects.filter(pk=tube.pk).update(gone_on=today)
    assert "left the collection on" in shown("lend")


def test_two_loans_are_not_at_one_time(tube, keeper, today, days_ago, refused):
    lend(tube.item, "Margit Ostrey", on=days_ago(40), by=keeper)
    take_back(tube.item, on=days_ago(10), by=keeper)
    with refused("on", f"lent to Margit Ostrey since {days_ago(40)} until {days_ago(10)}"):
        lend(tube.item, "R. Oddsworth", on=days_ago(30), by=keeper)
    lend(tube.item, "R. Oddsworth", on=days_ago(10), by=keeper)  # on the day on which it came back
    first, later = Loan.objects.order_by("since")
    later.since = days_ago(11)
    with refused("since", "lent to Margit Ostrey"):
        save_loan(later, today=today, by=keeper)
    first.ended = days_ago(9)
    with refused("since", "lent to R. Oddsworth"):
        save_loan(first, today=today, by=keeper)
    first.ended = days_ago(12)
    save_loan(first, today=today, by=keeper)


def test_what_was_lent_before_there_were_loans_gets_one_as_it_comes_back(keeper, today, days_ago):
    old = TubeFactory(lent_to="R. Oddsworth")
    take_back(old.item, on=today, by=keeper, condition="as it was")
    row = Loan.objects.get()
    assert (row.who, row.since, row.ended, row.condition_back) == ("R. Oddsworth", days_ago(2), today, "as it was")
    bare = TubeFactory()
    Item.objects.filter(pk=bare.pk).update(lent_to="somebody")  # by a list, without a day
    take_back(bare.item, on=today, by=keeper)
    assert Loan.objects.count() == 1


def test_what_leaves_while_it_is_lent_is_over(tube, keeper, today):
    lend(tube.item, "R. Oddsworth", on=today, by=keeper)
    part_with(tube.item, "sold to R. Oddsworth", on=today, today=today, by=keeper)
    row = Loan.objects.get()
    assert row.ended == today and row.condition_back == "not back: sold"


def test_what_is_lent_is_not_sold_to_another_without_a_word(tube, keeper, today, refused):
    lend(tube.item, "R. Oddsworth", on=today, by=keeper)
    with refused("why", "is lent to R. Oddsworth"):
        part_with(tube.item, "sold to P. Quillan", on=today, today=today, by=keeper)
    part_with(tube.item, "sold to P. Quillan", on=today, today=today, by=keeper, why="goes on from there")
    (loan,) = record_of(Item.objects.get(pk=tube.pk)).as_dict()["loans"]
    assert (loan["back_on"], loan["ended"], loan["never_back"]) == (None, str(today), True)


def test_what_was_bought_is_not_said_to_be_on_loan_without_a_word(tube, keeper, as_keeper, today, refused):
    add_facts(tube.item, "paid", "8 USD", by=keeper, today=today)
    with refused("why", "a price was paid for it"):
        borrow(Loan(item=tube.item, who="Ebb Street radio club", since=today), today=today, by=keeper)
    page = page_text(as_keeper.get(reverse("holdings:item-borrow", args=[tube.tag])))
    assert "a price was paid for it" in page and 'name="why"' in page
    row = borrow(
        Loan(item=tube.item, who="Ebb Street radio club", since=today), today=today, by=keeper, why="given to the club"
    )
    assert row.note == "given to the club"


def test_a_thing_of_somebody_else_goes_back_to_its_owner(tube, keeper, today, refused):
    row = borrow(
        Loan(item=tube.item, who="Ebb Street radio club", since=today, due=today, condition="new"),
        today=today,
        by=keeper,
    )
    with refused("who", "already"):
        borrow(Loan(item=tube.item, who="P. Quillan", since=today), today=today, by=keeper)
    with refused("gone_on", "belongs to Ebb Street radio club"):
        part_with(tube.item, "sold", on=today, today=today, by=keeper)
    with refused("why", "here on loan until"):
        lend(tube.item, "P. Quillan", on=today, by=keeper)
    lend(tube.item, "P. Quillan", on=today, by=keeper, why="the club agreed")
    with refused("on", "is lent to P. Quillan"):
        give_back(row, on=today, by=keeper)
    take_back(tube.item, on=today, by=keeper)
    give_back(row, on=today, by=keeper, condition="as it came")
    item = Item.objects.get()
    assert (item.gone_on, item.gone_how) == (today, "given back to Ebb Street radio club")
    owner = record_of(item).as_dict()["owner"]  # its owner has it back: it never was ours
    assert (owner["ours"], owner["who"]) == (False, "Ebb Street radio club")
    assert list(Tube.objects.filter(is_ours(False))) == [tube] and not Tube.objects.filter(is_ours()).exists()
    with refused("on", "not here on loan any more"):
        give_back(row, on=today, by=keeper)


def test_what_is_in_a_set_is_not_given_back(keeper, today, refused):
    row = LoanFactory(tube=TubeFactory(), way=Loan.IN)
    FittingFactory(tube=row.item.tube)
    with refused("on", "take it out first"):
        give_back(row, on=today, by=keeper)


def test_a_set_goes_back_empty(keeper, today, days_ago, refused):
    row, chassis = LoanFactory(tube=TubeFactory(), way=Loan.IN), ChassisFactory()
    Loan.objects.filter(pk=row.pk).update(item=chassis.item)
    fitting = FittingFactory(chassis=chassis, since=days_ago(20))
    row.refresh_from_db()
    with refused("on", "still holds 1 tube"):
        give_back(row, on=today, by=keeper)
    Fitting.objects.filter(pk=fitting.pk).update(until=days_ago(1))
    give_back(row, on=today, by=keeper)
    assert Item.objects.get(pk=chassis.pk).gone_on == today


def test_a_tube_goes_back_when_it_was_out_of_its_set(keeper, today, days_ago, refused):
    row = LoanFactory(tube=TubeFactory(), way=Loan.IN)
    FittingFactory(tube=row.item.tube, since=days_ago(20), until=days_ago(1))
    with refused("on", f"was in a set until {days_ago(1)}"):
        give_back(row, on=days_ago(5), by=keeper)
    give_back(row, on=days_ago(1), by=keeper)


def test_what_counts_on_a_borrowed_thing_is_asked_about_before_it_goes_back(as_keeper, tube, today):
    sits = in_use(tube.type)
    row = borrow(Loan(item=tube.item, who="Ebb Street radio club", since=today), today=today, by=None)
    address = f"{row.get_absolute_url()}give-back/"
    text = page_text(as_keeper.get(address))
    words = f"the only good spare of 6SN7GT, which is in use in {sits.chassis} V3"
    assert words in text and 'name="why"' in text and "It belongs to" not in text
    answer = as_keeper.post(address, {"on": today})
    assert answer.status_code == 422 and Item.objects.get(pk=tube.pk).gone_on is None
    with pytest.raises(ValidationError, match="the only good spare"):
        give_back(row, on=today, by=None)
    assert as_keeper.post(address, {"on": today, "why": "they need it"}).status_code == 302
    assert Item.objects.get(pk=tube.pk).gone_how == "given back to Ebb Street radio club; all the same: they need it"


def test_a_thing_is_locked_before_its_loan(as_keeper, tube, keeper, today, monkeypatch):
    """In one order everywhere: else of two changes of a loan each could wait for the other (PostgreSQL, deadlocks)."""
    asked = []

    def noted(rows, *args, plain=QuerySet.select_for_update, **more):
        asked.append(rows.model)
        return plain(rows, *args, **more)

    monkeypatch.setattr(QuerySet, "select_for_update", noted)

    def order(change):
        asked.clear()
        change()
        return list(dict.fromkeys(model for model in asked if model in (Item, Loan)))

    lend(tube.item, "R. Oddsworth", on=today, by=keeper)
    row = Loan.objects.get()
    address = f"{row.get_absolute_url()}change/"
    cells = {"who": "Margit Ostrey", "since": today} | seen_at(as_keeper, address)
    assert order(lambda: as_keeper.post(address, cells)) == [Item, Loan]
    row.refresh_from_db()
    assert row.who == "Margit Ostrey"
    assert order(lambda: save_loan(row, today=today, by=keeper)) == [Item, Loan]
    assert order(lambda: take_back(tube.item, on=today, by=keeper)) == [Item, Loan]
    here = borrow(Loan(item=tube.item, who="the club", since=today), today=today, by=keeper)
    assert order(lambda: give_back(here, on=today, by=keeper)) == [Item, Loan]


def test_a_corrected_loan_says_the_same_on_the_thing(tube, keeper, today, days_ago, refused):
    lend(tube.item, "M. Ostrey", on=today, by=keeper)
    row = Loan.objects.get()
    row.who, row.since, row.due = "Margit Ostrey", days_ago(2), today
    save_loan(row, today=today, by=keeper)
    item = Item.objects.get()
    assert (item.lent_to, item.lent_on) == ("Margit Ostrey", days_ago(2))
    row.ended = today
    with refused("ended", "came back"):
        save_loan(row, today=today, by=keeper)


def test_a_tube_entered_by_mistake_and_said_to_be_borrowed_stays(keeper, today):
    (made,) = add_tubes(Tube(marked="6K7"), by=keeper, on=today)
    borrow(Loan(item=made.item, who="P. Quillan", since=today), today=today, by=keeper)
    from inventory.holdings.actions import untouched

    assert "was changed since" in untouched([made.pk])


# --- what is due, where it is told ------------------------------------------------------------------------------------


def test_overdue_loans_stand_on_the_first_page_and_in_the_calendar(as_visitor, today, days_ago):
    late = LoanFactory()
    soon = LoanFactory(tube=TubeFactory(), way=Loan.IN, who="the club", due=today + timedelta(days=3))
    LoanFactory(due=today + timedelta(days=90))
    LoanFactory(due=None)
    LoanFactory(ended=days_ago(1))
    assert [(one.loan, one.days, one.overdue) for one in loans_due(today)] == [(late, 10, True), (soon, -3, False)]
    text = page_text(as_visitor.get("/"))
    assert "Loans due" in text and "10 days overdue" in text and "due in 3 days" in text
    out = StringIO()
    call_command("bench", "--json", stdout=out)
    told = json.loads(out.getvalue())["loans_due"]
    assert [(one["tag"], one["overdue"]) for one in told] == [(late.item.tag, True), (soon.item.tag, False)]
    out = StringIO()
    call_command("bench", stdout=out)
    assert "Loans overdue or due within 14 days: 2" in out.getvalue()
    events = Calendar.from_ical(as_visitor.get(reverse("running:schedules-calendar")).content).walk("VEVENT")
    told = {str(event["summary"]): event.decoded("dtstart") for event in events}
    assert told[f"{late.item.tag}: due back"] == late.due
    assert told[f"{soon.item.tag}: to be given back"] == soon.due and len(told) == 3


def test_the_list_and_the_sheet(as_keeper, tube, today):
    HazardMark.objects.create(item=tube.item, hazard="mercury", on=today)
    address = f"/things/{tube.tag}/lend/"
    sent = {"lent_to": "Margit Ostrey", "on": today, "due": today, "condition": "reads 92", "terms": "for a display"}
    assert as_keeper.post(address, sent).status_code == 302
    row = Loan.objects.get()
    text = page_text(as_keeper.get(row.get_absolute_url()))
    for words in ("Margit Ostrey", "reads 92", "for a display", "Who takes it", "Mercury", "High voltage"):
        assert words.lower() in text.lower()
    assert "Loan sheet" in page_text(as_keeper.get(tube.get_absolute_url()))
    bare = TubeFactory(lent_to="R. Oddsworth")
    text = page_text(as_keeper.get("/loans/"))
    assert "lent to Margit Ostrey" in text and "Lent by a list or an older record" in text and bare.tag in text
    change = f"{row.get_absolute_url()}change/"
    cells = {"who": "Margit Ostrey", "since": today, "due": today + timedelta(days=9), "reason": "she asked"}
    assert as_keeper.post(change, cells | seen_at(as_keeper, change)).status_code == 302
    as_keeper.post(f"/things/{tube.tag}/back/", {"on": today, "condition": "reads 88"}, follow=True)
    assert "lent to Margit Ostrey" not in page_text(as_keeper.get("/loans/"))
    assert "lent to Margit Ostrey" in page_text(as_keeper.get("/loans/?over=yes"))
    assert "reads 88" in page_text(as_keeper.get(row.get_absolute_url()))


def test_somebody_elses_thing_is_said_to_be_so_on_its_page(as_keeper, tube, today):
    sent = {"who": "Ebb Street radio club", "since": today, "due": today}
    assert as_keeper.post(f"/things/{tube.tag}/on-loan/", sent).status_code == 302
    text = page_text(as_keeper.get(tube.get_absolute_url()))
    assert "Here on loan" in text and "<strong>from</strong> Ebb Street radio club" in text
    row = Loan.objects.get()
    assert as_keeper.post(f"{row.get_absolute_url()}give-back/", {"on": today}).status_code == 302
    assert Item.objects.get().gone_how == "given back to Ebb Street radio club"


# --- the last spare of what is in use ---------------------------------------------------------------------------------


def in_use(kind):
    return FittingFactory(tube=TubeFactory(type=kind), position=PositionFactory(mark="V3"), chassis=ChassisFactory())


def test_the_only_spare_of_a_type_in_use_is_asked_about(tube, keeper, today, refused):
    sits = in_use(tube.type)
    words = f"the only good spare of 6SN7GT, which is in use in {sits.chassis} V3"
    assert last_spares([tube.item]) == {tube.pk: [words]}
    for leave in (
        lambda **more: lend(tube.item, "R. Oddsworth", on=today, by=keeper, **more),
        lambda **more: part_with(tube.item, "sold", on=today, by=keeper, today=today, **more),
    ):
        with refused("why", words):
            leave()
    lend(tube.item, "R. Oddsworth", on=today, by=keeper, why="for one evening")
    assert "all the same: for one evening" in Loan.objects.get().note


def test_another_spare_of_the_same_tube_under_another_number_is_enough(tube):
    in_use(tube.type)
    other = TubeFactory(type=tube.type)
    assert last_spares([tube.item]) == {}
    told = last_spares([tube.item, other.item])
    assert {words[0].split(",")[0] for words in told.values()} == {"one of the last 2 good spares of 6SN7GT"}


@pytest.mark.parametrize("what", ["weak", "not in use", "fitted", "lent"])
def test_what_is_no_last_spare(tube, what):
    if what != "not in use":
        in_use(tube.type)
    if what == "weak":
        Tube.objects.update(state="weak")
    if what == "lent":
        Item.objects.filter(pk=tube.pk).update(lent_to="R. Oddsworth")
    if what == "fitted":
        FittingFactory(tube=tube)
    assert last_spares([tube.item]) == {}


def test_many_things_cost_no_more_questions(tube):
    def spares(number):
        items = []
        for _ in range(number):
            kind = TubeTypeFactory()
            in_use(kind)
            items.append(TubeFactory(type=kind).item)
        return items

    few, many = spares(2), spares(9)
    last_spares(few)
    assert cost(lambda: last_spares(few)) == cost(lambda: last_spares(many))


def test_out_of_its_room_it_goes_with_a_reason(tube, keeper, today, refused):
    in_use(tube.type)
    store, shed = tube.item.place, PlaceFactory(code="Shed")
    inner = PlaceFactory(code="D1", parent=store)
    move([tube.item], inner, on=today, by=keeper)  # within the room nobody asks
    for place in (shed, None):
        with refused("reason", "the only good spare of 6SN7GT"):
            move([tube.item], place, on=today, by=keeper)
    with refused("reason", "to Shed"):
        move_place(inner, shed, on=today, by=keeper)
    assert move([tube.item], shed, on=today, by=keeper, reason="for the display") == 1


def test_the_page_names_it_before(as_keeper, tube, today):
    in_use(tube.type)
    shed = PlaceFactory(code="Shed")
    address = f"/things/{tube.tag}/move/"
    assert "Out of its room it goes with a reason." in page_text(as_keeper.get(address))
    refused = as_keeper.post(address, {"place": shed.pk, "on": today})
    assert refused.status_code == 422 and "write down why" in page_text(refused)
    many = {"tags": tube.tag, "place": shed.pk, "on": today}
    assert as_keeper.post("/things/move/", many).status_code == 422
    assert as_keeper.post("/things/move/", many | {"reason": "for the display"}).status_code == 302
