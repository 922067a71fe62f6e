"""A time of today that has not come yet is refused wherever something is written down as having happened."""

from datetime import datetime, time

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from inventory.pairing.actions import record_comparison, record_disturbance, record_neutralization, record_on_air
from inventory.pairing.models import CompanionCheck, Disturbance, Neutralization, OnAirRecord
from inventory.sets.actions import correct_stay, fit, seat, take_out
from inventory.sets.models import Fitting
from tests.factories import (
    BayFactory,
    ChassisFactory,
    CompanionFactory,
    FittingFactory,
    PlugInUnitFactory,
    PositionFactory,
    TubeFactory,
    UnitModelFactory,
)

pytestmark = pytest.mark.django_db
LATE = time(23, 59)


@pytest.fixture
def at_night(monkeypatch, today):
    """The clock on the wall shows 00:57."""
    real, now = timezone.localtime, datetime.combine(today, time(0, 57))
    now = timezone.make_aware(now)
    monkeypatch.setattr(timezone, "localtime", lambda value=None, zone=None: real(value or now, zone))


def refused(field, change):
    with pytest.raises(ValidationError) as refusal:
        change()
    assert refusal.value.message_dict[field] == ["23:59 has not come yet today; it is 00:57."]


def test_what_was_done_with_a_pair(at_night, today, keeper):
    chassis = ChassisFactory(model__neutralizing="unit")
    unit = PlugInUnitFactory(model=UnitModelFactory(fits=[chassis.model]))
    said, how = {"on": today, "at": LATE}, {"today": today, "by": keeper}
    refused("at", lambda: record_neutralization(Neutralization(chassis=chassis, unit=unit, **said), **how))
    refused("at", lambda: record_disturbance(Disturbance(unit=unit, cause="knock", **said), **how))
    refused("at", lambda: record_on_air(OnAirRecord(chassis=chassis, plate_ma=90, **said), **how))
    check = CompanionCheck(companion=CompanionFactory(), chassis=chassis, outcome="matched", **said)
    refused("at", lambda: record_comparison(check, **how))
    early = Neutralization(chassis=chassis, unit=unit, on=today, at=time(0, 57), setting="4")
    assert record_neutralization(early, **how).pk


def test_what_went_in_and_came_out(at_night, today, days_ago, keeper):
    position = PositionFactory(type=None)
    chassis, how = ChassisFactory(model=position.set_model), {"today": today, "by": keeper}
    late = Fitting(chassis=chassis, position=position, tube=TubeFactory(), since=today, since_at=LATE)
    refused("since_at", lambda: fit(late, **how))
    over = Fitting(
        chassis=chassis, position=position, tube=TubeFactory(), since=days_ago(1), until=today, until_at=LATE
    )
    refused("until_at", lambda: fit(over, **how))
    here = FittingFactory(chassis=chassis, position=position, since=days_ago(3))
    refused("until_at", lambda: take_out(here, until=today, until_at=LATE, **how))
    here.refresh_from_db()
    here.since, here.since_at = today, LATE
    refused("since_at", lambda: correct_stay(here, **how))
    bay = BayFactory(set_model=chassis.model)
    unit = PlugInUnitFactory(model=UnitModelFactory(fits=[chassis.model]))
    refused("since_at", lambda: seat(unit, chassis, bay, since=today, since_at=LATE, **how))
