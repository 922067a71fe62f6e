"""A corrected fitting or seating may not share time with another; the refusal names it and what to correct.

A tube comes out and the next goes in at one minute: that is no overlap (common practice, no source).
"""

from datetime import time

import pytest
from django.urls import reverse

from inventory.sets.actions import correct_stay, fit
from inventory.sets.models import Fitting
from tests.factories import (
    ChassisFactory,
    FittingFactory,
    PlugInUnitFactory,
    PositionFactory,
    SeatingFactory,
    TubeFactory,
    UnitModelFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def two(days_ago):
    """One socket; a tube in it until 20:15 of a day, and from that minute another."""
    position = PositionFactory(mark="V1")
    chassis = ChassisFactory(model=position.set_model, serial="0458")
    at = {"chassis": chassis, "position": position}
    old = FittingFactory(**at, since=days_ago(9), until=days_ago(3), until_at=time(20, 15))
    new = FittingFactory(**at, since=days_ago(3), since_at=time(20, 15))
    return old, new


@pytest.fixture
def correct(keeper, today):
    def correct(stay, **cells):
        row = type(stay).objects.get(pk=stay.pk)
        for name, value in cells.items():
            setattr(row, name, value)
        return correct_stay(row, today=today, by=keeper)

    return correct


def test_the_new_one_alone_is_refused_and_the_old_one_first_is_not(two, correct, refused, days_ago):
    old, new = two
    told = f'{old.tube.tag} was in {old.chassis} V1 from {days_ago(9)} to {days_ago(3)} 20:15. Correct its "to" first'
    with refused("since", told):
        correct(new, since_at=time(20, 10))
    correct(old, until_at=time(20, 10))
    correct(new, since_at=time(20, 10))


def test_the_old_one_alone_is_refused_too(two, correct, refused, days_ago):
    old, new = two
    told = f'{new.tube.tag} was in {new.chassis} V1 since {days_ago(3)} 20:15. Correct its "from" first'
    with refused("until", told):
        correct(old, until_at=time(20, 20))
    correct(new, since_at=time(20, 20))
    correct(old, until_at=time(20, 20))


def test_a_day_without_a_time_says_nothing_against_it(two, correct):
    old, new = two
    correct(old, until_at=None)
    correct(new, since_at=time(9))
    correct(new, since_at=None)
    correct(old, until_at=time(23))


def test_its_tube_elsewhere_is_named(two, correct, refused, days_ago):
    old, _ = two
    other = FittingFactory(tube=old.tube, since=days_ago(3), since_at=time(20, 30))
    told = f"{old.tube.tag} was in {other.chassis} {other.position.mark} since {days_ago(3)} 20:30"
    new = Fitting.objects.get(chassis=old.chassis, until__isnull=True)
    correct(new, since_at=time(21))
    with refused("until", told):
        correct(old, until_at=time(20, 31))
    correct(old, until_at=time(20, 30))


def test_a_tube_fitted_by_times_that_overlap_is_refused(two, keeper, today, refused, days_ago):
    old, _ = two
    row = Fitting(tube=TubeFactory(), chassis=old.chassis, position=old.position, since=days_ago(12), since_at=time(8))
    row.until, row.until_at = days_ago(9), time(11)
    old.since_at = time(10)
    old.save()
    with refused("until", f"{old.tube.tag} was in {old.chassis} V1 from {days_ago(9)} 10:00 to {days_ago(3)} 20:15"):
        fit(row, today=today, by=keeper)
    row.until_at = time(10)
    fit(row, today=today, by=keeper)


def test_no_stay_ends_before_it_began_by_the_clock(two, correct, refused, days_ago):
    old, _ = two
    with refused("until_at", "20:15 is before 21:00, when it began."):
        correct(old, since=days_ago(3), since_at=time(21))


def test_units_in_bays_alike(correct, refused, days_ago):
    old = SeatingFactory(since=days_ago(9), until=days_ago(3), until_at=time(20, 15))
    unit = PlugInUnitFactory(model=UnitModelFactory(fits=[old.chassis.model]))
    new = SeatingFactory(unit=unit, chassis=old.chassis, bay=old.bay, since=days_ago(3), since_at=time(20, 15))
    with refused("since", f"{old.unit.tag} was in {old.chassis}, bay {old.bay.mark} from {days_ago(9)} to"):
        correct(new, since_at=time(20, 10))


def test_the_page_tells_it_beside_the_field(two, as_keeper, days_ago):
    old, new = two
    address = reverse("sets:fitting-correct", args=[new.pk])
    form = as_keeper.get(address).context["form"]
    cells = {name: form[name].value() or "" for name in form.fields} | {"since_at": "20:10", "reason": "by the log"}
    answer = as_keeper.post(address, cells)
    assert answer.status_code == 422
    assert old.tube.tag in str(answer.context["form"].errors["since"])
