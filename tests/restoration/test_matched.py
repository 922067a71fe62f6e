"""Positions that want matched tubes and sets that only readings propose. All is invented but the types."""

from itertools import combinations

import pytest

from inventory.restoration.actions import reserve_all, reserve_tube
from inventory.restoration.queries.allocation import if_swapped, whole_assignment
from inventory.restoration.queries.allotment import allotment
from inventory.restoration.queries.cover import cover_of
from inventory.running.models import MatchedSet, MatchedTube
from inventory.running.queries import comparable
from inventory.running.rules.matching import mismatch_pct
from inventory.sets.models import Approval
from tests.counting import cost
from tests.factories import (
    ChassisFactory,
    FittingFactory,
    PositionFactory,
    SetModelFactory,
    TubeFactory,
    TubeTypeFactory,
)
from tests.restoration.rows import PlanFactory
from tests.running.rows import InstrumentFactory, TubeTestFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def instrument():
    return InstrumentFactory(name="Bench tester 4")


@pytest.fixture
def kind():
    return TubeTypeFactory(name="807")


def model_with(kind, size=2, **more):
    model = SetModelFactory(neutralizing="none", **more)
    for number in range(size):
        PositionFactory(set_model=model, mark=f"V{number + 1}", type=kind, matched="A")
    return model


def plan_with(kind, size=2, **more):
    return PlanFactory(sets=[ChassisFactory(model=model_with(kind, size))], **more)


def read(kind, instrument, *readings, tube=None, **more):
    tube = tube or TubeFactory(type=kind)
    for number, reading in enumerate(readings, 1):
        section = str(number) if len(readings) > 1 else ""
        TubeTestFactory(tube=tube, instrument=instrument, reading=reading, minimum=1000.0, section=section, **more)
    return tube


def given(plan, today):
    return [line.thing.tube if line.thing else None for line in cover_of(plan, today).lines]


def test_the_closest_pair_by_readings_is_proposed_and_says_how_far_apart(kind, instrument, today):
    tubes = [read(kind, instrument, reading) for reading in (2000.0, 2150.0, 2190.0, 2600.0)]
    plan = plan_with(kind)
    assert set(given(plan, today)) == {tubes[1], tubes[2]}
    reasons = cover_of(plan, today).lines[0].reasons
    words = next(text for text in reasons if "No matched set is on record" in text)
    assert f"{mismatch_pct(2150.0, 2190.0):.1f} % apart" in words and "on Bench tester 4" in words
    assert f"{tubes[1].tag} 2150" in words and f"{tubes[2].tag} 2190" in words


def test_a_small_letter_binds_as_the_capital_does(kind, instrument, today):
    tubes = [read(kind, instrument, reading) for reading in (2000.0, 2150.0, 2190.0, 2600.0)]
    plan = plan_with(kind)
    plan.sets.get().model.positions.filter(mark="V2").update(matched="a ")
    assert set(given(plan, today)) == {tubes[1], tubes[2]}


@pytest.mark.parametrize("size", [2, 3])
def test_as_close_as_the_best_of_all_sets(kind, instrument, today, size):
    figures = [1900.0, 2003.0, 2011.0, 2050.0, 2054.0, 2061.0, 2400.0]
    tubes = {read(kind, instrument, figure): figure for figure in figures}
    best = min(mismatch_pct(*some) for some in combinations(figures, size))
    chosen = given(plan_with(kind, size), today)
    assert mismatch_pct(*(tubes[one] for one in chosen)) == pytest.approx(best)


def test_as_many_sets_as_can_be_made(kind, instrument, today):
    """The closest pair of all would leave the two beside it without mates: 9.5 and 9.1 percent apart."""
    tubes = [read(kind, instrument, reading) for reading in (2000.0, 2200.0, 2210.0, 2420.0)]
    plans = [plan_with(kind), plan_with(kind)]
    pairs = {frozenset(given(plan, today)) for plan in plans}
    assert pairs == {frozenset(tubes[:2]), frozenset(tubes[2:])}


