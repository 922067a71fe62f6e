"""Parts without a kind, tools and books: nothing on record tells whether they are here. All is invented."""

import pytest

from inventory.restoration.actions import save_requirement
from inventory.restoration.models import Requirement
from inventory.restoration.queries.answer import readiness
from inventory.restoration.rules.cover import count_of
from inventory.restoration.rules.words import AWAITED, COVERED, NOT_SAID, TO_DO, WAITING
from tests.factories import ChassisFactory, PositionFactory, SetModelFactory, TubeFactory, TubeTypeFactory
from tests.pages import page_text
from tests.restoration.rows import PartTypeFactory, PlanFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def plan():
    model = SetModelFactory(name="Marram TX", neutralizing="none")
    kind = TubeTypeFactory(name="6SN7GT")
    PositionFactory(set_model=model, mark="V1", type=kind, heater_v=6.3)
    TubeFactory(type=kind)
    return PlanFactory(name="Lantern", sets=[ChassisFactory(model=model)])


def line(plan, words="output transformer", **more):
    return Requirement.objects.create(plan=plan, words=words, **more)


def told(plan, today):
    found = readiness(plan.name, today)
    return found.as_dict(), {one.need: one for one in found.cover.lines}


@pytest.mark.parametrize("kind", ["part", "tool", "document"])
def test_what_nobody_said_to_be_here_stands_in_the_way(plan, today, kind):
    row = line(plan, kind=kind)
    answer, lines = told(plan, today)
    assert not answer["can_start"] and answer["not_said"] == 1
    assert "1 not known to be here" in answer["text"]
    assert lines[row.words].status == NOT_SAID
    assert ("name its kind of part" in lines[row.words].reasons[0]) == (kind == "part")
    row.here_on = today
    row.save()
    answer, lines = told(plan, today)
    assert answer["can_start"] and answer["covered"] == 2
    assert lines[row.words].status == COVERED and f"since {today}" in lines[row.words].reasons[0]


def test_what_is_to_come_stands_in_the_way_and_work_that_waits_does_not(plan, today):
    line(plan, "new grille", kind="work", waiting_for="the joiner")
    answer, _ = told(plan, today)
    assert answer["can_start"] and answer["text"].startswith("Can start: 1 of 2 covered, 1 to do.")
    line(plan, waiting_for="the winder")
    answer, lines = told(plan, today)
    assert not answer["can_start"] and answer["awaited"] == 1 and "1 waited for" in answer["text"]
    assert lines["output transformer"].status == WAITING


def test_counted_apart():
    count = count_of([(NOT_SAID, False, False), (AWAITED, False, False), (TO_DO, False, False), (TO_DO, True, False)])
    assert (count.not_said, count.awaited, count.to_do, count.before_power) == (1, 1, 1, 1)


def test_it_is_said_on_the_page(plan, today, as_keeper):
    row = line(plan)
    text = page_text(as_keeper.get(plan.get_absolute_url()))
    assert "Say whether it is here" in text and "It is at hand" in text
    text = page_text(as_keeper.post(f"/requirements/{row.pk}/at-hand/", follow=True))
    assert f"{row}: at hand since {today}." in text and "Can start: 2 of 2 covered." in text


def test_what_is_counted_from_the_stock_is_not_said_to_be_here(plan, today, keeper, refused):
    row = line(plan, type=PartTypeFactory(), here_on=today)
    with refused("here_on", "counted from the stock"):
        save_requirement(row, today=today, by=keeper)
