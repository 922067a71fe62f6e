"""What is entered as it happens has its order: the time is filled in (common practice, no source)."""

from datetime import datetime, time

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory.pairing.actions import record_neutralization
from inventory.pairing.models import Disturbance, Neutralization, OnAirRecord
from inventory.pairing.queries import on_air
from inventory.pairing.wording.on_air import to_do
from inventory.pairing.wording.on_air_record import on_air_remarks
from inventory.sets.models import Fitting, SetModel
from tests.factories import (
    ChassisFactory,
    FittingFactory,
    PlugInUnitFactory,
    PositionFactory,
    SetModelFactory,
    TubeFactory,
    UnitModelFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def pair():
    model = SetModelFactory(neutralizing=SetModel.IN_UNIT)
    position = PositionFactory(set_model=model, mark="V103", neutralized=True)
    chassis = ChassisFactory(model=model)
    return chassis, PlugInUnitFactory(model=UnitModelFactory(fits=[model])), position


@pytest.fixture
def at_noon(monkeypatch, today):
    """The clock on the wall shows 12:00, whenever the tests run: what was before it today has come."""
    real, noon = timezone.localtime, timezone.make_aware(datetime.combine(today, time(12)))
    monkeypatch.setattr(timezone, "localtime", lambda value=None, zone=None: real(value or noon, zone))


def filled(client, address):
    """What a person sends who changes nothing in the form that is shown."""
    form = client.get(address).context["form"]
    sent = {field.name: field.value() for field in form}
    return {name: "" if value is None else value for name, value in sent.items()}


def test_neutralized_and_then_another_tube_on_one_day(pair, at_noon, as_keeper):
    chassis, unit, position = pair
    ask = f"/pairings/neutralize/?chassis={chassis.tag}&unit={unit.tag}"
    sent = filled(as_keeper, ask) | {"setting": "50", "chassis": chassis.pk, "unit": unit.pk, "locked": "unknown"}
    assert sent["at"] and sent["filled_in"]
    sent["at"] = "00:01"  # as if it had been some time ago
    assert as_keeper.post(ask, sent).status_code == 302
    where = f"/sets/{chassis.tag}/fit/{position.pk}/"
    sent = filled(as_keeper, where) | {"tube": TubeFactory().tag, "other_type": "on"}
    assert as_keeper.post(where, sent).status_code == 302
    assert Fitting.objects.get().since_at is not None and Neutralization.objects.get().at == time(0, 1)
    page = as_keeper.get(f"/pairings/{chassis.tag}/{unit.tag}/").content.decode()
    assert "tube changed" in page and "no tube was on record there" in page


def test_a_time_that_was_only_filled_in_is_not_said_of_another_day(pair, at_noon, as_keeper, days_ago):
    chassis, *_ = pair
    address = f"/pairings/disturb/?chassis={chassis.tag}"
    sent = filled(as_keeper, address) | {"cause": "knock", "on": days_ago(3), "chassis": chassis.pk, "unit": ""}
    as_keeper.post(address, sent)
    assert Disturbance.objects.get().at is None
    as_keeper.post(address, sent | {"at": "07:15"})
    assert Disturbance.objects.order_by("pk").last().at == time(7, 15)
    today = timezone.localdate()
    as_keeper.post(address, sent | {"on": today})
    assert Disturbance.objects.order_by("pk").last().at is not None


def test_a_correction_fills_in_nothing(pair, as_keeper, days_ago):
    chassis, unit, _ = pair
    row = Neutralization.objects.create(chassis=chassis, unit=unit, on=timezone.localdate(), setting="3")
    form = as_keeper.get(reverse("pairing:neutralization-correct", args=[row.pk])).context["form"]
    assert form["at"].value() is None and "filled_in" not in form.fields


def test_a_frequency_outside_the_unit_is_asked_about(pair, as_keeper):
    """36 for 3.6 is the usual slip."""
    chassis, unit, _ = pair
    unit.model.low_kc, unit.model.high_kc = 3000, 4500
    unit.model.save()
    ask = f"/pairings/neutralize/?chassis={chassis.tag}&unit={unit.tag}"
    sent = filled(as_keeper, ask) | {"setting": "50", "chassis": chassis.pk, "unit": unit.pk, "locked": "unknown"}
    sent["frequency_kc"] = "36 Mc"
    answer = as_keeper.post(ask, sent)
    assert answer.status_code == 422 and "3000 to 4500 kc" in answer.context["form"].errors["off_range"][0]
    assert as_keeper.post(ask, sent | {"off_range": "on"}).status_code == 302
    assert as_keeper.post(ask, sent | {"frequency_kc": "3.6 Mc"}).status_code == 302


def test_more_power_out_than_in_does_not_agree(pair):
    """Conservation of energy: 1,000 V at 50 mA are 50 W in."""
    chassis, _, _ = pair
    row = OnAirRecord(chassis=chassis, on=timezone.localdate(), supply_v=1000, plate_ma=50, output_w=80)
    (told,) = [remark for remark in on_air_remarks(row) if "only 50 W go into the plates" in remark.text]
    assert told.agrees is False


def test_the_bench_sheet_names_positions_to_see_to_first(pair, as_keeper):
    chassis, *_ = pair
    weak = PositionFactory(set_model=chassis.model, mark="V104")
    FittingFactory(position=weak, chassis=chassis, tube=TubeFactory(state="weak"))
    page = as_keeper.get(f"/on-air/{chassis.tag}/?frequency=7+Mc").content.decode()
    assert "Empty: V103. Not good: V104 weak." in page


def test_a_lock_left_open_is_a_task_on_the_bench_sheet(pair, keeper, today):
    chassis, unit, _ = pair
    unit.model.low_kc, unit.model.high_kc = 3000, 4500
    unit.model.save()
    row = Neutralization(chassis=chassis, unit=unit, on=today, setting="3", locked=False)
    record_neutralization(row, today=today, by=keeper)
    (told,) = on_air(chassis, 3600, today).units
    assert to_do(told).startswith("Tighten the lock")
