"""What an open plan counts on is asked about before it leaves, also where nobody reserved it."""

import pytest

from inventory.holdings.actions import lend, move, part_with
from inventory.holdings.models import PartLot
from inventory.restoration.models import Plan, WeakPart
from inventory.restoration.queries.counted_on import planned_parts, planned_units, planned_words
from inventory.restoration.queries.cover import cover_of
from tests.counting import cost
from tests.factories import (
    BayFactory,
    ChassisFactory,
    FittingFactory,
    ItemFactory,
    PlaceFactory,
    PlugInUnitFactory,
    PositionFactory,
    SeatingFactory,
    SetModelFactory,
    TubeFactory,
    TubeTypeFactory,
    UnitModelFactory,
)
from tests.holdings.rows import LoanFactory
from tests.pages import page_text
from tests.restoration.rows import PartTypeFactory, PlanFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def plan():
    model = SetModelFactory(name="Marram RX", neutralizing="none")
    PositionFactory(set_model=model, mark="V1", type=TubeTypeFactory(name="6K7"), heater_v=6.3)
    return PlanFactory(name="Marram in the shed", sets=[ChassisFactory(model=model, serial="0417")])


def good(**more):
    return TubeFactory(type=TubeTypeFactory(name="6K7"), **more)


def test_the_one_that_covers_a_line_is_asked_about(plan, keeper, today, refused):
    one = good(place=PlaceFactory(code="Store"))
    words = f"what covers {plan.sets.get()} V1 in the plan Marram in the shed; nothing else could"
    assert planned_words([one.item]) == {one.pk: [words]}
    with refused("why", words):
        lend(one.item, "R. Oddsworth", on=today, by=keeper)
    with refused("reason", words):
        move([one.item], PlaceFactory(code="Shed"), on=today, by=keeper)
    lend(one.item, "R. Oddsworth", on=today, by=keeper, why="for one evening")


def test_one_of_two_may_go_and_both_may_not(plan):
    one, other = good(), good()
    assert planned_words([one.item]) == planned_words([other.item]) == {}
    assert len(planned_words([one.item, other.item])) == 1


def test_two_that_go_together_where_one_is_left_for_two_lines(plan):
    """Each alone could be replaced by the third; both could not."""
    model = plan.sets.get().model
    PositionFactory(set_model=model, mark="V2", type=TubeTypeFactory(name="6K7"), heater_v=6.3)
    one, other, spare = good(), good(), good()
    assert planned_words([one.item]) == planned_words([spare.item]) == {}
    (words,) = planned_words([one.item, other.item]).values()
    assert len(words) == 1 and "in the plan Marram in the shed" in words[0]
    told = planned_words([one.item, other.item, spare.item])
    assert sorted(text for texts in told.values() for text in texts) == [
        f"what covers {plan.sets.get()} {mark} in the plan Marram in the shed; nothing else could"
        for mark in ("V1", "V2")
    ]


def test_the_less_urgent_plan_that_goes_short_is_named(plan):
    """What goes covers the urgent plan, which then takes what the other one has."""
    chassis = plan.sets.get()
    late = PlanFactory(name="Marram for the pier", sets=[ChassisFactory(model=chassis.model)], priority=9)
    things = [good().item, good().item]
    told = [planned_words([item])[item.pk] for item in things]
    place = f"{late.sets.get()} V1 in the plan Marram for the pier"
    assert sorted(told) == [[f"what covers {place}; nothing else could"], [f"without it {place} would go short"]]


@pytest.mark.parametrize("what", ["laid aside", "filled", "untested", "untested besides"])
def test_what_no_plan_counts_on(plan, what):
    one = good(state="untested" if what == "untested" else "good")
    if what == "laid aside":
        Plan.objects.update(state=Plan.LAID_ASIDE)
    if what == "filled":
        position = plan.sets.get().model.positions.get()
        FittingFactory(tube=good(), position=position, chassis=plan.sets.get())
    if what == "untested besides":
        good(state="untested")
    assert bool(planned_words([one.item])) is (what == "untested besides")


