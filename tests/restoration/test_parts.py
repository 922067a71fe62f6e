"""Parts of lots for the lines of plans: dealt in one assignment with the tubes, reserved, released. All is invented."""

import pytest
from django.core.exceptions import ValidationError

from inventory.holdings.models import Fact, HazardMark, PartLot
from inventory.restoration.actions import release_all, release_line, reserve_all, reserve_line, reserve_parts
from inventory.restoration.models import Finding, Plan, Requirement, Reservation, WeakPart, Work
from inventory.restoration.queries.allocation import if_swapped, whole_assignment
from inventory.restoration.queries.allotment import allotment
from inventory.restoration.queries.cover import cover_of
from inventory.restoration.rules.findings import check_of_part
from tests.counting import cost
from tests.factories import (
    BayFactory,
    ChassisFactory,
    CompanionKindFactory,
    ItemFactory,
    PlaceFactory,
    PlugInUnitFactory,
    PositionFactory,
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
def model():
    return SetModelFactory(name="Marram RX", neutralizing="none")


@pytest.fixture
def plan(model):
    return PlanFactory(name="Marram in the shed", sets=[ChassisFactory(model=model)], priority=2)


@pytest.fixture
def other(model):
    return PlanFactory(name="Marram for the pier", sets=[ChassisFactory(model=model)], priority=4)


def kind(value=10_000.0, volts=600.0, **more):
    return PartTypeFactory(value=value, volts=volts, **more)


def lot(of, least, **more):
    most = more.pop("most", least)
    item = ItemFactory(kind="parts", place=PlaceFactory(), **more.pop("item", {}))
    return PartLot.objects.create(item=item, name="capacitor", type=of, least=least, most=most, **more)


def wants(plan, of, number=1, **more):
    return Requirement.objects.create(plan=plan, type=of, quantity=number, words=f"{number} for the filter", **more)


def line_of(plan, row, today):
    return next(line for line in cover_of(plan, today).lines if line.requirement == row)


def test_the_line_without_a_choice_gets_the_only_lot_that_serves_it(plan, other, today):
    """Dealt one by one the urgent line would take the lot that fits closest, and the other would stay short."""
    low, high = kind(volts=400.0), kind(volts=800.0)
    only_high, either = lot(high, 2), lot(low, 2)
    first, second = wants(plan, low, 2), wants(other, high, 2)
    spare = lot(low, 1)
    told = whole_assignment()
    given = {(row["restoration"], row["tag"], row["quantity"]) for row in told["assigned"]}
    assert given == {(plan.name, either.tag, 2), (other.name, only_high.tag, 2)}
    assert spare.tag not in {row["tag"] for row in told["assigned"]}
    either.least = 0
    either.save()
    spare.least = 0
    spare.save()
    assert line_of(plan, first, today).by.startswith(f"2 of {only_high.tag}")
    short = line_of(other, second, today)
    assert short.status == "reserved elsewhere"
    assert f"2 to {plan}, {first.words}" in short.reasons[-1]


def test_the_very_value_before_one_that_is_allowed(plan, today):
    drawn = kind(10_000.0, tolerance_pct=20.0)
    near, very = lot(kind(11_000.0, tolerance_pct=5.0), 9), lot(kind(10_000.0, volts=630.0, tolerance_pct=10.0), 2)
    row = wants(plan, drawn, 3)
    line = line_of(plan, row, today)
    assert line.status == "covered"
    assert {part.split(",")[0] for part in line.by.split("; ")} == {f"2 of {very.tag}", f"1 of {near.tag}"}
    assert any("the very value" in text for text in line.reasons)
    assert any("0.011 mfd, within what the line allows" in text for text in line.reasons)


def test_a_lot_that_covers_tells_its_hazards(plan, today):
    """Oil of no known date is taken to hold PCB (L9.7, 40 CFR 761.2); it is told where somebody is sent for the lot."""
    oil = lot(kind(8e6, volts=1000.0, construction="paper in oil", tolerance_pct=10.0), 1)
    line = line_of(plan, wants(plan, kind(8e6, volts=1000.0, tolerance_pct=20.0), 1), today)
    assert line.status == "covered"
    assert any(text.startswith(f"{oil.tag}: hazard: ") and "PCB oil" in text for text in line.reasons), line.reasons


def test_a_lot_that_covers_bears_what_is_to_be_minded_of_its_making(plan, today):
    """The same words as where a replacement is looked for (common practice, no source)."""
    old = lot(kind(10_000.0, construction="paper", tolerance_pct=10.0), 1)
    drawn = wants(plan, kind(10_000.0, tolerance_pct=20.0), 1)
    line = line_of(plan, drawn, today)
    assert line.status == "covered" and any(
        text.startswith(f"{old.tag}: old paper leaks") and "test its insulation" in text for text in line.reasons
    )
    unknown = lot(kind(50_000.0, construction="", tolerance_pct=10.0), 1)
    line = line_of(plan, wants(plan, kind(50_000.0, construction="", tolerance_pct=20.0), 1), today)
    assert any(text.startswith(f"{unknown.tag}: its construction is not known here") for text in line.reasons)


def test_the_cheaper_lot_goes_in_where_both_are_alike(plan, today):
    of = kind()
    dear, cheap = lot(of, 5), lot(of, 5)
    for one, value in ((dear, 9), (cheap, 2)):
        Fact.objects.create(item=one.item, about="paid", text=str(value), value=value, currency="GBP", per="each")
    assert line_of(plan, wants(plan, of, 2), today).by.startswith(f"2 of {cheap.tag}")


@pytest.mark.parametrize("away", [{"lent_to": "R. Oddsworth"}, {"gone": True}, {"missed": True}])
def test_what_is_not_here_covers_nothing(plan, today, days_ago, away):
    of = kind()
    one = lot(of, 5)
    one.item.lent_to = away.get("lent_to", "")
    one.item.gone_on = days_ago(1) if "gone" in away else None
    one.item.missed_on = days_ago(1) if "missed" in away else None
    one.item.save()
    assert line_of(plan, wants(plan, of, 2), today).status == "short"


def test_a_guess_covers_after_counting(plan, today, keeper):
    of = kind()
    one = lot(of, 5, to_count=True)
    row = wants(plan, of, 2)
    line = line_of(plan, row, today)
    assert (line.status, line.by.split(",")[0]) == ("covered after a test", f"2 of {one.tag}")
    assert f"How many are in {one.tag} is a guess: count them first." in line.reasons
    assert reserve_all(plan, on=today, by=keeper) == []


def test_tubes_and_parts_are_reserved_in_one_step_and_let_go_in_one(plan, model, today, keeper):
    PositionFactory(set_model=model, mark="V1", type=TubeTypeFactory(name="6SN7GT"), heater_v=6.3)
    tube = TubeFactory(type=TubeTypeFactory(name="6SN7GT"))
    of = kind()
    filters, row = lot(of, 7), wants(plan, of, 2)
    weak = WeakPart.objects.create(set_model=model, mark="C12", words="filter", type=of, quantity=3, why="leaks")
    kept = reserve_all(plan, on=today, by=keeper)
    assert {(one.item, one.quantity) for one in kept} == {(tube.item, None), (filters.item, 2), (filters.item, 3)}
    taken_up = Requirement.objects.get(weak=weak)
    assert (taken_up.plan, taken_up.chassis, taken_up.quantity) == (plan, plan.sets.get(), 3)
    cover = cover_of(plan, today)
    assert {line.status for line in cover.lines} == {"covered"} and all(line.reserved for line in cover.lines)
    assert any("leaks" in line.reasons for line in cover.lines)
    assert whole_assignment()["assigned"] == []
    assert reserve_all(plan, on=today, by=keeper) == []
    assert release_all(plan, by=keeper) == 3
    assert not Reservation.objects.exists()
    assert Reservation.history.filter(history_type="-").count() == 3
    assert line_of(plan, row, today).status == "covered"


def test_what_is_reserved_is_dealt_to_nobody_else(plan, other, today, keeper):
    of = kind()
    one = lot(of, 3)
    mine, theirs = wants(other, of, 2), wants(plan, of, 2)
    assert line_of(other, mine, today).status == "reserved elsewhere"  # the other plan is more urgent
    reserve_parts(mine, one, 2, on=today, by=keeper)
    assert line_of(other, mine, today).status == "covered"
    short = line_of(plan, theirs, today)
    assert (short.status, short.by.split(",")[0]) == ("reserved elsewhere", f"1 of {one.tag}")
    with pytest.raises(ValidationError, match=f"1 of {one.tag} are known to be there and free .2 of it reserved for"):
        reserve_parts(theirs, one, 2, on=today, by=keeper)
    reserve_parts(theirs, one, 1, on=today, by=keeper)
    assert release_line(mine, by=keeper) == 1
    reserve_parts(theirs, one, 1, on=today, by=keeper)
    assert theirs.reservations.get().quantity == 2


def test_a_lot_that_shrank_says_what_can_be_had(plan, today, keeper):
    of = kind()
    one, row = lot(of, 3), wants(plan, of, 3)
    reserve_line(plan, ("line", row.pk, 0), on=today, by=keeper)
    one.least = one.most = 1
    one.save()
    line = line_of(plan, row, today)
    assert line.status == "short"
    assert f"3 of {one.tag} are reserved for it and 1 can be had." in line.reasons


@pytest.mark.parametrize("number", [0, -1, 4])
def test_more_than_there_is_and_none_at_all_are_refused(plan, today, keeper, number):
    of = kind()
    one, row = lot(of, 3), wants(plan, of, 9)
    with pytest.raises(ValidationError, match="are asked for"):
        reserve_parts(row, one, number, on=today, by=keeper)
    assert not Reservation.objects.exists()


def test_nothing_is_reserved_for_a_plan_that_is_laid_aside(plan, today, keeper):
    of = kind()
    one, row = lot(of, 3), wants(plan, of, 1)
    Plan.objects.filter(pk=plan.pk).update(state=Plan.LAID_ASIDE)
    for keep in (
        lambda: reserve_parts(row, one, 1, on=today, by=keeper),
        lambda: reserve_all(plan, on=today, by=keeper),
        lambda: reserve_line(plan, ("line", row.pk, 0), on=today, by=keeper),
    ):
        with pytest.raises(ValidationError, match="laid aside"):
            keep()


def test_a_weak_part_that_was_renewed_in_an_earlier_plan_is_done(plan, model, today, days_ago):
    of = kind()
    weak = WeakPart.objects.create(set_model=model, mark="C12", words="filter", type=of)
    before = PlanFactory(name="First work", sets=[], state=Plan.FINISHED)
    Requirement.objects.create(
        plan=before, chassis=plan.sets.get(), weak=weak, words="C12", type=of, done_on=days_ago(90)
    )
    (line,) = (line for line in cover_of(plan, today).lines if line.kind == "weak part")
    assert line.status == "done" and "in First work" in line.reasons[0]


def test_a_swap_of_priorities_moves_parts(plan, other, today):
    of = kind()
    one = lot(of, 2)
    wants(plan, of, 2), wants(other, of, 2)
    swap = if_swapped(plan, other)
    assert [(change.plan, change.now, change.then) for change in swap.changes] == [
        (plan.name, f"2 of {one.tag}", ""),
        (other.name, "", f"2 of {one.tag}"),
    ]
    PlanFactory(name="Alike", sets=[], priority=2)
    assert "same priority" in if_swapped(plan, Plan.objects.get(name="Alike")).text


def test_the_page_keeps_parts_back_and_lets_them_go(as_keeper, as_helper, plan, today):
    of = kind()
    one, row = lot(of, 3), wants(plan, of, 2)
    address = plan.get_absolute_url()
    text = page_text(as_keeper.get(address))
    assert f'name="line" value="line-{row.pk}-0"' in text and "Reserve them" in text
    assert as_helper.post(f"{address}reserve-parts/", {"line": f"line-{row.pk}-0"}).status_code == 403
    seen = f"2 of {one.tag}"
    assert f'name="seen" value="{seen}"' in text
    asking = {"line": f"line-{row.pk}-0", "seen": seen}
    text = page_text(as_keeper.post(f"{address}reserve-parts/", asking, follow=True))
    assert f"2 of {one.tag} reserved for {row.words}." in text and "Release 2" in text
    for again in (f"line-{row.pk}-0", "line-x-0", "", "weak-1-1", f"line-{'9' * 40}-0"):
        text = page_text(as_keeper.post(f"{address}reserve-parts/", {"line": again}, follow=True))
        assert "Nothing is proposed for this line any more." in text
    assert as_helper.post(f"/requirements/{row.pk}/release/").status_code == 403
    assert "Parts of 1 lot released." in page_text(as_keeper.post(f"/requirements/{row.pk}/release/", follow=True))
    assert not Reservation.objects.exists()


def test_more_lines_lots_and_sets_take_no_more_questions(model, today, keeper):
    """Sets of one plan that is to keep them running, each with a bay, a hazard, weak parts, a line and what is kept."""
    of = kind()
    weak = WeakPart.objects.create(set_model=model, words="filter", type=of)
    PositionFactory(set_model=model, mark="V1", type=TubeTypeFactory(name="6SN7GT"), heater_v=6.3)
    BayFactory(set_model=model, mark="left")
    CompanionKindFactory(set_model=model)
    plan = PlanFactory(sets=[], aim=Plan.KEEP)

    def grow():
        chassis = ChassisFactory(model=model)
        plan.sets.add(chassis)
        PlugInUnitFactory(model=UnitModelFactory(fits=[model]))
        HazardMark.objects.create(item=chassis.item, hazard="asbestos", on=today)
        lot(of, 3)
        TubeFactory(type=TubeTypeFactory(name="6SN7GT"))
        wants(plan, of, 1, chassis=chassis)
        Requirement.objects.create(plan=plan, chassis=chassis, weak=weak, type=of, words="taken up")
        reserve_all(plan, on=today, by=keeper)

    for _ in range(3):
        grow()
    before = cost(lambda: cover_of(plan, today)), cost(allotment)
    for _ in range(3):
        grow()
    assert (cost(lambda: cover_of(plan, today)), cost(allotment)) == before
    lines = cover_of(plan, today).lines
    assert sum(line.reserved for line in lines) == 18  # a tube and two lines of parts for each of six sets
    assert {kind: sum(line.kind == kind for line in lines) for kind in ("bay", "companion", "hazard")} == {
        "bay": 6, "companion": 6, "hazard": 6,
    }  # fmt: skip


def test_what_goes_to_another_line_of_the_plan_is_not_reserved_elsewhere(plan, today):
    """Another priority would change nothing about it."""
    kind = PartTypeFactory()
    lot = PartLot.objects.create(item=ItemFactory(kind="parts"), name="capacitor", type=kind, least=3, most=3)
    one, other = (Requirement.objects.create(plan=plan, words=word, type=kind, quantity=3) for word in ("one", "other"))
    lines = {line.requirement: line for line in cover_of(plan, today).lines if line.requirement in (one, other)}
    covered, short = sorted(lines.values(), key=lambda line: line.status)
    assert (covered.status, short.status) == ("covered", "short") and lot.tag in covered.by
    assert f"3 to {plan}, {covered.requirement}" in " ".join(short.reasons)


def test_the_owner_of_borrowed_parts_is_asked_first(plan, today):
    kind = PartTypeFactory()
    lot = PartLot.objects.create(item=ItemFactory(kind="parts"), name="capacitor", type=kind, least=3, most=3)
    LoanFactory(item=lot.item, way="in", who="Ebb Street radio club", due=today)
    row = Requirement.objects.create(plan=plan, words="one", type=kind, quantity=3)
    (line,) = [line for line in cover_of(plan, today).lines if line.requirement == row]
    assert line.entails == (f"ask Ebb Street radio club first: {lot.tag} is here on loan, to be given back by {today}",)


def test_a_weak_part_that_was_done_and_fails_now_is_one_line(plan, model, today, days_ago):
    part = WeakPart.objects.create(set_model=model, words="filter")
    earlier = PlanFactory(sets=[plan.sets.get()], state=Plan.FINISHED)
    Requirement.objects.create(plan=earlier, chassis=plan.sets.get(), words="filter", weak=part, done_on=days_ago(500))
    Finding.objects.create(plan=plan, chassis=plan.sets.get(), step=check_of_part(part.pk), all_well=False, on=today)
    (line,) = [line for line in cover_of(plan, today).lines if "filter" in line.need]
    assert line.status == "to settle before power" and f"Done on {days_ago(500)}" in " ".join(line.reasons)


def test_nothing_can_be_reserved_on_the_page_of_a_plan_that_is_laid_aside(as_keeper, plan, today):
    kind = PartTypeFactory()
    PartLot.objects.create(item=ItemFactory(kind="parts"), name="capacitor", type=kind, least=3, most=3)
    Requirement.objects.create(plan=plan, words="one", type=kind, quantity=3)
    position = PositionFactory(set_model=plan.sets.get().model, mark="V1", type=TubeTypeFactory(name="6K7"))
    TubeFactory(type=position.type)
    assert "Reserve them" in (page := page_text(as_keeper.get(plan.get_absolute_url()))) and "Reserve it" in page
    Plan.objects.update(state=Plan.LAID_ASIDE)
    page = page_text(as_keeper.get(plan.get_absolute_url()))
    assert "Reserve it" not in page and "Reserve them" not in page


@pytest.mark.parametrize(
    ("row", "fields", "most"),
    [
        (Requirement(), ["quantity"], 9_999),
        (WeakPart(), ["quantity"], 9_999),
        (Reservation(), ["quantity"], 9_999),
        (Work(), ["used"], 9_999),
        (PartLot(), ["least", "most", "duds"], 999_999),
    ],
)
def test_no_database_keeps_a_number_that_another_refuses(row, fields, most):
    """SQLite takes any whole number; what it takes goes into an archive, and that into PostgreSQL."""
    others = {field.name for field in row._meta.fields} - set(fields)
    for field in fields:
        setattr(row, field, most)
    row.clean_fields(exclude=others)
    for field in fields:
        setattr(row, field, most + 1)
    with pytest.raises(ValidationError) as refused:
        row.clean_fields(exclude=others)
    assert set(refused.value.message_dict) == set(fields)
