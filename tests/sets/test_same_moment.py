"""Two people at once: a thing is not lent or sold at the moment when it is put into a set, nor taken out twice.

Each change of the pair has a thread and a connection of its own; the second begins while the first is not written yet.
"""

from datetime import timedelta

import pytest
from django.db import connection

from inventory.holdings.actions import lend, move, part_with
from inventory.holdings.models import Item, Tube
from inventory.sets.actions import correct_stay, fit, seat, take_out, unseat
from inventory.sets.models import Chassis, Fitting, PlugInUnit, Seating
from tests.factories import (
    BayFactory,
    ChassisFactory,
    PlaceFactory,
    PlugInUnitFactory,
    PositionFactory,
    TubeFactory,
    UnitModelFactory,
)
from tests.same_moment import at_once

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(connection.vendor != "postgresql", reason="needs PostgreSQL: SQLite lets one change in"),
]


class House:
    """Two sets of one model with a position and a bay, and a tube and a unit on a shelf."""

    def __init__(self, keeper, today):
        self.how = {"today": today, "by": keeper}
        self.today = today
        self.position = PositionFactory(mark="V101", type=None)
        model = self.position.set_model
        self.bay = BayFactory(set_model=model, mark="left")
        self.sets = [ChassisFactory(model=model).pk for _ in range(2)]
        self.tube, self.other = TubeFactory(place=PlaceFactory()).pk, TubeFactory().pk
        self.unit = PlugInUnitFactory(model=UnitModelFactory(fits=[model])).pk

    # Each call reads its rows at once, and gives back what changes them later: they may be stale by then.

    def fit(self, tube=None, chassis=0, **more):
        tube = Tube.objects.select_related("item", "type").get(pk=tube or self.tube)
        chassis = Chassis.objects.select_related("item", "model").get(pk=self.sets[chassis])
        row = Fitting(tube=tube, chassis=chassis, position=self.position, since=self.today)
        return lambda: fit(row, **self.how, **more)

    def seat(self, chassis=0):
        unit = PlugInUnit.objects.select_related("item", "model").get(pk=self.unit)
        chassis = Chassis.objects.select_related("item", "model").get(pk=self.sets[chassis])
        return lambda: seat(unit, chassis, self.bay, since=self.today, **self.how)

    def lend(self, key):
        item = Item.objects.get(pk=key)
        return lambda: lend(item, "R. Oddsworth", on=self.today, **self.how)

    def part(self, key):
        item = Item.objects.get(pk=key)
        return lambda: part_with(item, "sold", on=self.today, **self.how)

    def move(self, key):
        item = Item.objects.get(pk=key)
        return lambda: move([item], PlaceFactory(), on=self.today, by=self.how["by"])

    def out(self, stays=Fitting, end=take_out):
        row = stays.objects.get()
        return lambda: end(row, until=self.today, **self.how)

    def correct(self, days):
        row = Fitting.objects.get()
        row.since -= timedelta(days=days)
        return lambda: correct_stay(row, **self.how)


@pytest.fixture
def house(keeper, today):
    return House(keeper, today)


PAIRS = {
    "lent, then fitted": (lambda h: h.lend(h.tube), lambda h: h.fit(), "is lent to R. Oddsworth"),
    "fitted, then lent": (lambda h: h.fit(), lambda h: h.lend(h.tube), "it is in "),
    "sold, then fitted": (lambda h: h.part(h.tube), lambda h: h.fit(), "left the collection"),
    "fitted, then sold": (lambda h: h.fit(), lambda h: h.part(h.tube), "it is in "),
    "set sold, then a tube fitted": (lambda h: h.part(h.sets[0]), lambda h: h.fit(), "left the collection"),
    "a tube fitted, then its set sold": (lambda h: h.fit(), lambda h: h.part(h.sets[0]), "holds 1 tube"),
    "fitted, then moved": (lambda h: h.fit(), lambda h: h.move(h.tube), "cannot be moved"),
    "fitted in two sets": (lambda h: h.fit(), lambda h: h.fit(chassis=1), "was fitted elsewhere"),
    "two tubes in one position": (lambda h: h.fit(), lambda h: h.fit(tube=h.other), "holds "),
    "the second throws out what it never saw": (
        lambda h: h.fit(), lambda h: h.fit(tube=h.other, replace=True), "V101 now holds ",
    ),
    "unit lent, then seated": (lambda h: h.lend(h.unit), lambda h: h.seat(), "is lent to R. Oddsworth"),
    "unit seated, then lent": (lambda h: h.seat(), lambda h: h.lend(h.unit), "it sits in "),
    "unit sold, then seated": (lambda h: h.part(h.unit), lambda h: h.seat(), "left the collection"),
    "unit seated in two sets": (lambda h: h.seat(), lambda h: h.seat(chassis=1), "sits in a bay"),
    "sold twice": (lambda h: h.part(h.tube), lambda h: h.part(h.tube), "already"),
}  # fmt: skip


def test_the_first_is_made_and_the_second_refused(keeper, today):
    for pair, (first, second, words) in PAIRS.items():
        house = House(keeper, today)
        made, refused = at_once(first(house), second(house))
        assert made is None and refused is not None and words in refused, (pair, made, refused)
        fitted = Fitting.objects.filter(until=None, chassis__in=house.sets).values_list("tube", flat=True)
        seated = Seating.objects.filter(until=None, chassis__in=house.sets).values_list("unit", flat=True)
        within = {*fitted, *seated}
        things = Item.objects.filter(pk__in=[*house.sets, house.tube, house.other, house.unit])
        away = set(things.exclude(lent_to="", gone_on=None).values_list("pk", flat=True))
        assert len(within) + len(away) == 1, pair


def test_a_tube_is_taken_out_once(house):
    house.fit()()
    made, refused = at_once(house.out(), house.out())
    assert made is None and "This ended on" in refused
    assert Tube.objects.get(pk=house.tube).item.movements.count() == 2  # in, and out once


def test_a_unit_is_taken_out_once(house):
    house.seat()()
    made, refused = at_once(house.out(Seating, unseat), house.out(Seating, unseat))
    assert made is None and "This ended on" in refused


def test_a_correction_does_not_put_back_what_was_taken_out(house):
    house.fit()()
    made, refused = at_once(house.out(), house.correct(3))
    assert made is None and "a correction only mends dates" in refused
    assert Fitting.objects.get().until == house.today


def test_a_tube_taken_out_keeps_the_day_that_was_just_corrected(house):
    house.fit()()
    assert at_once(house.correct(3), house.out()) == (None, None)
    row = Fitting.objects.get()
    assert (row.since, row.until) == (house.today - timedelta(days=3), house.today)


def test_what_is_exchanged_at_one_moment_waits_and_locks_nobody_out(house):
    """Each puts into one set what the other takes out of the other: rows are locked in one order, so neither fails."""
    house.fit()(), house.fit(tube=house.other, chassis=1)()
    third, fourth = TubeFactory().pk, TubeFactory().pk
    there = [Tube.objects.get(pk=key).tag for key in (house.tube, house.other)]
    first = house.fit(tube=third, replace=True, seen=there[0])
    second = house.fit(tube=fourth, chassis=1, replace=True, seen=there[1])
    assert at_once(first, second) == (None, None)
    assert set(Fitting.objects.filter(until=None).values_list("tube", flat=True)) == {third, fourth}
