"""Records on the right side of the capacitor, records struck out, accidents, and tubes of another type."""

from datetime import time

import pytest
from django.core.exceptions import ValidationError

from inventory.house.records.actions import strike_out
from inventory.pairing.actions import record_disturbance, record_neutralization
from inventory.pairing.models import Disturbance, Neutralization
from inventory.pairing.queries import PairFilter, pairing_table, told_of
from inventory.sets.actions import fit
from inventory.sets.models import Fitting
from tests.factories import (
    ChassisFactory,
    NeutralizationFactory,
    PlugInUnitFactory,
    PositionFactory,
    TubeFactory,
    UnitModelFactory,
)
from tubes.models import TubeType

pytestmark = pytest.mark.django_db


def pair(home):
    chassis = ChassisFactory(model__neutralizing=home, serial="01432")
    return chassis, PlugInUnitFactory(model=UnitModelFactory(fits=[chassis.model]), serial="0458")


def state(chassis, today):
    (row,) = pairing_table(today, PairFilter(chassis_key=chassis.pk, kinds=("unit",)))
    return row.state


@pytest.mark.parametrize(("home", "wrong", "right"), [("unit", "chassis", "unit"), ("chassis", "unit", "chassis")])
def test_a_touched_capacitor_is_recorded_on_what_holds_it(home, wrong, right, keeper, today, days_ago):
    """It concerns every partner of the holder (common practice, no source), so the other side would hide it."""
    chassis, unit = pair(home)
    NeutralizationFactory(chassis=chassis, unit=unit, on=days_ago(9), setting="31")
    sides = {"chassis": chassis, "unit": unit}
    for named in ({wrong: sides[wrong]}, sides):
        with pytest.raises(ValidationError, match="alone, since all its partners"):
            record_disturbance(Disturbance(cause="capacitor touched", on=today, **named), today=today, by=keeper)
    assert state(chassis, today) == "good"
    row = Disturbance(cause="capacitor touched", on=days_ago(3), **{right: sides[right]})
    record_disturbance(row, today=today, by=keeper)
    assert state(chassis, today) == "due"


@pytest.mark.parametrize(("cause", "expected"), [("repair", "good"), ("knock", "due"), ("moved lead", "due")])
def test_without_times_only_a_repair_is_taken_as_done_before_the_null(cause, expected, keeper, today):
    """Whoever repairs a set and neutralizes it on one day does it in that order (common practice, no source)."""
    chassis, unit = pair("unit")
    NeutralizationFactory(chassis=chassis, unit=unit, on=today, setting="31")
    record_disturbance(Disturbance(unit=unit, cause=cause, on=today), today=today, by=keeper)
    assert state(chassis, today) == expected


def test_times_settle_the_order_of_one_day(keeper, today, days_ago):
    chassis, unit = pair("unit")
    NeutralizationFactory(chassis=chassis, unit=unit, on=days_ago(1), at=time(15), setting="31")
    early = Disturbance(unit=unit, cause="knock", on=days_ago(1), at=time(9))
    record_disturbance(early, today=today, by=keeper)
    assert state(chassis, today) == "good"
    record_disturbance(Disturbance(unit=unit, cause="knock", on=days_ago(1), at=time(16)), today=today, by=keeper)
    assert state(chassis, today) == "due"


def test_a_struck_record_stays_readable_and_counts_no_more(keeper, today, days_ago):
    chassis, unit = pair("unit")
    row = Neutralization(chassis=chassis, unit=unit, on=days_ago(2), setting="31")
    record_neutralization(row, today=today, by=keeper)
    assert state(chassis, today) == "good"
    with pytest.raises(ValidationError):
        strike_out(row, "  ", by=keeper)
    strike_out(row, "it was the other drawer", by=keeper)
    assert state(chassis, today) == "due"
    (line,) = told_of(chassis=chassis, on=today).lines
    assert line.struck == "it was the other drawer"
    assert row.history.first().history_user == keeper
    with pytest.raises(ValidationError):
        strike_out(row, "again", by=keeper)


def test_a_tube_of_another_type_is_fitted_only_on_purpose(keeper, today):
    """A 6K7 in a mercury rectifier's socket is no small slip; a ruggedized form of the type wanted is none at all."""
    position = PositionFactory(mark="V1", type=TubeType.objects.get(name="866A"))
    chassis = ChassisFactory(model=position.set_model)
    odd = TubeFactory(type=TubeType.objects.get(name="6K7"))
    with pytest.raises(ValidationError, match="wants a 866A"):
        fit(Fitting(tube=odd, chassis=chassis, position=position, since=today), today=today, by=keeper)
    assert fit(
        Fitting(tube=odd, chassis=chassis, position=position, since=today), today=today, by=keeper, other_type=True
    ).pk
    speech = PositionFactory(mark="V2", set_model=position.set_model, type=TubeType.objects.get(name="6SN7GT"))
    rugged = TubeFactory(type=TubeType.objects.get(name="6SN7WGT"))
    assert fit(Fitting(tube=rugged, chassis=chassis, position=speech, since=today), today=today, by=keeper).pk
