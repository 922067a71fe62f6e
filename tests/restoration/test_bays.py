"""The bays of the sets of plans, and the free units dealt to them. All is invented."""

import pytest

from inventory.holdings.models import Loan
from inventory.restoration.models import Plan
from inventory.restoration.queries.answer import readiness
from inventory.restoration.queries.cover import cover_of, cover_of_set
from inventory.restoration.wording import grouped
from inventory.sets.models import Seating
from tests.counting import cost
from tests.factories import (
    BayFactory,
    ChassisFactory,
    CompanionFactory,
    CompanionKindFactory,
    PlugInUnitFactory,
    SeatingFactory,
    SetModelFactory,
    UnitModelFactory,
)
from tests.pages import seen_at
from tests.restoration.rows import PlanFactory

pytestmark = pytest.mark.django_db


def a_model(**more):
    model = SetModelFactory(**{"neutralizing": "none"} | more)
    BayFactory(set_model=model, mark="left")
    return model


def unit_for(*models):
    return PlugInUnitFactory(model=UnitModelFactory(fits=list(models)))


def bays(plan, today):
    return [line for line in cover_of(plan, today).lines if line.kind == "bay"]


def test_one_free_unit_is_promised_to_one_bay(today):
    model = a_model()
    later = PlanFactory(sets=[ChassisFactory(model=model)], priority=4)
    first = PlanFactory(sets=[ChassisFactory(model=model)], priority=2)
    unit = unit_for(model)
    (mine,), (theirs,) = bays(first, today), bays(later, today)
    assert (mine.status, mine.thing, mine.by) == ("covered", unit.item, str(unit))
    assert theirs.status == "reserved elsewhere" and theirs.thing is None
    assert theirs.reasons[0].endswith(f"wanted elsewhere: {first}, {first.sets.get()} bay left.")
    assert not cover_of(later, today).count.can_start
    other = unit_for(model)
    assert {line.thing for plan in (first, later) for line in bays(plan, today)} == {unit.item, other.item}


def test_two_sets_of_one_plan_and_one_unit(today):
    model = a_model()
    plan = PlanFactory(sets=[ChassisFactory(model=model), ChassisFactory(model=model)], aim=Plan.KEEP)
    assert [line.status for line in bays(plan, today)] == ["short", "short"]
    unit_for(model)
    assert sorted(line.status for line in bays(plan, today)) == ["covered", "reserved elsewhere"]


def test_the_unit_that_goes_into_both_is_left_to_the_set_without_a_choice(today):
    """Dealt one by one the urgent set would take the unit of many uses, and the other would stay without."""
    wide, narrow = a_model(), a_model()
    either = unit_for(wide, narrow)
    only = unit_for(wide)
    first = PlanFactory(sets=[ChassisFactory(model=wide)], priority=1)
    later = PlanFactory(sets=[ChassisFactory(model=narrow)], priority=2)
    assert [line.thing for plan in (first, later) for line in bays(plan, today)] == [only.item, either.item]


def test_a_seated_unit_is_free_for_nobody_and_a_set_as_if_planned_comes_last(today):
    model = a_model()
    seated = SeatingFactory(bay=model.bays.get(), unit=unit_for(model))
    plan = PlanFactory(sets=[ChassisFactory(model=model)])
    assert bays(plan, today)[0].status == "short"
    assert bays(PlanFactory(sets=[seated.chassis]), today)[0].thing == seated.unit.item
    unit = unit_for(model)
    (as_if,) = (line for line in cover_of_set(ChassisFactory(model=model), today).lines if line.kind == "bay")
    assert as_if.status == "reserved elsewhere" and bays(plan, today)[0].thing == unit.item
    (same,) = (line for line in cover_of_set(plan.sets.get(), today).lines if line.kind == "bay")
    assert same.thing == unit.item


