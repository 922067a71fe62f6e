"""Can it start? Sets are invented; the types are real, so that the judge knows them.

That 12SN7GT does not go where 6SN7GT is wanted, and that a 6SN7WGT does, is the judge's own matter (tests of tubes).
"""

import pytest

from inventory.holdings.models import Fact, Item, PartLot
from inventory.restoration.models import Plan, Requirement
from inventory.restoration.queries import worth
from inventory.restoration.queries.allocation import if_swapped, whole_assignment
from inventory.restoration.queries.allotment import allotment
from inventory.restoration.queries.cover import cover_of
from inventory.restoration.queries.plans import plan_lines
from inventory.restoration.queries.proposed import proposed
from inventory.running.models import MatchedSet, MatchedTube
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
from tests.pages import page_text, seen_at
from tests.restoration.receiver import by_mark, first_test, tube
from tests.restoration.rows import PartTypeFactory, PlanFactory
from tests.running.rows import InstrumentFactory, TubeTestFactory

pytestmark = pytest.mark.django_db


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


def test_a_tube_in_service_is_named_and_taken_out_from_the_plan(plan, today, as_keeper):
    in_use = FittingFactory(tube=tube(), position=PositionFactory(type=TubeTypeFactory(name="6SN7GT")))
    plan.may_take = True
    plan.save()
    page, out = plan.get_absolute_url(), f"/fittings/{in_use.pk}/out/"
    shown = as_keeper.get(page).content.decode()
    assert f"Take {in_use.tube.tag} out of {in_use.chassis} {in_use.position.mark}" in shown
    told = page_text(as_keeper.post(f"{page}reserve/", {"seen": proposed(plan, allotment()).seen}, follow=True))
    assert "There was nothing to reserve." in told and "1 stands in a set in service: decide at the line." in told
    sent = {"until": today} | seen_at(as_keeper, out)
    assert as_keeper.post(f"{out}?next={page}", sent).url == page
    line = next(line for line in cover_of(plan, today).lines if line.thing == in_use.tube.item)
    assert line.sits is None and f"tube={in_use.tube.tag}" in as_keeper.get(page).content.decode()


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


@pytest.mark.parametrize("few", [500, 0])
def test_figures_of_very_many_things_are_read_at_once(plan, today, monkeypatch, few):
    monkeypatch.setattr(worth, "FEW", few)
    tubes = [tube() for _ in range(3)]
    for one, value in zip(tubes, (40, 10, 25), strict=True):
        Fact.objects.create(item=one.item, about="paid", text=str(value), value=value, currency="GBP", per="each")
    lot = ItemFactory(kind="parts")
    Fact.objects.create(item=lot, about="paid", text="3", value=3, currency="USD", per="each")
    keys = [one.pk for one in tubes]
    assert worth.values_of(keys, Item.TUBE).tolist() == [40, 10, 25]
    assert worth.values_of([lot.pk], Item.PARTS).tolist() == [3]


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
    for marked in ("6SN7GT", "6SN7GTY", "6SN7GT"):
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


def test_who_gets_what_tells_what_stays_short_and_of_how_many(plan, as_visitor, today):
    kind = PartTypeFactory()
    PartLot.objects.create(item=ItemFactory(kind="parts"), name="capacitor", type=kind, least=1, most=1)
    Requirement.objects.create(plan=plan, words="bathtub", type=kind, quantity=2)
    tube()
    page = page_text(as_visitor.get("/restorations/assignment/"))
    assert "1 of 2 wanted" in page and "Stay short" in page and "6K7 in V3" in page
