"""What is reserved for a plan, and what becomes of it. Sets are invented; the types are real."""

import pytest
from django.core.exceptions import ValidationError

from inventory.holdings.actions import lend, part_with
from inventory.holdings.models import Loan, PartLot
from inventory.holdings.queries.together import before_it_leaves
from inventory.restoration.actions import release, reserve_all, reserve_tube, save_plan
from inventory.restoration.models import Plan, Requirement, Reservation
from inventory.restoration.queries.cover import cover_of, cover_of_set
from inventory.restoration.queries.stock import owed_words
from inventory.running.queries import match_tubes
from tests.counting import statements
from tests.factories import (
    ChassisFactory,
    FittingFactory,
    ItemFactory,
    PositionFactory,
    SetModelFactory,
    TubeFactory,
    TubeTypeFactory,
)
from tests.pages import page_text
from tests.restoration.receiver import by_mark, tube
from tests.restoration.rows import PartTypeFactory, PlanFactory
from tests.running.rows import InstrumentFactory, TubeTestFactory

pytestmark = pytest.mark.django_db


def test_reserved_is_offered_to_nobody_else(plan, model, today, keeper):
    tubes = [tube(), tube(), tube("6K7")]
    kept = reserve_all(plan, on=today, by=keeper)
    assert {row.item for row in kept} == {one.item for one in tubes}
    other = PlanFactory(sets=[ChassisFactory(model=model)], priority=1)
    lines = cover_of(other, today).lines
    assert {line.status for line in lines} == {"reserved elsewhere"}
    assert all("reserved for Marram in the shed" in line.reasons[-1] for line in lines)
    assert all(line.reserved and line.status == "covered" for line in cover_of(plan, today).lines)
    with pytest.raises(ValidationError, match="reserved for"):
        reserve_tube(other, other.sets.get(), model.positions.get(mark="V1"), tubes[0], on=today, by=keeper)
    release(kept[0], by=keeper)
    assert Reservation.objects.count() == 2
    assert Reservation.history.filter(history_type="-").count() == 1


def test_a_kept_tube_that_went_bad_leaves_the_line_short(plan, today, keeper):
    tube(), tube(), tube("6K7")
    kept = reserve_all(plan, on=today, by=keeper)
    one = kept[0].item.tube
    one.state = "dud"
    one.save()
    line = next(line for line in cover_of(plan, today).lines if line.thing == one.item)
    assert line.status == "short"
    assert any("release it" in text for text in line.reasons)


def test_what_is_reserved_does_not_leave_unasked(plan, today, keeper, as_keeper):
    one = tube("6K7")
    reserve_all(plan, on=today, by=keeper)
    text = page_text(as_keeper.get(one.get_absolute_url()))
    assert "reserved for Marram in the shed" in text
    for leave in (
        lambda **more: lend(one.item, "R. Oddsworth", **more),
        lambda **more: part_with(one.item, "sold", **more),
    ):
        with pytest.raises(ValidationError, match="reserved for Marram in the shed"):
            leave(on=today, by=keeper)
    for way in ("lend", "part-with"):
        asked = page_text(as_keeper.get(f"/things/{one.tag}/{way}/"))
        assert "why it goes all the same" in asked and "alone" not in asked  # nothing belongs with it
        first = asked.index('name="why"')
        assert asked.index("It is reserved for Marram in the shed") < first < asked.index('name="on"')
    lend(one.item, "R. Oddsworth", on=today, by=keeper, why="for one evening")
    assert one.item.history.first().history_change_reason == "lent all the same: for one evening"
    assert by_mark(plan, today)["V3"].status == "short"


def test_matching_leaves_out_what_is_reserved(plan, today, keeper):
    instrument, tubes = InstrumentFactory(), [tube() for _ in range(4)]
    for one in tubes:
        TubeTestFactory(tube=one, instrument=instrument, reading=2500.0)
    kept = {row.item.tag for row in reserve_all(plan, on=today, by=keeper)}
    found = match_tubes(tubes[0].type, instrument, today)
    assert {tag for tag, why in found.left_out if "reserved for" in why} == kept
    assert {tag for line in found.as_dict()["sets"] for tag in line["tags"]} == {one.tag for one in tubes} - kept


def test_a_tube_that_was_put_in_is_no_longer_reserved(plan, today, keeper, as_keeper):
    tubes = [tube(), tube(), tube("6K7")]
    reserve_all(plan, on=today, by=keeper)
    chassis = plan.sets.get()
    FittingFactory(tube=tubes[2], chassis=chassis, position=chassis.model.positions.get(mark="V3"))
    assert "reserved for" not in page_text(as_keeper.get(tubes[2].get_absolute_url()))
    assert by_mark(plan, today)["V3"].status == "in place"


@pytest.mark.parametrize("state", ["dud", "lent", "fitted"])
def test_what_cannot_serve_is_not_reserved(plan, model, today, keeper, state):
    one = tube(state="dud" if state == "dud" else "good", lent_to="R. Oddsworth" if state == "lent" else "")
    if state == "fitted":
        FittingFactory(tube=one, position=PositionFactory(type=one.type))
    with pytest.raises(ValidationError):
        reserve_tube(plan, plan.sets.get(), model.positions.get(mark="V1"), one, on=today, by=keeper)
    assert not Reservation.objects.exists()


