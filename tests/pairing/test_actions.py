"""Changes of the ledger and of companions. Expected answers are common practice, no source."""

from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction

from inventory.pairing.actions import (
    add_companion,
    change_companion,
    record_comparison,
    record_disturbance,
    record_neutralization,
    save_companion_kind,
)
from inventory.pairing.models import Companion, CompanionCheck, CompanionKind, Disturbance, Neutralization
from inventory.sets.models import SetModel
from tests.factories import (
    ChassisFactory,
    CompanionFactory,
    CompanionKindFactory,
    NeutralizationFactory,
    PlugInUnitFactory,
    SetModelFactory,
    UnitModelFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def pair():
    chassis = ChassisFactory()
    return chassis, PlugInUnitFactory(model=UnitModelFactory(fits=[chassis.model]))


def test_a_neutralization_is_written_with_its_person(pair, keeper, today, days_ago):
    chassis, unit = pair
    row = Neutralization(chassis=chassis, unit=unit, on=days_ago(9), setting=" 34.5 ", by_whom="P. Quillan")
    record_neutralization(row, today=today, by=keeper)
    row.refresh_from_db()
    assert (row.setting, row.by_whom, row.on) == ("34.5", "P. Quillan", days_ago(9))
    assert row.history.get().history_user == keeper


def test_a_correction_keeps_what_stood_before(keeper, helper, today):
    row = NeutralizationFactory(setting="34.5")
    row.setting = "43.5"
    record_neutralization(row, today=today, by=helper, reason="corrected")
    after, before = row.history.order_by("-history_id")
    assert (before.setting, after.setting) == ("34.5", "43.5")
    assert (after.history_user, after.history_change_reason) == (helper, "corrected")


def test_what_did_not_happen_is_refused(pair, keeper, today, refused):
    chassis, unit = pair
    tomorrow = today + timedelta(days=1)
    with refused("on", "has not come yet"):
        record_neutralization(Neutralization(chassis=chassis, unit=unit, on=tomorrow), today=today, by=keeper)
    with refused("unit", "does not go into"):
        record_neutralization(
            Neutralization(chassis=chassis, unit=PlugInUnitFactory(), on=today), today=today, by=keeper
        )
    plain = ChassisFactory(model=SetModelFactory(neutralizing=SetModel.NONE))
    its = PlugInUnitFactory(model=UnitModelFactory(fits=[plain.model]))
    with refused("chassis", "has no neutralized position"):
        record_neutralization(Neutralization(chassis=plain, unit=its, on=today), today=today, by=keeper)
    with refused("method"):
        record_neutralization(
            Neutralization(chassis=chassis, unit=unit, on=today, method="guess"), today=today, by=keeper
        )
    assert not Neutralization.objects.exists()


def test_a_disturbance_is_of_a_unit_a_chassis_or_a_pair(pair, keeper, today, refused):
    chassis, unit = pair
    for ends in ({"chassis": chassis}, {"unit": unit}, {"chassis": chassis, "unit": unit}):
        record_disturbance(Disturbance(cause="knock", on=today, **ends), today=today, by=keeper)
    with refused("chassis", "which chassis or which unit"):
        record_disturbance(Disturbance(cause="knock", on=today), today=today, by=keeper)
    with refused("unit", "does not go into"):
        record_disturbance(
            Disturbance(cause="knock", on=today, chassis=chassis, unit=PlugInUnitFactory()), today=today, by=keeper
        )
    with refused("on", "has not come yet"):
        record_disturbance(Disturbance(cause="knock", on=today + timedelta(days=1), unit=unit), today=today, by=keeper)
    with refused("cause"):
        record_disturbance(Disturbance(cause="ghost", on=today, unit=unit), today=today, by=keeper)
    assert Disturbance.objects.count() == 3


def test_the_database_holds_no_disturbance_of_nothing(today):
    with pytest.raises(IntegrityError), transaction.atomic():
        Disturbance.objects.create(cause="knock", on=today)


# --- companions ------------------------------------------------------------------------------------------------------


def companion(kind, **cells):
    return Companion(**{"kind": kind, "serial_reading": "missing", "mate_serial": "0458"} | cells)


def test_a_companion_is_registered(keeper, today):
    row = add_companion(companion(CompanionKindFactory(), mate_serial=" 0458 "), by=keeper, on=today)
    row.refresh_from_db()
    assert (row.tag, row.mate_serial, row.serial_text) == ("K-0001", "0458", "no serial")


@pytest.mark.parametrize(
    ("cells", "field"),
    [
        ({"mate_serial": ""}, "mate_serial"),
        ({"mate_serial": "0458", "mate_reading": "unreadable"}, "mate_reading"),
        ({"serial_reading": "read"}, "serial"),
        ({"serial": "7", "serial_reading": "missing"}, "serial_reading"),
    ],
)
def test_numbers_and_what_is_said_of_them_must_agree(keeper, today, refused, cells, field):
    with refused(field):
        add_companion(companion(CompanionKindFactory(), **cells), by=keeper, on=today)
    assert not Companion.objects.exists()


def test_a_companion_is_kept_with_a_set_of_its_model(keeper, today, refused):
    row = CompanionFactory()
    row.kept_with = ChassisFactory()
    with refused("kept_with", "belongs to no"):
        change_companion(row, by=keeper)
    row.kept_with = ChassisFactory(model=row.kind.set_model)
    change_companion(row, by=keeper)
    assert Companion.objects.get(pk=row.pk).kept_with == row.kept_with


def test_a_comparison_is_with_a_set_of_its_model(keeper, today, refused):
    row = CompanionFactory()
    its = ChassisFactory(model=row.kind.set_model)
    with refused("chassis", "belongs to a"):
        record_comparison(
            CompanionCheck(companion=row, chassis=ChassisFactory(), outcome="matched", on=today), today=today, by=keeper
        )
    with refused("on", "has not come yet"):
        record_comparison(
            CompanionCheck(companion=row, chassis=its, outcome="matched", on=today + timedelta(days=1)),
            today=today,
            by=keeper,
        )
    record_comparison(CompanionCheck(companion=row, chassis=its, outcome="matched", on=today), today=today, by=keeper)
    assert CompanionCheck.objects.get().history.get().history_user == keeper


def test_one_kind_of_a_name_per_model(keeper):
    kind = CompanionKindFactory(name="calibration book")
    with pytest.raises(IntegrityError), transaction.atomic():
        CompanionKindFactory(set_model=kind.set_model, name="calibration book")
    assert save_companion_kind(CompanionKind(set_model=kind.set_model, name="coil set"), by=keeper).pk
