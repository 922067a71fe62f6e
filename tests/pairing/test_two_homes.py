"""A unit that goes into two kinds of set: one has the neutralizing capacitor in the unit, one in the chassis.

Set for another is a pair only by the capacitor that it depends on itself (common practice, no source).
"""

import pytest

from inventory.pairing.actions import record_on_air
from inventory.pairing.models import OnAirRecord
from inventory.pairing.queries import last_record, pair_in_depth, pairing_table, station_view, told_of
from tests.factories import ChassisFactory, NeutralizationFactory, PlugInUnitFactory, UnitModelFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def homes():
    """A set with the capacitor in its chassis, two that take it with the unit, and a unit that goes into all three."""
    fixed, carried = ChassisFactory(serial="0101"), ChassisFactory(serial="0202")
    fixed.model.neutralizing = "chassis"
    fixed.model.save()
    more = ChassisFactory(serial="0303", model=carried.model)
    unit = PlugInUnitFactory(model=UnitModelFactory(fits=[fixed.model, carried.model]), serial="77")
    return fixed, carried, more, unit


def states(on):
    rows = {row.chassis.serial: row for row in pairing_table(on)}
    view = station_view(on)
    ((_, _, line),) = view.rows
    assert {end.serial: state for end, state in line} == {serial: row.state for serial, row in rows.items()}
    return rows


@pytest.mark.parametrize("how", ["neutralized", "on the air"])
def test_the_capacitor_of_a_chassis_says_nothing_of_that_in_the_unit(homes, today, days_ago, keeper, how):
    fixed, carried, more, unit = homes
    NeutralizationFactory(chassis=carried, unit=unit, on=days_ago(30), setting="41")
    if how == "neutralized":
        NeutralizationFactory(chassis=fixed, unit=unit, on=days_ago(20), setting="8")
    else:
        record_on_air(OnAirRecord(chassis=fixed, unit=unit, on=days_ago(20), plate_ma=99), today=today, by=keeper)
    row = states(today)["0202"]
    assert (row.state, row.setting) == ("good", "41")
    assert [reason.cause for reason in row.reasons] == ["neutralized"]
    told = [line.text for line in pair_in_depth(carried, unit, today).lines]
    assert not [text for text in told if "0101" in text or "setting 8" in text]
    shown = [line.text for line in told_of(chassis=carried, on=today).lines]
    assert not [text for text in shown if "0101" in text]
    NeutralizationFactory(chassis=more, unit=unit, on=days_ago(10), setting="44")
    assert states(today)["0202"].state == "reset and verify"


def test_the_capacitor_in_the_unit_says_nothing_of_that_of_a_chassis(homes, today, days_ago):
    fixed, carried, _, unit = homes
    NeutralizationFactory(chassis=fixed, unit=unit, on=days_ago(30), setting="8")
    NeutralizationFactory(chassis=carried, unit=unit, on=days_ago(20), setting="41")
    assert states(today)["0101"].state == "good"


def test_serials_alike_stay_presumed(homes, today, days_ago):
    fixed, carried, _, unit = homes
    carried.serial = unit.serial
    carried.save()
    NeutralizationFactory(chassis=fixed, unit=unit, on=days_ago(20), setting="8")
    assert states(today)["77"].state == "presumed"


def test_the_dial_of_another_capacitor_is_not_offered(homes, days_ago):
    fixed, carried, more, unit = homes
    NeutralizationFactory(chassis=fixed, unit=unit, on=days_ago(20), setting="8")
    assert last_record(carried, unit) == (None, None)
    like = NeutralizationFactory(chassis=more, unit=unit, on=days_ago(40), setting="44")
    assert last_record(carried, unit) == (None, like)
