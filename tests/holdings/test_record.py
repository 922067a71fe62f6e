"""The record of a thing: how it came, whose it is, how it was found, how it left.

What a record has to say restates the Collections Trust's Spectrum (Acquisition and accessioning; Loans in; Condition
checking; Deaccessioning and disposal), read in laws.md section 10.
"""

import json
from datetime import date, time, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from inventory.holdings.actions import add_facts, add_tubes, note_hazards, part_with, take_back
from inventory.holdings.actions.conditions import note_condition
from inventory.holdings.actions.said import CAME, say_how_it_came, say_how_it_left, state_said
from inventory.holdings.models import ConditionCheck, Fact, HazardMark, Item, Loan, Tube
from inventory.holdings.queries.conditions import looks_due
from inventory.holdings.queries.record import came, record_of
from inventory.house.records.actions import strike_out
from inventory.running.queries.schedules import calendar
from inventory.valuation.queries.things import owned_things
from inventory.valuation.queries.worth_line import worth_line
from tests.commands import answer_of
from tests.factories import ChassisFactory, TubeFactory, TubeTypeFactory, days_ago
from tests.holdings.parts import lot_of
from tests.holdings.rows import LoanFactory, condition_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def tube():
    return TubeFactory(item__tag="T-0001")


# --- how it came -----------------------------------------------------------------------------------------------------


def test_of_a_tube_columns_say_it_and_a_fact_what_they_cannot(tube, keeper, today):
    words = {"how": "bought at Ebb Street", "when": "before 1990", "source": "I. Crane", "title": "bill, ledger B 12"}
    assert say_how_it_came(tube.item, words, by=keeper, today=today) == list(words)
    row = Tube.objects.get(pk=tube.pk)
    assert (row.acquired_how, row.acquired_from, row.acquired_on) == ("bought at Ebb Street", "I. Crane", None)
    assert [fact.about for fact in row.item.facts.all()] == ["acquired", "title"]
    told = came(row.item)
    assert (told.way, told.when_told, told.title) == ("bought", "before 1990-01-01", "bill, ledger B 12")
    say_how_it_came(row.item, {"when": "2019-05-04"}, by=keeper, today=today, why="the bill says so")
    row.refresh_from_db()
    assert row.acquired_on == date(2019, 5, 4)
    assert Fact.objects.get(item=row.pk, about="acquired").struck == "the bill says so"


@pytest.mark.parametrize("make", [ChassisFactory, lot_of], ids=["chassis", "lot"])
def test_of_all_else_facts_say_it(make, keeper, today):
    item = make().item
    words = {"how": "given", "when": "1987", "source": "Marrow museum", "title": "letter of the giver"}
    say_how_it_came(item, words, by=keeper, today=today)
    assert came(item).as_dict() == {
        "how": "given", "way": "given", "when": "1987", "from": "Marrow museum", "title": "letter of the giver",
        "paid": None,
    }  # fmt: skip
    assert say_how_it_came(item, words, by=keeper, today=today) == []
    say_how_it_came(item, {"source": ""}, by=keeper, today=today)
    assert came(item).source == "" and item.facts.get(about="got_from").struck == "said otherwise"


def test_what_cannot_be_read_is_refused_by_its_field(tube, keeper, today):
    with pytest.raises(ValidationError) as refusal:
        say_how_it_came(tube.item, {"when": "the other day"}, by=keeper, today=today)
    assert list(refusal.value.message_dict) == ["when"]


def test_who_saw_something_else_is_asked_again(tube, as_keeper, keeper, today):
    page = as_keeper.get("/things/T-0001/came/")
    seen = page.context["form"]["seen"].value()
    assert seen == state_said(came(tube.item), CAME)
    say_how_it_came(tube.item, {"how": "given"}, by=keeper, today=today)
    late = as_keeper.post("/things/T-0001/came/", {"how": "bought", "seen": seen})
    assert late.status_code == 422 and "changed this record since you opened it" in late.content.decode()
    again = as_keeper.post("/things/T-0001/came/", {"how": "bought", "seen": late.context["form"]["seen"].value()})
    assert again.status_code == 302 and came(Item.objects.get(tag="T-0001")).how == "bought"
    assert as_keeper.post("/things/T-0001/came/", {"how": "built"}).status_code == 422  # it does not say what it showed


# --- whose it is -----------------------------------------------------------------------------------------------------


def test_what_is_not_ours_is_never_valued(today):
    kind = TubeTypeFactory()
    own, lent = (TubeFactory(type=kind, state="good") for _ in range(2))
    LoanFactory(tube=lent, way=Loan.IN)
    assert worth_line(own.item) is not None and worth_line(lent.item) is None
    assert [one.tag for one in owned_things(today)] == [own.tag]


