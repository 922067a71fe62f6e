"""Can it start? Sets are invented; the types are real, so that the judge knows them.

That 12SN7GT does not go where 6SN7GT is wanted, and that a 6SN7WGT does, is the judge's own matter (tests of tubes).
"""

from datetime import date

import pytest
from django.core.exceptions import ValidationError

from inventory.holdings.actions import lend, part_with
from inventory.holdings.models import Loan, PartLot
from inventory.restoration.actions import release, reserve_all, reserve_tube, save_plan
from inventory.restoration.models import Finding, Plan, Requirement, Reservation
from inventory.restoration.queries.allocation import if_swapped, whole_assignment
from inventory.restoration.queries.answer import readiness
from inventory.restoration.queries.cover import cover_of, cover_of_set
from inventory.restoration.queries.plans import plan_lines
from inventory.running.models import MatchedSet, MatchedTube
from inventory.running.queries import match_tubes
from inventory.sets.models import Approval
from tests.counting import cost
from tests.factories import (
    ChassisFactory,
    FittingFactory,
    ItemFactory,
    PlaceFactory,
    PositionFactory,
    SetModelFactory,
    TubeFactory,
    TubeTypeFactory,
)
from tests.pages import page_text
from tests.restoration.rows import PartTypeFactory, PlanFactory
from tests.running.rows import InstrumentFactory, TubeTestFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def model():
    """A receiver that wants two 6SN7GT and one 6K7, on 6.3 V."""
    model = SetModelFactory(name="Marram RX", neutralizing="none", kind="receiver")
    for mark, kind in (("V1", "6SN7GT"), ("V2", "6SN7GT"), ("V3", "6K7")):
        PositionFactory(set_model=model, mark=mark, type=TubeTypeFactory(name=kind), heater_v=6.3)
    return model


@pytest.fixture
def plan(model):
    return PlanFactory(name="Marram in the shed", sets=[ChassisFactory(model=model)], priority=2)


def tube(kind="6SN7GT", state="good", **more):
    return TubeFactory(type=TubeTypeFactory(name=kind), state=state, **more)


def first_test(one, reading):
    """A test of a tube that was called untested, and what it is called after that."""
    TubeTestFactory(tube=one, reading=reading, minimum=1800.0)
    one.state = "good" if reading > 1800.0 else "weak"
    one.save()


def by_mark(plan, today):
    return {line.position: line for line in cover_of(plan, today).lines if line.position}


def test_each_line_is_covered_by_one_tube_and_told_where_it_is(plan, today):
    place = PlaceFactory(code="Drawer 1")
    tubes = [tube(place=place), tube(place=place), tube("6K7")]
    TubeTestFactory(tube=tubes[0], reading=2500.0, minimum=1800.0)
    cover = cover_of(plan, today)
    assert [line.status for line in cover.lines] == ["covered"] * 3
    lines = by_mark(plan, today)
    assert {lines["V1"].thing, lines["V2"].thing} == {tubes[0].item, tubes[1].item}
    assert "Drawer 1" in lines["V1"].by
    assert any("2500" in line.by for line in lines.values())
    assert cover.count.can_start and cover.count.answer == "can start"


@pytest.mark.parametrize("away", ["lent", "gone", "missed", "dud", "weak", "fitted", "untyped", "rejected"])
def test_what_is_not_here_or_not_good_never_covers(plan, today, days_ago, away):
    tube(), tube("6K7")
    more = {"lent": {"lent_to": "R. Oddsworth"}, "gone": {"gone_on": days_ago(3)}, "dud": {"state": "dud"}}
    one = tube(**more.get(away, {"state": "weak"} if away == "weak" else {}))
    if away == "missed":
        one.item.missed_on = days_ago(1)
        one.item.save()
    if away == "fitted":
        FittingFactory(tube=one, position=PositionFactory(type=one.type))
    if away == "untyped":
        one.type = None
        one.save()
    if away == "rejected":
        TubeTestFactory(tube=one, reading=900.0, minimum=1800.0)
    cover = cover_of(plan, today)
    assert sorted(line.status for line in cover.lines) == ["covered", "covered", "short"]
    assert not cover.count.can_start


def test_a_set_in_service_gives_nothing_unless_it_may(plan, today):
    tube(), tube("6K7")
    in_use = FittingFactory(tube=tube(), position=PositionFactory(type=TubeTypeFactory(name="6SN7GT")))
    assert "short" in {line.status for line in cover_of(plan, today).lines}
    plan.may_take = True
    plan.save()
    line = next(line for line in cover_of(plan, today).lines if line.thing == in_use.tube.item)
    assert line.status == "covered"
    assert f"taken out of {in_use.chassis}" in line.entails


