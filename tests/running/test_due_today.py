"""What falls due on the very day is due today, not overdue."""

import pytest

from inventory.running.models import Care
from inventory.running.queries import dues_soon
from tests.factories import FittingFactory, TubeFactory, TubeTypeFactory

pytestmark = pytest.mark.django_db


def test_a_mercury_rectifier_to_be_warmed_up_is_due_today(as_visitor, today, days_ago):
    kind = TubeTypeFactory(name="ZM6", hazard="Mercury vapour: keep upright.")
    FittingFactory(tube=TubeFactory(type=kind), since=today)
    (line,) = dues_soon(today)
    assert (line.due.when, line.standing) == (today, "due today")
    for address in ("/", "/schedules/"):
        shown = as_visitor.get(address).content.decode()
        assert "due today" in shown and "overdue" not in shown
    Care.objects.create(work="test", item=TubeFactory().item, every_months=12, since=days_ago(400))
    assert [line.standing for line in dues_soon(today)] == ["overdue", "due today"]
    assert "overdue" in as_visitor.get("/schedules/").content.decode()
