"""A stay ends no earlier than it began, whichever way its times are written. Expected: plain order of time."""

from datetime import time, timedelta

import pytest
from django.urls import reverse

from inventory.sets.actions import correct_stay, fit, take_out, unseat
from inventory.sets.models import Fitting, Seating
from tests.factories import ChassisFactory, FittingFactory, PositionFactory, SeatingFactory, TubeFactory
from tests.pages import state_seen

pytestmark = pytest.mark.django_db

MORNING, EVENING = time(8), time(20)
TOLD = "08:00 is before 20:00, when it began."


@pytest.fixture
def fitting(days_ago):
    return FittingFactory(since=days_ago(9), since_at=EVENING)


def stays(days_ago):
    for make in (FittingFactory, SeatingFactory):
        yield make(since=days_ago(9), since_at=time(7), until=days_ago(9), until_at=EVENING)


def test_a_tube_is_not_fitted_until_before_it_went_in(today, days_ago, keeper, refused):
    position = PositionFactory()
    tube, chassis = TubeFactory(type=position.type), ChassisFactory(model=position.set_model)
    said = {"tube": tube, "chassis": chassis, "position": position, "since": days_ago(9), "since_at": EVENING}
    with refused("until_at", TOLD):
        fit(Fitting(**said, until=days_ago(9), until_at=MORNING), today=today, by=keeper, other_type=True)
    with refused("until", f"{days_ago(10)} is before {days_ago(9)}, when it began."):
        fit(Fitting(**said, until=days_ago(10)), today=today, by=keeper, other_type=True)
    assert not Fitting.objects.exists()
    fit(Fitting(**said, until=days_ago(9), until_at=EVENING), today=today, by=keeper, other_type=True)


def test_a_correction_keeps_the_order(today, days_ago, keeper, refused):
    for stay in stays(days_ago):
        stay.since_at, stay.until_at = EVENING, MORNING
        with refused("until_at", TOLD):
            correct_stay(stay, today=today, by=keeper)
        stay.refresh_from_db()
        assert (stay.since_at, stay.until_at) == (time(7), EVENING)
        stay.since_at, stay.until_at = EVENING, None  # one that is not known is before nothing
        correct_stay(stay, today=today, by=keeper)


def test_the_page_of_a_correction_says_so_beside_the_time(as_keeper, days_ago):
    for stay, name in zip(stays(days_ago), ("sets:fitting-correct", "sets:seating-correct"), strict=True):
        sent = {"since": stay.since, "since_at": "20:00", "until": stay.until, "until_at": "08:00", "reason": "misread"}
        answer = as_keeper.post(reverse(name, args=[stay.pk]), sent | {"seen": state_seen(stay)})
        assert answer.status_code == 422 and answer.context["form"].errors["until_at"] == [TOLD]
        stay.refresh_from_db()
        assert stay.until_at == EVENING


def test_it_does_not_come_out_before_it_went_in(fitting, today, days_ago, keeper, refused):
    with refused("until_at", TOLD):
        take_out(fitting, until=days_ago(9), until_at=MORNING, today=today, by=keeper)
    seating = SeatingFactory(since=days_ago(9), since_at=EVENING)
    with refused("until", "is before"):
        unseat(seating, until=days_ago(9) - timedelta(days=1), today=today, by=keeper)
    assert Fitting.objects.get().until is None and Seating.objects.get().until is None


@pytest.mark.parametrize("clock", ["", "08:00"])
def test_the_page_of_a_correction_says_so_beside_the_day(as_keeper, days_ago, clock):
    for stay, name in zip(stays(days_ago), ("sets:fitting-correct", "sets:seating-correct"), strict=True):
        sent = {"since": stay.since, "since_at": "20:00", "until": days_ago(10), "until_at": clock, "reason": "misread"}
        answer = as_keeper.post(reverse(name, args=[stay.pk]), sent | {"seen": state_seen(stay)})
        assert answer.status_code == 422
        assert answer.context["form"].errors == {"until": [f"{days_ago(10)} is before {days_ago(9)}, when it began."]}
        stay.refresh_from_db()
        assert stay.until == days_ago(9)