def test_untested_stock_covers_after_a_test_only(plan, today):
    """The chance by hand: Jeffreys' share of 3 good of 4, 3.5 / 5, for one of one."""
    for reading in (2500.0, 2400.0, 2300.0, 900.0):
        first_test(tube(state="untested", gone_on=today), reading)
    tube(), tube("6K7")
    one = tube(state="untested")
    cover = cover_of(plan, today)
    line = next(line for line in cover.lines if line.status == "covered after a test")
    assert line.to_test == (one,)
    assert one.tag in line.by
    assert any("3 of 4 proved good" in text and "a chance of 70 %" in text for text in line.reasons)
    assert (cover.count.can_start, cover.count.after_test) == (False, 1)
    assert "1 to be tested first" in cover.count.text


def test_a_relative_says_what_it_entails(plan, today):
    """6K7G is the glass form of 6K7 (RCA Receiving Tube Manual): with care, for its shielding."""
    tube(), tube()
    glass = tube("6K7G")
    line = by_mark(plan, today)["V3"]
    assert (line.status, line.substitute) == ("covered by a relative", "6K7G")
    assert line.thing == glass.item
    assert line.entails
    assert cover_of(plan, today).count.answer == "can start with substitutes"


def test_what_was_refused_never_covers_and_what_was_approved_does(plan, model, today):
    tube(), tube()
    glass, position = tube("6K7G"), model.positions.get(mark="V3")
    said = {"position": position, "type": glass.type, "on": today, "source": "bench"}
    Approval.objects.create(verdict="refused", **said)
    assert by_mark(plan, today)["V3"].status == "short"
    Approval.objects.create(verdict="approved", **said)
    assert by_mark(plan, today)["V3"].status in ("covered by a relative", "covered by a substitute")


def test_the_more_urgent_plan_gets_it_and_the_other_is_told(plan, model, today):
    first = PlanFactory(name="Marram for the pier", sets=[ChassisFactory(model=model)], priority=1)
    for _ in range(3):
        tube()
    tube("6K7"), tube("6K7")
    assert cover_of(first, today).count.can_start
    lines = cover_of(plan, today).lines
    assert sorted(line.status for line in lines) == ["covered", "covered", "reserved elsewhere"]
    held = next(line for line in lines if line.status == "reserved elsewhere")
    assert any("Marram for the pier" in text for text in held.reasons)
    swap = if_swapped(first, plan)
    changes = swap.changes
    assert (swap.served, len(changes)) == ((5, 5), 2)
    assert {(change.plan, change.need[:9], bool(change.then)) for change in changes if "6SN7GT" in change.need}
    assert {change.plan for change in changes} == {first.name, plan.name}
    assert all(change.now != change.then for change in changes)


def test_a_set_in_no_plan_is_judged_after_all_plans(plan, model, today):
    tube(), tube(), tube("6K7")
    other = ChassisFactory(model=model)
    assert {line.status for line in cover_of_set(other, today).lines} == {"reserved elsewhere"}
    assert cover_of(plan, today).count.can_start
    assert Plan.objects.count() == 1


def test_what_is_in_place_counts_by_its_state(plan, model, today):
    (chassis,) = plan.sets.all()
    for mark, state in (("V1", "good"), ("V2", "untested"), ("V3", "weak")):
        position = model.positions.get(mark=mark)
        FittingFactory(position=position, chassis=chassis, tube=tube(position.type.name, state))
    lines = by_mark(plan, today)
    assert [lines[mark].status for mark in ("V1", "V2", "V3")] == ["in place"] + ["in place, to be looked at"] * 2
    better = tube("6K7")
    assert by_mark(plan, today)["V3"].thing == better.item
    assert cover_of(plan, today).count.can_start


def test_least_value_is_used_up(plan, today):
    """Of two good ones that differ in what was paid alone, the cheaper goes in."""
    from inventory.holdings.models import Fact

    dear, cheap = tube("6K7"), tube("6K7")
    for one, value in ((dear, 80), (cheap, 6)):
        Fact.objects.create(item=one.item, about="paid", text=str(value), value=value, currency="GBP", per="each")
    assert by_mark(plan, today)["V3"].thing == cheap.item


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


def test_positions_that_want_a_match_take_a_matched_set_on_record(today):
    model = SetModelFactory(neutralizing="none")
    for mark in ("V1", "V2"):
        PositionFactory(set_model=model, mark=mark, matched="A")
    plan = PlanFactory(sets=[ChassisFactory(model=model)])
    tubes = [tube() for _ in range(4)]
    instrument = InstrumentFactory()
    row = MatchedSet.objects.create(instrument=instrument, made_on=today, mismatch_pct=2, tolerance_pct=10)
    for one in tubes[2:]:
        test = TubeTestFactory(tube=one, instrument=instrument, reading=2500.0)
        MatchedTube.objects.create(matched_set=row, tube=one, test=test)
    lines = by_mark(plan, today)
    assert {lines["V1"].thing, lines["V2"].thing} == {one.item for one in tubes[2:]}


