"""What is entered as it happens has its order: the time is filled in (common practice, no source)."""

from datetime import time

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory.pairing.models import Disturbance, Neutralization
from inventory.sets.models import Fitting, SetModel
from tests.factories import (
    ChassisFactory,
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


def filled(client, address):
    """What a person sends who changes nothing in the form that is shown."""
    form = client.get(address).context["form"]
    sent = {field.name: field.value() for field in form}
    return {name: "" if value is None else value for name, value in sent.items()}


def test_neutralized_and_then_another_tube_on_one_day(pair, as_keeper):
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


def test_a_time_that_was_only_filled_in_is_not_said_of_another_day(pair, as_keeper, days_ago):
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