def test_a_set_on_record_goes_before_closer_readings(kind, instrument, today):
    tubes = [read(kind, instrument, reading) for reading in (2000.0, 2150.0, 2151.0, 2152.0)]
    row = MatchedSet.objects.create(instrument=instrument, made_on=today, mismatch_pct=7, tolerance_pct=10)
    for one in tubes[:2]:
        MatchedTube.objects.create(matched_set=row, tube=one, test=one.tests.get())
    plan = plan_with(kind)
    assert set(given(plan, today)) == set(tubes[:2])
    assert any("They are kept together" in text for text in cover_of(plan, today).lines[0].reasons)


def on_record(instrument, today, *tubes):
    row = MatchedSet.objects.create(instrument=instrument, made_on=today, mismatch_pct=1, tolerance_pct=10)
    for one in tubes:
        MatchedTube.objects.create(matched_set=row, tube=one, test=one.tests.get())
    return row


def test_a_set_on_record_takes_nothing_from_those_by_readings(kind, instrument, today):
    """Two plans want a pair, one pair is on record and one is shown by readings: both can start."""
    recorded = [read(kind, instrument, reading) for reading in (2000.0, 2010.0)]
    shown = [read(kind, instrument, reading) for reading in (2500.0, 2505.0)]
    plans = [plan_with(kind, priority=1), plan_with(kind, priority=2)]
    on_record(instrument, today, *recorded)
    assert [set(given(plan, today)) for plan in plans] == [set(recorded), set(shown)]
    assert all(cover_of(plan, today).count.can_start for plan in plans)
    reasons = " ".join(cover_of(plans[1], today).lines[0].reasons)
    assert "No matched set on record is left; by readings on Bench tester 4" in reasons


def test_single_tubes_are_left_to_those_that_get_no_set(kind, instrument, today):
    recorded = [read(kind, instrument, reading) for reading in (2000.0, 2010.0)]
    apart = [read(kind, instrument, reading) for reading in (1500.0, 3000.0)]
    plans = [plan_with(kind, priority=1), plan_with(kind, priority=2)]
    on_record(instrument, today, *recorded)
    assert [set(given(plan, today)) for plan in plans] == [set(recorded), set(apart)]
    assert all("match it with the others of letter A" in line.entails[0] for line in cover_of(plans[1], today).lines)


def test_who_gets_no_set_goes_before_a_less_urgent_plan_for_single_tubes(kind, instrument, today):
    recorded = [read(kind, instrument, reading) for reading in (2000.0, 2010.0)]
    singles = [TubeFactory(type=kind) for _ in range(2)]
    model = SetModelFactory(neutralizing="none")
    for mark in ("V1", "V2"):
        PositionFactory(set_model=model, mark=mark, type=kind)
    plans = [plan_with(kind, priority=1), plan_with(kind, priority=2)]
    last = PlanFactory(sets=[ChassisFactory(model=model)], priority=9)
    on_record(instrument, today, *recorded)
    assert [set(given(plan, today)) for plan in plans] == [set(recorded), set(singles)]
    assert [line.status for line in cover_of(last, today).lines] == ["reserved elsewhere"] * 2


@pytest.mark.parametrize("recorded", [True, False])
def test_what_a_set_costs_is_what_was_weighed(kind, instrument, today, recorded):
    """Of a set on record nothing is parted; of one by readings each tube costs 60 and each percent 2 for the set."""
    pair = [read(kind, instrument, reading) for reading in (2000.0, 2100.0)]
    if recorded:
        on_record(instrument, today, *pair)
    plans = [plan_with(kind, priority=1), plan_with(kind, priority=2)]
    told = whole_assignment([plan.name for plan in plans])
    each = 0.0 if recorded else 60.0 + mismatch_pct(2000.0, 2100.0)
    assert [one["cost"] for one in told["assigned"]] == [pytest.approx(each, abs=0.01)] * 2
    assert told["total_cost"] == pytest.approx(2 * each, abs=0.01)
    assert sum(one["cost"] for one in told["assigned"]) == pytest.approx(told["total_cost"], abs=0.01)
    swap = if_swapped(*plans)
    assert swap.costs == (pytest.approx(2 * each), pytest.approx(2 * each))