def test_the_set_of_an_open_plan_is_asked_about(plan, keeper, today, refused):
    chassis = plan.sets.get()
    with refused("why", "the set of the open plan Marram in the shed"):
        lend(chassis.item, "R. Oddsworth", on=today, by=keeper)
    Plan.objects.update(state=Plan.FINISHED)
    lend(chassis.item, "R. Oddsworth", on=today, by=keeper)


def test_what_is_here_on_loan_is_told_where_it_covers_a_line(plan, today):
    one = good()
    LoanFactory(tube=one, way="in", who="Ebb Street radio club", due=today)
    (line,) = [line for line in cover_of(plan, today).lines if line.position == "V1"]
    assert line.entails[0] == f"ask Ebb Street radio club first: {one.tag} is here on loan, to be given back by {today}"


def a_lot(of, least):
    return PartLot.objects.create(item=ItemFactory(kind="parts"), name="filter", type=of, least=least, most=least)


def test_a_lot_that_covers_a_line_is_asked_about(plan, keeper, today, refused, as_keeper):
    kind, model = PartTypeFactory(volts=600.0), plan.sets.get().model
    WeakPart.objects.create(set_model=model, mark="C12", words="filter", type=kind, quantity=2)
    one = a_lot(kind, 2)
    words = f"what covers C12 filter of {plan.sets.get()} in the plan Marram in the shed (2 of 2); nothing else could"
    assert planned_parts([one.item]) == {one.pk: [words]}
    asked = page_text(as_keeper.get(f"/things/{one.tag}/part-with/"))
    assert words in asked and 'name="why"' in asked
    with refused("why", "C12 filter"):
        part_with(one.item, "sold", on=today, by=keeper)
    other = a_lot(kind, 1)
    assert "(1 of 2)" in planned_parts([one.item])[one.pk][0]
    more = a_lot(kind, 5)
    assert planned_parts([one.item]) == {} and planned_parts([a_lot(PartTypeFactory(), 5).item]) == {}
    assert set(planned_parts([one.item, other.item, more.item])) <= {one.pk, other.pk, more.pk}
    Plan.objects.update(state=Plan.LAID_ASIDE)
    assert planned_parts([one.item, other.item, more.item]) == {}


def test_a_unit_that_goes_into_a_bay_is_asked_about(plan, keeper, today, refused):
    chassis = plan.sets.get()
    BayFactory(set_model=chassis.model, mark="left")
    fits = UnitModelFactory(fits=[chassis.model])
    one = PlugInUnitFactory(model=fits)
    words = f"what goes into bay left of {chassis} in the plan Marram in the shed; nothing else could"
    assert planned_units([one.item]) == {one.pk: [words]}
    with refused("why", words):
        lend(one.item, "R. Oddsworth", on=today, by=keeper)
    other = PlugInUnitFactory(model=fits)
    assert planned_units([one.item]) == planned_units([other.item]) == {}
    assert len(planned_units([one.item, other.item])) == 1
    SeatingFactory(chassis=chassis, unit=other, bay=chassis.model.bays.get())
    assert planned_units([one.item]) == {}


@pytest.mark.parametrize("answer", [planned_parts, planned_units])
def test_more_lots_and_units_cost_no_more_questions(plan, answer):
    chassis, kind = plan.sets.get(), PartTypeFactory()
    BayFactory(set_model=chassis.model)
    WeakPart.objects.create(set_model=chassis.model, words="filter", type=kind, quantity=30)
    fits = UnitModelFactory(fits=[chassis.model])

    def things(number):
        make = (lambda: a_lot(kind, 1)) if answer is planned_parts else (lambda: PlugInUnitFactory(model=fits))
        return [make().item for _ in range(number)]

    few, many = things(1), things(9)
    answer(few)
    assert cost(lambda: answer(few)) == cost(lambda: answer(many))


def test_more_things_cost_no_more_questions(plan):
    few, many = [good().item], [good().item for _ in range(9)]
    planned_words(few)
    assert cost(lambda: planned_words(few)) == cost(lambda: planned_words(many))
