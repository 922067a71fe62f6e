"""Plans and sets as they are asked for: by name, tag, serial; sets that are away. All is invented but the types."""

from datetime import date

import pytest

from inventory.holdings.models import Loan
from inventory.restoration.models import Finding, Plan, Requirement
from inventory.restoration.queries.answer import readiness
from inventory.restoration.queries.cover import cover_of, cover_of_set
from inventory.restoration.queries.plans import plan_lines
from tests.factories import (
    ChassisFactory,
    FittingFactory,
    PositionFactory,
    TubeTypeFactory,
)
from tests.pages import page_text
from tests.restoration.receiver import by_mark, tube
from tests.restoration.rows import PlanFactory

pytestmark = pytest.mark.django_db


def test_a_set_in_no_plan_is_judged_after_all_plans(plan, model, today):
    tube(), tube(), tube("6K7")
    other = ChassisFactory(model=model)
    assert {line.status for line in cover_of_set(other, today).lines} == {"reserved elsewhere"}
    assert cover_of(plan, today).count.can_start
    assert Plan.objects.count() == 1


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


def test_two_plans_whose_names_differ_in_case(plan, today):
    one, other = PlanFactory(name="Alpha"), PlanFactory(name="ALPHA")
    assert readiness("Alpha", today).cover.plan == one and readiness("ALPHA", today).cover.plan == other
    with pytest.raises(ValueError, match=r"ALPHA or Alpha|Alpha or ALPHA"):
        readiness("alpha", today)
    assert readiness(plan.name.upper(), today).cover.plan == plan