def test_one_letter_of_two_types_is_told_and_takes_no_set(kind, instrument, today):
    pair = [read(kind, instrument, reading) for reading in (2000.0, 2010.0)]
    on_record(instrument, today, *pair)
    model = model_with(kind, 1)
    other = TubeTypeFactory(name="6K7")
    PositionFactory(set_model=model, mark="V2", type=other, matched="A")
    pentode = TubeFactory(type=other)
    plan = PlanFactory(sets=[ChassisFactory(model=model)])
    first, second = cover_of(plan, today).lines
    assert first.thing.tube in pair and second.thing.tube == pentode
    assert all("V1 807, V2 6K7" in " ".join(line.entails) for line in (first, second))


def test_a_set_goes_into_no_position_where_its_type_was_refused(kind, instrument, today):
    pair = [read(kind, instrument, reading) for reading in (2000.0, 2010.0)]
    plan = plan_with(kind)
    second = plan.sets.get().model.positions.get(mark="V2")
    Approval.objects.create(position=second, type=kind, verdict=Approval.REFUSED, on=today, source="the bench book")
    on_record(instrument, today, *pair)
    one, other = cover_of(plan, today).lines
    assert one.thing.tube in pair and other.status == "short"


def test_what_single_tubes_would_do_is_not_told_of_a_set(kind, instrument, today):
    for reading in (2000.0, 2010.0, 3000.0, 4000.0):
        read(kind, instrument, reading)
    reasons = " ".join(text for line in cover_of(plan_with(kind), today).lines for text in line.reasons)
    assert "these are 0.5 % apart" in reasons and "would do as well" not in reasons


def test_what_does_not_compare_is_never_called_matched(kind, instrument, today):
    """Two instruments, two settings, too far apart, one section alone, a doubted tube: none makes a pair."""
    other = InstrumentFactory()
    read(kind, instrument, 2000.0, settings="B 40")
    read(kind, instrument, 2001.0, settings="B 60")
    read(kind, other, 2002.0)
    read(kind, other, 2600.0)
    read(kind, other, 2003.0, gas="9")
    read(kind, InstrumentFactory(), 2000.0, 2004.0)
    lines = cover_of(plan_with(kind), today).lines
    assert [line.status for line in lines] == ["covered", "covered"]
    assert all("match it with the others of letter A" in line.entails[0] for line in lines)


def test_what_is_not_said_of_settings_speaks_for_nothing(kind, instrument):
    one, two, three = (read(kind, instrument, 2000.0, settings=words) for words in ("B 40", "b  40", ""))
    four = read(kind, instrument, 2000.0, settings="B 60")
    groups = {frozenset(group.tubes) for group in comparable(tube.pk for tube in (one, two, three, four))}
    assert groups == {frozenset({one.pk, two.pk, three.pk}), frozenset({four.pk, three.pk})}


def test_the_last_reading_counts(kind, instrument, today, days_ago):
    old = read(kind, instrument, 2400.0, on=days_ago(400))
    read(kind, instrument, 1500.0, tube=old, on=days_ago(3))
    alike = read(kind, instrument, 2400.0)
    near = read(kind, instrument, 2300.0)
    assert set(given(plan_with(kind), today)) == {alike, near}


def test_both_sections_of_double_tubes_are_compared(instrument, today):
    kind = TubeTypeFactory(name="6SN7GT")
    tubes = [read(kind, instrument, *pair) for pair in ((2000.0, 2600.0), (2010.0, 2000.0), (2050.0, 2550.0))]
    plan = plan_with(kind)
    assert set(given(plan, today)) == {tubes[0], tubes[2]}
    assert any("sections 1 and 2" in text for text in cover_of(plan, today).lines[0].reasons)


def test_a_tube_of_a_set_on_record_is_parted_from_it_last(kind, instrument, today):
    mated = [read(kind, instrument, 2400.0) for _ in range(2)]
    row = MatchedSet.objects.create(instrument=instrument, made_on=today, mismatch_pct=1, tolerance_pct=10)
    for one in mated:
        MatchedTube.objects.create(matched_set=row, tube=one, test=one.tests.get())
    model = SetModelFactory(neutralizing="none")
    PositionFactory(set_model=model, mark="V1", type=kind)
    plan = PlanFactory(sets=[ChassisFactory(model=model)])
    (line,) = cover_of(plan, today).lines
    assert line.thing.tube in mated and f"parts {line.thing.tag} from the tubes it is matched with" in line.entails
    alone = TubeFactory(type=kind)
    assert given(plan, today) == [alone]