def test_it_is_not_parted_with_as_ours(tube, keeper, today):
    LoanFactory(tube=tube, way=Loan.IN, who="Marrow museum")
    with pytest.raises(ValidationError, match="belongs to Marrow museum"):
        part_with(tube.item, "sold", on=today, by=keeper)
    assert record_of(tube.item).as_dict()["owner"]["who"] == "Marrow museum"


def test_words_of_a_loan_without_a_sheet_are_told(tube, as_visitor, keeper, today):
    say_how_it_came(tube.item, {"how": "on loan from the club"}, by=keeper, today=today)
    assert record_of(Item.objects.get(pk=tube.pk)).loan_unsaid
    assert "no loan sheet says so" in as_visitor.get(tube.get_absolute_url()).content.decode()
    LoanFactory(tube=tube, way=Loan.IN)
    assert not record_of(Item.objects.get(pk=tube.pk)).loan_unsaid


# --- how it was found ------------------------------------------------------------------------------------------------


def look(item, keeper, today, **said):
    told = {"on": today, "by_whom": "I. Crane", "state": "base loose"} | said
    return note_condition(ConditionCheck(item=item, **told), by=keeper, today=today)


def test_a_history_newest_first_and_old_words_without_a_day(as_visitor, keeper, today):
    tube = TubeFactory(item__tag="T-0002", condition="getter like a mirror")
    look(tube.item, keeper, today, on=days_ago(400), state="as it came")
    last = look(tube.item, keeper, today, lacking="top cap", look_again=today + timedelta(days=90))
    record = record_of(Item.objects.get(pk=tube.pk))
    assert [one.state for one in record.standing] == ["base loose", "as it came"]
    assert (record.undated, record.look_again) == ("getter like a mirror", last.look_again)
    assert last.complete_text == "not complete: top cap"
    text = as_visitor.get(tube.get_absolute_url()).content.decode()
    at = [text.index(words) for words in ("base loose", "as it came", "getter like a mirror")]
    assert at == sorted(at)
    strike_out(last, "of another", by=keeper)
    assert record_of(Item.objects.get(pk=tube.pk)).look_again is None


def test_who_looked_saw_it_and_what_can_hurt_is_marked(tube, keeper, today):
    look(tube.item, keeper, today, hazard="mercury", state="a drop on the shelf")
    item = Item.objects.get(pk=tube.pk)
    assert item.seen_on == today
    mark = item.hazards.get()
    assert (mark.hazard, mark.standing, mark.by_whom) == ("mercury", HazardMark.CONFIRMED, "I. Crane")
    assert mark.reason == "seen: a drop on the shelf"


def test_of_two_looks_on_a_day_the_one_with_an_hour_is_the_last_everywhere(tube, today):
    condition_of(tube.item, on=today, state="base tight", at=time(9, 30), look_again=None)
    condition_of(tube.item, on=today, state="base loose", look_again=today)
    assert [one.state for one in record_of(tube.item).conditions] == ["base tight", "base loose"]
    assert looks_due(today, None) == []


def test_a_later_word_on_a_hazard_stands(tube, keeper, today):
    said = {"standing": HazardMark.NONE_FOUND, "reason": "counter at background", "on": today, "by": keeper}
    note_hazards(tube.item, ["radium"], **said)
    look(tube.item, keeper, today, hazard="radium", on=days_ago(30))
    assert tube.item.hazards.get().standing == HazardMark.NONE_FOUND


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"state": " "}, "state"), ({"by_whom": ""}, "by_whom"),
        ({"complete": "complete", "lacking": "cap"}, "lacking"),
        ({"look_again": days_ago(0)}, "look_again"), ({"on": days_ago(-1)}, "on"),
    ],
)  # fmt: skip
def test_a_condition_that_cannot_be_so_is_refused(tube, keeper, today, said, field):
    with pytest.raises(ValidationError) as refusal:
        look(tube.item, keeper, today, **said)
    assert list(refusal.value.message_dict) == [field]


def test_what_is_to_be_looked_at_again_is_due(keeper, today, as_visitor):
    old, now, later, lent = (TubeFactory() for _ in range(4))
    condition_of(old.item, look_again=days_ago(3))
    condition_of(now.item, on=days_ago(9), look_again=days_ago(2))
    condition_of(now.item, on=days_ago(1), look_again=today)
    condition_of(later.item, look_again=days_ago(-90))
    condition_of(lent.item, look_again=days_ago(3))
    Item.objects.filter(pk=lent.pk).update(lent_to="I. Crane")
    assert [(one.row.item_id, one.standing) for one in looks_due(today)] == [
        (old.pk, "3 days overdue"), (now.pk, "due today"),
    ]  # fmt: skip
    assert [one.row.item_id for one in looks_due(today, None)] == [old.pk, now.pk, later.pk]
    assert "3 days overdue" in as_visitor.get("/").content.decode()
    assert later.tag in calendar(today, timezone.now())


