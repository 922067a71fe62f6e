"""What a plan says once it is finished: how it ended, not what today's stock could do for it. All is invented."""

import pytest

from inventory.holdings.models import HazardMark
from inventory.restoration.actions import record_finding, save_plan
from inventory.restoration.models import Finding, Plan, Requirement
from inventory.restoration.queries.answer import answer_of
from inventory.restoration.queries.report import report_of
from inventory.sets.actions import take_out
from tests.factories import (
    ChassisFactory,
    FittingFactory,
    PositionFactory,
    SetModelFactory,
    TubeFactory,
    TubeTypeFactory,
)
from tests.pages import page_text, seen_at
from tests.restoration.rows import PlanFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def plan(days_ago):
    """At work on a set with two positions: a good tube in V1, nothing in V2; a spare goes to a more urgent plan."""
    kind = TubeTypeFactory(name="6K7")
    model = SetModelFactory(name="Marram RX", neutralizing="none", filament_supply_v=6.3, filament_winding_a=1.0)
    for mark in ("V1", "V2"):
        PositionFactory(set_model=model, mark=mark, type=kind, heater_v=6.3)
    chassis, other = (ChassisFactory(model=model, serial=serial) for serial in ("0417", "0633"))
    FittingFactory(
        chassis=chassis, position=model.positions.get(mark="V1"), tube=TubeFactory(type=kind), since=days_ago(9)
    )
    PlanFactory(name="Urgent", sets=[other], priority=1)
    TubeFactory(type=kind, item__tag="T-7001")
    plan = PlanFactory(name="Marram in the shed", sets=[chassis], state=Plan.AT_WORK, began=days_ago(30))
    Requirement.objects.create(plan=plan, kind="work", words="new cord")
    return plan


def finish(plan, today, **more):
    plan.state, plan.ended = Plan.FINISHED, more.pop("ended", today)
    return save_plan(plan, list(plan.sets.all()), today=today, by=None, **more)


def test_it_says_what_was_left_open_and_offers_nothing(plan, as_keeper, today):
    assert "Not yet" in answer_of(plan, today).text
    finish(plan, today)
    plan.refresh_from_db()
    assert plan.left == ("6K7 in V2: Nothing is in it.", "new cord: not done.")
    told = answer_of(plan, today).as_dict()
    assert told["text"].startswith(f"Finished on {today}; left open then: 2 lines.") and "Spares" not in told["text"]
    assert (told["state"], told["left_open"], told["can_start"]) == ("finished", list(plan.left), False)
    text = page_text(as_keeper.get(plan.get_absolute_url()))
    assert "left open then: 2 lines" in text and "Add a line" not in text and "Spares for" not in text
    assert text.index("If it were taken up again today") < text.index("Not yet")


def test_the_report_tells_the_end_and_what_was_changed_since(plan, as_visitor, days_ago, today):
    finish(plan, today, ended=days_ago(3))
    address = f"{plan.get_absolute_url()}report/"
    before = page_text(as_visitor.get(address))
    assert "that were open when it was finished" in before and "<li>6K7 in V2: Nothing is in it.</li>" in before
    assert "Urgent" not in before and "1 heater on 6.3 V" in before and "Since it was finished" not in before
    fitting = plan.sets.get().fittings.get()
    take_out(fitting, until=today, today=today, by=None)
    (one,) = report_of(plan, today).sets
    assert [swap.went_out for swap in one.since] == [fitting] and one.left == plan.left
    text = page_text(as_visitor.get(address))
    assert "Since it was finished <small>1</small>" in text and "Urgent" not in text
    assert "6K7 in V1" not in text.partition("What remains doubtful")[2]


def test_of_one_finished_before_that_was_written_down_it_is_said_so(plan, today):
    Plan.objects.filter(pk=plan.pk).update(state=Plan.FINISHED, ended=today)
    plan.refresh_from_db()
    assert answer_of(plan, today).text == f"Finished on {today}; what was left open then was not written down."


def test_with_something_to_settle_before_power_it_is_asked_about(plan, as_keeper, today, keeper, refused):
    chassis = plan.sets.get()
    failed = Finding(plan=plan, chassis=chassis, step="plates", asked="Plates", all_well=False, on=today)
    record_finding(failed, today=today, by=keeper)
    HazardMark.objects.create(item=chassis.item, hazard="radium", standing=HazardMark.PROPOSED, on=today)
    with refused("as_it_is", "radium: is it there?; Plates"):
        finish(plan, today)
    address = f"{plan.get_absolute_url()}change/"
    assert "finished as it is" not in page_text(as_keeper.get(address))
    sent = {
        "name": plan.name, "aim": plan.aim, "sets": [chassis.pk], "hours": "500", "assurance": "0.95", "priority": "3",
        "state": "finished",
    }  # fmt: skip
    answer = as_keeper.post(address, sent | seen_at(as_keeper, address))
    assert answer.status_code == 422 and "Not settled before power yet" in page_text(answer)
    as_keeper.post(address, sent | {"as_it_is": "on"} | seen_at(as_keeper, address))
    plan.refresh_from_db()
    assert plan.is_finished and any(text.startswith("Plates: Found on") for text in plan.left)


def test_taken_up_again_nothing_is_left_open_any_more(plan, today):
    finish(plan, today)
    plan.state, plan.ended = Plan.AT_WORK, None
    save_plan(plan, list(plan.sets.all()), today=today, by=None)
    plan.refresh_from_db()
    assert plan.left_open == "" and "Not yet" in answer_of(plan, today).text
