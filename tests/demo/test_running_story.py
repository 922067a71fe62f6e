"""The demo's story of running: what its pages are meant to show is there (worked out from its own tables)."""

from datetime import date

import pytest

from inventory.holdings.models import Tube
from inventory.running.models import Instrument, MatchedSet, TubeTest
from inventory.running.queries import (
    compare,
    dues,
    instrument_answer,
    life_of,
    log_differences,
    set_hours,
    tube_hours,
    tube_trend,
    types_meant,
)
from inventory.sets.models import Chassis
from tubes.models import TubeType

ON = date(2026, 11, 25)
pytestmark = [pytest.mark.django_db, pytest.mark.worked_out]


@pytest.fixture
def demo(demo_rows, db):
    return demo_rows


def test_the_story(demo):
    assert TubeTest.objects.count() >= 40
    (apart,) = log_differences(ON)
    assert apart.chassis.item.tag == "C-0001" and apart.flagged[0].percent > 10
    assert {fault.kind for fault in apart.faults} >= {"overlap"}
    rolled = Chassis.objects.select_related("model", "item").get(item__tag="C-0005")
    (ran,) = set_hours([rolled], ON)
    assert not ran.flagged and ran.hours == pytest.approx(286, abs=2)  # the meter went over nought and agrees
    bench, travelling = Instrument.objects.order_by("name")
    assert compare(instrument_answer(bench), travelling, TubeType.objects.get(name="807")).line.tubes == 7
    assert instrument_answer(bench).repeats.tubes == 4
    assert MatchedSet.objects.get().members.count() == 2
    assert any(line.due.overdue for line in dues(ON))


def test_the_tube_that_ran_down(demo):
    tube = Tube.objects.select_related("item", "type").get(item__tag="T-0037")
    (found,) = tube_hours([tube], ON)
    assert found.account.known == "estimated" and found.account.hours > 600
    trend = tube_trend(tube, ON)
    assert trend.axis == "hours" and trend.slope_per_1000_h < 0 and trend.hours_to_minimum


def test_life_of_the_tubes_that_came_with_a_log(demo):
    """Five came with some 1700 h by the log of the watch room: of the years before, nothing can be said."""
    kind = TubeType.objects.get(name="211")
    found = life_of(types_meant(kind, True, ""), ON, weak_failed=True, estimates=True)
    assert (found.since, found.counted, found.answer.events) == (1640.0, 5, 2)