# --- how it left -----------------------------------------------------------------------------------------------------


def test_a_disposal_says_why_on_whose_word_to_whom_for_how_much(tube, keeper, today):
    words = {"reason": "two better ones", "authority": "keeper, minutes 4", "recipient": "P. Quillan",
             "proceeds": "30 USD"}  # fmt: skip
    part_with(tube.item, "sold", on=today, by=keeper, record=words)
    left = record_of(Item.objects.get(pk=tube.pk)).left
    assert left.as_dict() == {
        "on": str(today), "how": "sold", "way": "sold", "reason": "two better ones",
        "authorised_by": "keeper, minutes 4", "recipient": "P. Quillan", "proceeds": "30 USD",
    }  # fmt: skip
    assert left.lacking == ()


def test_what_left_without_a_word_is_completed_later(tube, as_keeper, keeper, today):
    part_with(tube.item, "given to the club", on=today, by=keeper)
    assert record_of(Item.objects.get(pk=tube.pk)).left.lacking == ("why", "on whose word")
    assert "Write down why and on whose word" in as_keeper.get(tube.get_absolute_url()).content.decode()
    say_how_it_left(tube.item, {"reason": "not of our field", "authority": "the board"}, by=keeper, today=today)
    left = record_of(Item.objects.get(pk=tube.pk)).left
    assert (left.way, left.reason, left.lacking) == ("given away", "not of our field", ())


def test_proceeds_want_their_currency_and_what_is_here_left_nowhere(tube, keeper, today):
    with pytest.raises(ValidationError, match="is here; part with it first"):
        say_how_it_left(tube.item, {"reason": "too many"}, by=keeper, today=today)
    with pytest.raises(ValidationError, match="Say the currency"):
        part_with(tube.item, "sold", on=today, by=keeper, record={"proceeds": "30"})


# --- L10 -------------------------------------------------------------------------------------------------------------


def test_an_own_number_is_given_once(tube, keeper, today):
    """L10.1: a number once used cannot be issued again after disposal (Spectrum, Deaccessioning and disposal)."""
    add_facts(tube.item, "number", "K-71", by=keeper, today=today)
    other = TubeFactory().item
    with pytest.raises(ValidationError, match="k-71 is the own number of T-0001; a number is given once"):
        add_facts(other, "number", "k-71 ", by=keeper, today=today)
    part_with(tube.item, "scrapped", on=today, by=keeper)
    with pytest.raises(ValidationError, match=rf"T-0001, which left on {today}"):
        add_facts(other, "number", "K-71", by=keeper, today=today)
    with pytest.raises(ValidationError, match="never used again"):
        add_tubes(Tube(marked="6SN7GT"), tag="T-0001", on=today, by=keeper)


def test_a_value_says_what_it_rests_on_and_its_day(tube, keeper, today):
    """L10.4: a value without basis or date is refused (Spectrum, Valuation)."""
    for said, field in (({"dated": today}, "basis"), ({"basis": "replacement"}, "dated")):
        with pytest.raises(ValidationError) as refusal:
            add_facts(tube.item, "insured", "90 GBP", by=keeper, today=today, **said)
        assert list(refusal.value.message_dict) == [field]
    (fact,) = add_facts(tube.item, "insured", "90 GBP", by=keeper, today=today, basis="replacement", dated=today)
    assert (fact.basis, fact.first, fact.value) == ("replacement", today, 90)
    with pytest.raises(ValidationError, match="Only an insured value"):
        add_facts(tube.item, "paid", "90 GBP", by=keeper, today=today, basis="replacement")


# --- command and API -------------------------------------------------------------------------------------------------


def test_command_and_api_say_the_same_and_visitors_see_no_money(tube, as_visitor, as_helper, keeper, today):
    add_facts(tube.item, "paid", "12 GBP", by=keeper, today=today)
    look(tube.item, keeper, today)
    told, _ = answer_of("record", "T-0001")
    assert told["condition"][0]["state"] == "base loose" and told["acquisition"]["paid"] == "12 GBP"
    assert json.loads(as_helper.get("/api/things/T-0001/record").content) == told
    assert json.loads(as_visitor.get("/api/things/T-0001/record").content)["acquisition"]["paid"] is None


def test_a_loan_out_and_back_is_in_the_record(keeper, today):
    item = LoanFactory().item
    take_back(item, on=today, by=keeper, condition="as it went")
    (told,) = record_of(Item.objects.get(pk=item.pk)).as_dict()["loans"]
    assert (told["way"], told["back_on"]) == ("out", str(today))