def test_more_plans_sets_and_units_take_no_more_questions(today):
    model = a_model()
    plan = PlanFactory(sets=[], aim=Plan.KEEP)

    def grow():
        plan.sets.add(ChassisFactory(model=model))
        PlanFactory(sets=[ChassisFactory(model=model)])
        unit_for(model), unit_for(model)

    for _ in range(3):
        grow()
    before = cost(lambda: cover_of(plan, today))
    for _ in range(3):
        grow()
    assert cost(lambda: cover_of(plan, today)) == before
    assert len({line.thing for line in bays(plan, today)}) == 6


def test_a_companion_or_unit_that_is_lent_or_was_not_found_is_not_in_place(today):
    model = a_model()
    chassis, unit = ChassisFactory(model=model, serial="0417"), unit_for(model)
    SeatingFactory(chassis=chassis, unit=unit, bay=model.bays.get())
    book = CompanionFactory(kind=CompanionKindFactory(set_model=model), mate_serial="0417")
    plan = PlanFactory(sets=[chassis])

    def told(kind):
        return next(line for line in cover_of(plan, today).lines if line.kind == kind)

    assert (told("companion").status, told("bay").by) == ("in place", str(unit))
    for thing, kind in ((book, "companion"), (unit, "bay")):
        thing.item.lent_to = "R. Oddsworth"
        thing.item.save()
        assert (told(kind).status, told(kind).by) == ("short", "")
        assert "is lent to R. Oddsworth." in told(kind).reasons[0]
        thing.item.lent_to, thing.item.missed_on = "", today
        thing.item.save()
        assert told(kind).status == "short" and f"was not found on {today}." in told(kind).reasons[0]


def test_a_pair_that_is_due_asks_for_a_neutralization_and_an_empty_bay_for_a_unit(as_keeper, today):
    """Both stand among the pairs to neutralize afterwards: the one that sits there, and the one to come."""
    model = a_model(neutralizing="unit")
    BayFactory(set_model=model, mark="right")
    chassis = ChassisFactory(model=model)
    plan = PlanFactory(sets=[chassis])
    sits = SeatingFactory(bay=model.bays.get(mark="left"), chassis=chassis, unit=unit_for(model)).unit
    comes = unit_for(model)
    found = readiness(plan.name, today)
    assert {text.split(",")[0] for text in found.power[0].due} == {sits.tagged, comes.tagged}
    assert found.as_dict()["power"][0]["to_neutralize"] == list(found.power[0].due)
    groups = {line.position: group.title for group in grouped(found.cover.lines) for line in group.lines}
    assert (groups["left"], groups["right"]) == ("Neutralize", "Fit")
    page = plan.get_absolute_url()
    text = as_keeper.get(page).content.decode()
    neutralize = f"/pairings/neutralize/?chassis={chassis.tag}&amp;unit={sits.tag}&amp;next={page}"
    put_in = f"/sets/{chassis.tag}/bay/{model.bays.get(mark='right').pk}/?unit={comes.pk}&amp;next={page}"
    assert neutralize in text and put_in in text
    address = put_in.replace("&amp;", "&")
    assert f'value="{comes.pk}" selected' in as_keeper.get(address).content.decode()
    sent = {"unit": comes.pk, "since": today} | seen_at(as_keeper, address)
    assert as_keeper.post(address, sent).url == page
    assert Seating.objects.get(unit=comes, until=None).chassis == chassis


def test_an_empty_bay_that_gets_no_unit_has_a_way_to_put_one_in(as_keeper):
    model = a_model()
    chassis = ChassisFactory(model=model)
    plan = PlanFactory(sets=[chassis])
    assert (
        f"/sets/{chassis.tag}/bay/{model.bays.get().pk}/?next="
        in as_keeper.get(plan.get_absolute_url()).content.decode()
    )


def test_the_owner_of_a_borrowed_unit_is_asked_first(today):
    model = a_model()
    plan = PlanFactory(sets=[ChassisFactory(model=model)])
    unit = unit_for(model)
    assert bays(plan, today)[0].entails == ()
    Loan.objects.create(item=unit.item, way=Loan.IN, who="Ebb Street radio club", since=today)
    (line,) = bays(plan, today)
    assert (line.status, line.entails) == (
        "covered", (f"ask Ebb Street radio club first: {unit.item.tag} is here on loan",),
    )  # fmt: skip