def test_more_positions_and_tubes_take_no_more_questions(kind, instrument):
    def grow():
        plan_with(kind)
        for reading in (2000.0, 2010.0):
            read(kind, instrument, reading)

    grow(), grow()
    before = cost(allotment)
    for _ in range(3):
        grow()
    assert cost(allotment) == before
    found = allotment()
    assert (found.taken >= 0).sum() == 10 and all(found.match_words(number) for number in range(10))


@pytest.mark.parametrize("how", ["in place", "reserved"])
@pytest.mark.parametrize("others", [0, 1])
def test_the_mate_of_what_is_there_already_goes_to_its_letter(kind, instrument, today, keeper, how, others):
    """And not an unmatched one, nor is the mate called parted from the tubes it is matched with."""
    pair = [read(kind, instrument, reading) for reading in (2000.0, 2010.0)]
    on_record(instrument, today, *pair)
    for _ in range(others):
        TubeFactory(type=kind)
    plan = plan_with(kind)
    chassis = plan.sets.get()
    first = chassis.model.positions.get(mark="V1")
    if how == "in place":
        FittingFactory(tube=pair[0], chassis=chassis, position=first)
    else:
        reserve_tube(plan, chassis, first, pair[0], on=today, by=keeper)
    line = next(line for line in cover_of(plan, today).lines if line.position == "V2")
    assert line.thing == pair[1].item and line.entails == ()
    assert any("It is kept together with what its letter has already" in text for text in line.reasons)
    assert whole_assignment()["assigned"][0]["cost"] == 0.0


def test_a_mate_that_is_gone_leaves_single_tubes(kind, instrument, today):
    pair = [read(kind, instrument, reading) for reading in (2000.0, 2010.0)]
    on_record(instrument, today, *pair)
    pair[1].item.gone_on = today
    pair[1].item.save()
    plan, other = plan_with(kind), TubeFactory(type=kind)
    chassis = plan.sets.get()
    FittingFactory(tube=pair[0], chassis=chassis, position=chassis.model.positions.get(mark="V1"))
    line = next(line for line in cover_of(plan, today).lines if line.position == "V2")
    assert line.thing == other.item and "match it with the others of letter A" in line.entails[0]


@pytest.mark.parametrize("may_take", [True, False])
def test_a_pair_that_runs_in_another_set_is_taken_as_a_pair(kind, instrument, today, may_take):
    pair = [read(kind, instrument, reading) for reading in (2000.0, 2010.0)]
    on_record(instrument, today, *pair)
    running = ChassisFactory(model=model_with(kind))
    for one, position in zip(pair, running.model.positions.order_by("id"), strict=True):
        FittingFactory(tube=one, chassis=running, position=position)
    plan, other = plan_with(kind, may_take=may_take, priority=2), plan_with(kind, may_take=True, priority=3)
    lines = cover_of(plan, today).lines
    assert {line.thing for line in lines} == ({one.item for one in pair} if may_take else {None})
    told = lines if may_take else cover_of(other, today).lines
    for line in told:
        assert line.entails == (f"taken out of {running}",)
        assert any("They are kept together" in text for text in line.reasons)


def test_reserved_tubes_that_nothing_calls_matched_say_so(kind, instrument, today, keeper):
    tubes = [TubeFactory(type=kind) for _ in range(2)]
    plan = plan_with(kind)
    reserve_all(plan, on=today, by=keeper)
    lines = cover_of(plan, today).lines
    assert all(line.reserved and "match it with the others of letter A" in line.entails[0] for line in lines)
    for one, reading in zip(tubes, (2000.0, 2010.0), strict=True):
        read(kind, instrument, reading, tube=one)
    assert all(line.reserved and line.entails == () for line in cover_of(plan, today).lines)