def test_the_whole_assignment(plan, today):
    tube(), tube("6K7")
    told = whole_assignment()
    assert {one["position"] for one in told["assigned"]} == {"V1", "V3"} or {
        one["position"] for one in told["assigned"]
    } == {"V2", "V3"}
    assert [one["restoration"] for one in told["short"]] == [plan.name]
    assert told["total_cost"] == sum(one["cost"] for one in told["assigned"])


def test_more_plans_and_tubes_take_no_more_questions(plan, model, today):
    def grow():
        PlanFactory(sets=[ChassisFactory(model=model)])
        tube(), tube("6K7", "untested")

    for _ in range(4):
        grow()
    before = cost(lambda: plan_lines(today)), cost(lambda: cover_of(plan, today))
    for _ in range(4):
        grow()
    assert (cost(lambda: plan_lines(today)), cost(lambda: cover_of(plan, today))) == before


def test_the_list_answers_as_the_plan_does(plan, model, today, as_visitor):
    """Parts, bays, books and what failed at a check stand in the way there too, and a set of which nothing is known."""
    tube(), tube(), tube("6K7")
    Requirement.objects.create(plan=plan, words="output transformer")
    Finding.objects.create(plan=plan, chassis=plan.sets.get(), step="plates", all_well=False, on=today)
    shell = PlanFactory(name="Shell", sets=[ChassisFactory()])
    rows = {row.plan: row.count for row in plan_lines(today)}
    text = page_text(as_visitor.get("/restorations/"))
    for one in (plan, shell):
        assert rows[one] == cover_of(one, today).count and rows[one].text in text
    assert (rows[plan].not_said, rows[plan].before_power, rows[shell].not_recorded) == (1, 1, 1)


def test_a_name_that_means_nothing_or_two_things(plan, model, today):
    with pytest.raises(ValueError, match="Marram in the shed"):
        readiness("no such", today)
    one, two = ChassisFactory(model=model, serial="7"), ChassisFactory(serial="7")
    with pytest.raises(ValueError, match="give the tag"):
        readiness("7", today)
    assert readiness(one.tag.lower(), today).cover.sets == (one,)
    assert two.serial == one.serial


@pytest.mark.parametrize("asked", ["tag", "serial"])
def test_a_set_in_an_open_plan_is_answered_from_that_plan(plan, model, today, asked, as_visitor):
    """Asked for beside its own plan it would be refused every tube that the plan has for it."""
    tube(), tube(), tube("6K7")
    chassis, other = plan.sets.get(), ChassisFactory(model=model)
    plan.sets.add(other)
    found = readiness(getattr(chassis, asked), today)
    assert [line.status for line in found.cover.lines] == ["covered"] * 3
    assert {line.chassis for line in found.cover.lines} == {chassis}
    told = found.as_dict()
    assert (told["restoration"], told["plan"], told["can_start"]) == (str(chassis), plan.name, True)
    assert f"Counted in {plan.name}" in told["text"]
    page = page_text(as_visitor.get(f"/sets/{chassis.tag}/readiness/"))
    assert "Can start" in page and plan.name in page and "as if it were planned" not in page
    assert readiness(plan.name, today).as_dict()["short"] == 3


def test_parts_reserved_for_the_plan_of_a_set_are_its_own(plan, today, keeper):
    kind = PartTypeFactory()
    lot = PartLot.objects.create(item=ItemFactory(kind="parts"), name="capacitor", type=kind, least=2, most=2)
    row = Requirement.objects.create(plan=plan, words="bathtub", type=kind, quantity=2)
    Reservation.objects.create(plan=plan, item=lot.item, requirement=row, quantity=2, on=today)
    (line,) = (line for line in cover_of_set(plan.sets.get(), today).lines if line.requirement)
    assert line.status == "covered"


@pytest.mark.parametrize("how", ["lent", "missed", "borrowed", "here"])
def test_a_set_gives_up_tubes_only_where_it_is_here_and_ones_own(plan, today, days_ago, how):
    plan.may_take = True
    plan.save()
    tube(), tube("6K7")
    fitting = FittingFactory(tube=tube(), position=PositionFactory(type=TubeTypeFactory(name="6SN7GT")))
    item = fitting.chassis.item
    item.lent_to, item.missed_on = "R. Oddsworth" * (how == "lent"), days_ago(3) if how == "missed" else None
    item.save()
    if how == "borrowed":
        Loan.objects.create(item=item, way=Loan.IN, who="R. Oddsworth", since=days_ago(9))
    things = {line.thing for line in cover_of(plan, today).lines}
    assert (fitting.tube.item in things) is (how == "here")