def test_a_finished_plan_gives_back_what_was_kept(plan, today, keeper):
    tube(), tube(), tube("6K7")
    reserve_all(plan, on=today, by=keeper)
    plan.state = Plan.FINISHED
    save_plan(plan, list(plan.sets.all()), today=today, by=keeper)
    assert not Reservation.objects.exists()


def test_one_set_is_in_one_open_plan(plan, today, keeper):
    with pytest.raises(ValidationError, match="already"):
        save_plan(Plan(name="Again"), list(plan.sets.all()), today=today, by=keeper)
    with pytest.raises(ValidationError, match="a restoration is of one"):
        save_plan(Plan(name="Two"), [ChassisFactory(), ChassisFactory()], today=today, by=keeper)


def test_parts_reserved_for_the_plan_of_a_set_are_its_own(plan, today, keeper):
    kind = PartTypeFactory()
    lot = PartLot.objects.create(item=ItemFactory(kind="parts"), name="capacitor", type=kind, least=2, most=2)
    row = Requirement.objects.create(plan=plan, words="bathtub", type=kind, quantity=2)
    Reservation.objects.create(plan=plan, item=lot.item, requirement=row, quantity=2, on=today)
    (line,) = (line for line in cover_of_set(plan.sets.get(), today).lines if line.requirement)
    assert line.status == "covered"


def test_a_set_that_leaves_releases_what_is_reserved_for_it(plan, model, today, keeper):
    tube(), tube(), tube("6K7")
    lot = PartLot.objects.create(item=ItemFactory(kind="parts"), name="cord", type=PartTypeFactory(), least=5, most=5)
    line = Requirement.objects.create(plan=plan, words="cord", type=lot.type, quantity=2)
    reserve_all(plan, on=today, by=keeper)
    assert plan.reservations.count() == 4 and line.reservations.count() == 1
    other = PlanFactory(sets=[ChassisFactory(model=model)])
    assert by_mark(other, today)["V1"].status == "reserved elsewhere"
    part_with(plan.sets.get().item, "sold", on=today, by=keeper, why="it was asked for")
    assert not Reservation.objects.exists()
    assert by_mark(other, today)["V1"].status == "covered"
    told = cover_of(plan, today)
    assert (told.count.answer, told.count.not_here) == ("not yet", 1)
    assert f"It left the collection on {today}" in told.lines[0].reasons[0]


def test_one_of_two_sets_leaves_and_the_other_keeps_its_own(plan, model, today, keeper):
    other = ChassisFactory(model=model)
    plan.aim = Plan.KEEP
    plan.save()
    plan.sets.add(other)
    [tube() for _ in range(4)], tube("6K7"), tube("6K7")
    part = PartTypeFactory()
    PartLot.objects.create(item=ItemFactory(kind="parts"), name="cord", type=part, least=5, most=5)
    Requirement.objects.create(plan=plan, words="cord", type=part, quantity=2)
    reserve_all(plan, on=today, by=keeper)
    gone = plan.sets.exclude(pk=other.pk).get()
    part_with(gone.item, "sold", on=today, by=keeper, why="it was asked for")
    assert plan.reservations.filter(chassis=other).count() == 3
    assert not plan.reservations.filter(chassis=gone).exists() and plan.reservations.count() == 4


def test_what_is_reserved_is_told_once_and_in_sentences(plan, today, keeper, days_ago):
    one = tube("6K7")
    reserve_all(plan, on=today, by=keeper)
    one.item.lent_to = "R. Oddsworth"
    one.item.save()
    reasons = " ".join(by_mark(plan, today)["V3"].reasons)
    assert reasons.count("reserved for it") == 1 and f"since {today} and is lent to R. Oddsworth" in reasons
    lot = PartLot.objects.create(item=ItemFactory(kind="parts"), name="capacitor", least=9, most=9)
    for number, words in ((3, "3 of it are reserved for"), (1, "1 of it is reserved for")):
        row = Reservation.objects.create(plan=plan, item=lot.item, quantity=number, on=today)
        assert before_it_leaves(lot.item).startswith(words)
        row.delete()
    late = Loan(item=lot.item, way=Loan.IN, who="Ebb Street radio club", due=days_ago(29))
    assert owed_words("T-0036", late)[0].endswith(f"to be given back by {late.due}, overdue")
    late.due = today
    assert owed_words("T-0036", late)[0].endswith(f"to be given back by {today}")


def test_each_tube_more_costs_few_questions_while_all_wait(today, keeper):
    """Its own rows are locked, checked and written; what may stand where was found for all of them at once."""

    def told(number):
        model = SetModelFactory(neutralizing="none")
        for mark in range(number):
            PositionFactory(set_model=model, mark=f"V{mark}", type=TubeTypeFactory(name="6SN7GT"), heater_v=6.3)
            TubeFactory(type=TubeTypeFactory(name="6SN7GT"))
        plan = PlanFactory(sets=[ChassisFactory(model=model)])
        sent = statements(lambda: reserve_all(plan, on=today, by=keeper))
        asked = sum("SAVEPOINT" not in one for one in sent)
        assert plan.reservations.count() == number
        return asked

    told(1)  # what is cold costs more
    few, more = told(2), told(6)
    assert more - few <= 4 * 17
