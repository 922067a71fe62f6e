"""The days of a plan: filled in as it begins and is finished, asked for where nobody could know them."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError

from inventory.restoration.actions import save_plan
from inventory.restoration.models import Plan, Work
from tests.factories import ChassisFactory
from tests.pages import page_text, seen_at
from tests.restoration.rows import PlanFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def plan():
    return PlanFactory(name="Marram in the shed")


def turned(plan, today, state, **more):
    for name, value in {"state": state, **more}.items():
        setattr(plan, name, value)
    save_plan(plan, list(plan.sets.all()), today=today, by=None)
    plan.refresh_from_db()
    return plan.began, plan.ended


def test_the_day_of_beginning_and_of_finishing_is_today_where_it_is_not_said(plan, today, days_ago):
    assert turned(plan, today, Plan.PLANNED) == (None, None)
    assert turned(plan, today - timedelta(days=3), Plan.AT_WORK) == (days_ago(3), None)
    assert turned(plan, today, Plan.FINISHED) == (days_ago(3), today)
    assert turned(plan, today, Plan.AT_WORK, ended=None) == (days_ago(3), None)
    assert turned(plan, today, Plan.FINISHED, ended=days_ago(2)) == (days_ago(3), days_ago(2))


def test_work_on_record_says_when_it_began(plan, today, days_ago):
    Work.objects.create(plan=plan, chassis=plan.sets.get(), words="looked over", on=days_ago(9))
    Work.objects.create(
        plan=plan, chassis=plan.sets.get(), words="of another", on=days_ago(20), struck="of another set"
    )
    assert turned(plan, today, Plan.FINISHED) == (days_ago(9), today)


@pytest.mark.parametrize("state", [Plan.PLANNED, Plan.AT_WORK])
def test_an_open_plan_is_not_finished_on_any_day(plan, today, state):
    with pytest.raises(ValidationError, match="say that it is finished") as told:
        turned(plan, today, state, ended=today)
    assert "ended" in told.value.message_dict


def test_one_that_was_finished_before_says_on_which_day(plan, today, days_ago):
    """Nobody knows that from the day of typing: neither of a new row nor of one that is corrected later."""
    new = Plan(name="Long ago", state=Plan.FINISHED)
    with pytest.raises(ValidationError, match="on which day it was finished"):
        save_plan(new, [ChassisFactory()], today=today, by=None)
    Plan.objects.filter(pk=plan.pk).update(state=Plan.FINISHED)
    plan.refresh_from_db()
    with pytest.raises(ValidationError, match="on which day it was finished"):
        turned(plan, today, Plan.FINISHED, note="dusty")
    Plan.objects.filter(pk=plan.pk).update(began=today)
    plan.refresh_from_db()
    with pytest.raises(ValidationError, match="when it began"):
        turned(plan, today, Plan.FINISHED, ended=days_ago(1))


def test_the_page_fills_the_day_in_and_says_so(as_keeper, plan, today):
    address = f"{plan.get_absolute_url()}change/"
    assert "?state=at+work" in page_text(as_keeper.get(plan.get_absolute_url()))
    form = as_keeper.get(f"{address}?state=at+work").context["form"]
    assert form["state"].value() == "at work" and form["began"].value() == today
    Plan.objects.filter(pk=plan.pk).update(state=Plan.AT_WORK, began=today - timedelta(days=40))
    assert "?state=finished" in page_text(as_keeper.get(plan.get_absolute_url()))
    form = as_keeper.get(f"{address}?state=finished").context["form"]
    assert form["state"].value() == "finished" and form["ended"].value() == today
    sent = {
        "name": plan.name, "aim": "restore", "sets": [plan.sets.get().pk], "hours": "500", "assurance": "0.9",
        "priority": "2", "state": "finished", "began": today - timedelta(days=40),
    }  # fmt: skip
    text = page_text(as_keeper.post(address, sent | seen_at(as_keeper, address), follow=True))
    assert f"It is down as finished on {today}" in text and "as begun on" not in text