@pytest.mark.parametrize("how", ["lent", "missed"])
def test_a_plan_cannot_start_while_its_set_is_not_here(plan, today, days_ago, how, as_visitor):
    tube(), tube(), tube("6K7")
    assert cover_of(plan, today).count.can_start
    item = plan.sets.get().item
    item.lent_to, item.missed_on = "R. Oddsworth" * (how == "lent"), days_ago(3) if how == "missed" else None
    item.save()
    cover = cover_of(plan, today)
    assert (cover.count.answer, cover.count.not_here, cover.count.short) == ("not yet", 1, 0)
    assert cover.count.text.startswith("Not yet: 1 set not here")
    words = "lent to R. Oddsworth" if how == "lent" else f"not found on {days_ago(3)}"
    assert words in page_text(as_visitor.get(plan.get_absolute_url()))
    (row,) = plan_lines(today)
    assert words in row.away[0] and words in page_text(as_visitor.get("/restorations/"))


@pytest.mark.parametrize("name", ["", "  ", "\0"])
def test_an_empty_name_means_no_set_without_a_serial(name, model):
    ChassisFactory(model=model, serial="")
    with pytest.raises(ValueError, match="Name a plan"):
        readiness(name, date(2026, 1, 1))


@pytest.mark.parametrize("state", ["laid aside", "finished"])
def test_a_plan_that_is_not_open_is_served_after_those_that_are(plan, model, today, state):
    """However urgent it was: else both would be told to have the same tubes."""
    tube(), tube(), tube("6K7")
    other = PlanFactory(sets=[ChassisFactory(model=model)], priority=1, state=state)
    assert cover_of(plan, today).count.can_start
    found = cover_of(other, today)
    assert (found.count.covered, found.count.short) == (0, 3) and found.plan.priority == 1
    line = by_mark(other, today)["V3"]
    assert line.status == "reserved elsewhere" and plan.name in " ".join(line.reasons)


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


def test_two_plans_whose_names_differ_in_case(plan, today):
    one, other = PlanFactory(name="Alpha"), PlanFactory(name="ALPHA")
    assert readiness("Alpha", today).cover.plan == one and readiness("ALPHA", today).cover.plan == other
    with pytest.raises(ValueError, match=r"ALPHA or Alpha|Alpha or ALPHA"):
        readiness("alpha", today)
    assert readiness(plan.name.upper(), today).cover.plan == plan


def test_a_tube_out_of_a_set_that_is_laid_aside_half_done_says_so(plan, model, today):
    plan.may_take = True
    plan.save()
    tube(), tube("6K7")
    donor = ChassisFactory(model=model)
    FittingFactory(chassis=donor, position=model.positions.get(mark="V1"), tube=tube())
    PlanFactory(name="Marram for the pier", sets=[donor], state=Plan.LAID_ASIDE)
    told = [word for line in cover_of(plan, today).lines for word in line.entails if word.startswith("taken out of")]
    assert told == [f"taken out of {donor}, which is in Marram for the pier, laid aside"]


def test_good_tubes_of_no_settled_type_are_named_beside_the_short_line(plan, today):
    for marked in ("6SN7GT", "6SN7GTA", "6SN7GT"):
        TubeFactory(type=None, marked=marked, state="good")
    TubeFactory(type=None, marked="6SN7GT", state="dud")
    told = " ".join(by_mark(plan, today)["V1"].reasons)
    assert "Not counted, since of no settled type: " in told and "2 good marked 6SN7GT" in told
    assert "6SN7" not in " ".join(by_mark(plan, today)["V3"].reasons)


def test_how_many_prove_good_is_told_of_untested_tubes_alone(plan, today, days_ago):
    """Not of those that came in as good, weak or dud, nor of those that ran here before anybody tested them."""
    for state, reading in (("good", 2500.0), ("good", 2400.0), ("weak", 900.0), ("dud", 800.0)):
        TubeTestFactory(tube=tube(state=state, gone_on=today), reading=reading, minimum=1800.0)
    ran = tube(state="untested", gone_on=today)
    FittingFactory(tube=ran, position=PositionFactory(type=ran.type), since=days_ago(300), until=days_ago(20))
    TubeTestFactory(tube=ran, reading=900.0, minimum=1800.0, on=days_ago(10))
    tube("6K7"), tube(), tube(state="untested")
    (line,) = (line for line in cover_of(plan, today).lines if line.status == "covered after a test")
    assert "No untested tube was tested here yet, so how many prove good is not known." in line.reasons
    first_test(tube(state="untested", gone_on=today), 2500.0)
    (line,) = (line for line in cover_of(plan, today).lines if line.status == "covered after a test")
    assert any("1 of 1 proved good" in text for text in line.reasons)
