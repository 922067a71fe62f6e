"""Changes of sets: serials digit for digit, tubes into and out of positions, units into and out of bays.

Expected answers are common practice, no source, unless a line says otherwise.
"""

from datetime import time, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from inventory.holdings.actions import lend, move, part_with, register
from inventory.holdings.models import Item, Movement, Tube
from inventory.sets.actions import (
    add_serialled,
    change_serialled,
    save_position,
    save_set_model,
    save_unit_model,
    take_out,
    unseat,
)
from inventory.sets.models import Chassis, Fitting, PlugInUnit, Position, Seating, SetModel, UnitModel
from inventory.sets.queries import bays_of, sockets_of
from tests.factories import (
    BayFactory,
    ChassisFactory,
    FittingFactory,
    PlugInUnitFactory,
    PositionFactory,
    SeatingFactory,
    SetModelFactory,
    TubeFactory,
)

pytestmark = pytest.mark.django_db


# --- serials ---------------------------------------------------------------------------------------------------------


def add(row, keeper, today, **more):
    return add_serialled(row, by=keeper, on=today, **more)


def test_leading_zeros_make_another_serial(keeper, today):
    model = SetModelFactory()
    first = add(Chassis(model=model, serial="01432"), keeper, today)
    second = add(Chassis(model=model, serial="1432"), keeper, today)  # no twin: nothing is asked
    assert (first.serial, second.serial) == ("01432", "1432")
    assert Chassis.objects.get(serial="01432") == first


def test_a_twin_serial_is_asked_about_and_may_be_confirmed(keeper, today, refused):
    model = SetModelFactory()
    first = add(Chassis(model=model, serial="01432"), keeper, today)
    with refused("serial", f"{first.tag} is a {model} with serial 01432 too"):
        add(Chassis(model=model, serial=" 01432 "), keeper, today)
    assert Item.objects.count() == 1
    add(Chassis(model=model, serial="01432"), keeper, today, twin_confirmed=True)
    add(Chassis(model=SetModelFactory(), serial="01432"), keeper, today)  # another model: no question
    assert Chassis.objects.filter(serial="01432").count() == 3


def test_a_twin_made_by_a_change_is_asked_about_too(keeper, today, refused):
    unit = PlugInUnitFactory(serial="77")
    other = PlugInUnitFactory(model=unit.model, serial="78")
    other.serial = "77"
    with refused("serial", "confirm that there are two"):
        change_serialled(other, by=keeper)
    change_serialled(other, by=keeper, twin_confirmed=True)
    unit.note = "lid dented"
    change_serialled(unit, by=keeper, twin_confirmed=True)
    assert PlugInUnit.objects.filter(serial="77").count() == 2


def test_two_plates_without_a_serial_are_no_twins(keeper, today):
    model = SetModelFactory()
    for _ in range(2):
        add(Chassis(model=model, serial="", serial_reading="missing"), keeper, today)
    assert [c.serial_text for c in Chassis.objects.all()] == ["no serial", "no serial"]


@pytest.mark.parametrize(
    ("serial", "reading", "field"),
    [("", "read", "serial"), ("  ", "read", "serial"), ("12", "missing", "serial_reading")],
)
def test_serial_and_plate_must_agree(keeper, today, refused, serial, reading, field):
    with refused(field):
        add(Chassis(model=SetModelFactory(), serial=serial, serial_reading=reading), keeper, today)
    assert not Item.objects.exists()


def test_a_fitted_chassis_keeps_its_model(keeper, bench, refused):
    bench.fit(TubeFactory(), 5)
    bench.chassis.model = SetModelFactory()
    with refused("model", "the model stays"):
        change_serialled(bench.chassis, by=keeper)


# --- models ----------------------------------------------------------------------------------------------------------


def test_a_neutralized_position_needs_a_capacitor(keeper, refused):
    plain = SetModelFactory(neutralizing=SetModel.NONE)
    with refused("neutralized", "say first where its capacitor sits"):
        save_position(Position(set_model=plain, mark="V1", neutralized=True), by=keeper)
    assert save_position(Position(set_model=plain, mark="V1"), by=keeper).pk


def test_a_model_with_a_neutralized_position_keeps_its_capacitor(keeper, refused):
    """Else every pair of that model turns to 'not needed', though a position says that it is neutralized."""
    position = PositionFactory(neutralized=True)
    position.set_model.neutralizing = SetModel.NONE
    with refused("neutralizing", "change those first"):
        save_set_model(position.set_model, by=keeper)


def test_one_position_per_mark(keeper):
    position = PositionFactory(mark="V101")
    with pytest.raises(ValidationError):
        save_position(Position(set_model=position.set_model, mark="V101"), by=keeper)


def test_a_range_runs_from_low_to_high(keeper):
    with pytest.raises(ValidationError):
        save_unit_model(UnitModel(name="Brindlemoor drawer Z", low_kc=4000, high_kc=3000), [], by=keeper)


# --- tubes in positions ----------------------------------------------------------------------------------------------


def test_a_fitted_tube_leaves_its_drawer(keeper, bench, days_ago):
    """L10.2: the move is written with old place, new place, day and person (Spectrum, Location and movements)."""
    tube = TubeFactory()
    move([tube.item], bench.drawer, on=days_ago(30), by=keeper)
    bench.fit(tube, 5)
    (socket,) = sockets_of(bench.chassis)
    assert (socket.fitting.tube, socket.fitting.since) == (tube, days_ago(5))
    tube.item.refresh_from_db()
    assert tube.item.place is None
    last = tube.item.movements.first()
    assert (last.from_path, last.on, last.by) == ("D1", days_ago(5), keeper)
    assert "0458 V101" in last.to_path
    assert socket.fitting.history.get().history_user == keeper


def test_a_tube_that_sits_in_a_set_lies_in_no_drawer(keeper, bench, today):
    """Entered today with its drawer, fitted last week: it can only be in one place, and that is the set."""
    item = register(Item.TUBE, by=keeper, on=today, place=bench.drawer)
    tube = Tube.objects.create(item=item, marked="VT-231", type=bench.position.type)
    bench.fit(tube, 7)
    item.refresh_from_db()
    assert item.place is None


def test_a_taken_position_is_refused_and_replaced_when_asked(keeper, bench, refused, days_ago):
    old, new = TubeFactory(), TubeFactory()
    bench.fit(old, 20)
    with refused("position", f"V101 holds {old.tag} since {days_ago(20)}; take it out first"):
        bench.fit(new, 5)
    bench.fit(new, 5, replace=True, old_tube_to=bench.drawer)
    assert [(f.tube, f.until) for f in Fitting.objects.order_by("since")] == [(old, days_ago(5)), (new, None)]
    old.item.refresh_from_db()
    assert old.item.place == bench.drawer


def test_the_same_tube_twice_in_one_position_is_refused(bench, refused):
    tube = TubeFactory()
    bench.fit(tube, 20)
    with refused("tube", f"{tube.tag} is in V101 already"):
        bench.fit(tube, 5, replace=True)


def test_a_tube_is_in_one_place_at_a_time(bench, refused):
    tube, other = TubeFactory(), ChassisFactory(model=bench.model)
    first = bench.fit(tube, 20)
    with refused("tube", "fitted elsewhere"):
        bench.fit(tube, 5, chassis=other)
    bench.out(first, 5)
    bench.fit(tube, 5, chassis=other)  # out and in on one day
    assert tube.fittings.count() == 2


def test_a_back_dated_fitting_may_not_overlap(bench, refused, days_ago):
    tube, past = TubeFactory(), TubeFactory()
    bench.fit(tube, 20)
    with refused("until", 'Correct its "from" first, or give a "to" that is no later than that.'):
        bench.fit(past, 30, until=days_ago(10))
    row = bench.fit(past, 30, until=days_ago(20))
    assert (row.since, row.until) == (days_ago(30), days_ago(20))
    with refused("since", f"{past.tag} was in "):
        bench.fit(past, 25, until=days_ago(22), chassis=ChassisFactory(model=bench.model))


def test_a_fitting_that_is_over_does_not_move_the_tube(bench, keeper, days_ago):
    tube = TubeFactory(place=bench.drawer)
    bench.fit(tube, 30, until=days_ago(20))
    tube.item.refresh_from_db()
    assert tube.item.place == bench.drawer


@pytest.mark.parametrize("days", [1, 400])
def test_nothing_is_fitted_in_the_future(bench, refused, days):
    with refused("since", "has not come yet"):
        bench.fit(TubeFactory(), -days)


def test_no_fitting_ends_in_the_future(bench, days_ago):
    with pytest.raises(ValidationError):
        bench.fit(TubeFactory(), 5, until=days_ago(-5))


def test_a_fitting_ends_after_it_began(bench, days_ago):
    with pytest.raises(ValidationError):
        bench.fit(TubeFactory(), 5, until=days_ago(10))
    assert not Fitting.objects.exists()


def test_taking_out_is_dated_after_fitting_and_not_ahead(bench, refused, keeper):
    fitting = bench.fit(TubeFactory(), 10)
    with refused("until", "before"):
        bench.out(fitting, 11)
    fitting.refresh_from_db()
    with refused("until", "has not come yet"):
        bench.out(fitting, -1)
    bench.out(fitting, 2, place=bench.drawer, until_at=time(14, 30))
    with refused("until", "already"):
        bench.out(fitting, 1)
    fitting.tube.item.refresh_from_db()
    assert fitting.tube.item.place == bench.drawer
    fitting.refresh_from_db()
    assert fitting.until_at == time(14, 30)


def test_what_left_is_neither_fitted_nor_holds(bench, keeper, today, refused):
    gone = TubeFactory(gone_on=today)
    with refused("since", "left the collection"):
        bench.fit(gone, 5)
    part_with(bench.chassis.item, "sold", on=today, today=today, by=keeper)
    with refused("since", "left the collection"):
        bench.fit(TubeFactory(), 5)


def test_a_position_of_another_model_is_refused(bench, refused):
    with refused("position", "is no position of a"):
        bench.fit(TubeFactory(), 5, position=PositionFactory())


def test_a_refused_replacement_leaves_the_old_tube_in(bench, refused):
    old, busy = TubeFactory(), TubeFactory()
    bench.fit(old, 20)
    bench.fit(busy, 20, chassis=ChassisFactory(model=bench.model))
    moves = Movement.objects.count()
    with refused("tube", "fitted elsewhere"):
        bench.fit(busy, 5, replace=True, old_tube_to=bench.drawer)
    assert Fitting.objects.filter(tube=old, until__isnull=True).exists()
    assert Movement.objects.count() == moves


def test_a_lent_tube_is_not_fitted_and_a_fitted_one_not_lent(bench, keeper, today, refused):
    lent, tube = TubeFactory(lent_to="R. Oddsworth"), TubeFactory()
    with refused("since", "is lent to R. Oddsworth"):
        bench.fit(lent, 0)
    bench.fit(tube, 5)
    with refused("lent_to", "it is in "):
        lend(tube.item, "R. Oddsworth", on=today, today=today, by=keeper)


def test_a_fitted_tube_is_not_moved_to_a_drawer(as_keeper, bench, today):
    """It would be in the drawer and in the set at once; taking it out is the way."""
    tube = TubeFactory()
    bench.fit(tube, 5)
    tube.item.refresh_from_db()
    before = {"place_id": tube.item.place_id, "moves": list(tube.item.movements.values_list("pk", flat=True))}
    answer = as_keeper.post(f"/things/{tube.tag}/move/", {"place": bench.drawer.pk, "on": today})
    assert answer.status_code == 422
    tube.item.refresh_from_db()
    assert tube.item.place_id == before["place_id"] and Fitting.objects.get(tube=tube).until is None
    assert list(tube.item.movements.values_list("pk", flat=True)) == before["moves"]


# --- units in bays ---------------------------------------------------------------------------------------------------


def test_a_unit_sits_in_one_bay_and_a_bay_holds_one_unit(bench, refused, keeper, today, days_ago):
    first, second = (PlugInUnitFactory(model=bench.unit_model, place=bench.drawer) for _ in range(2))
    seating = bench.seat(first, 10)
    first.item.refresh_from_db()
    assert first.item.place is None
    assert bays_of(bench.chassis)[0].seating.unit == first
    with refused("unit", "sits in a bay"):
        bench.seat(first, 5, bay=BayFactory(set_model=bench.model))
    with refused("bay", "left is taken"):
        bench.seat(second, 5)
    unseat(seating, until=days_ago(5), place=bench.drawer, today=today, by=keeper)
    bench.seat(second, 5)
    first.item.refresh_from_db()
    assert first.item.place == bench.drawer
    assert first.item.movements.first().reason.startswith("out of ")


def test_a_unit_goes_only_where_it_fits(bench, refused, today):
    with refused("unit", "does not go into"):
        bench.seat(PlugInUnitFactory(), 5)
    with refused("bay", "is no bay of"):
        bench.seat(PlugInUnitFactory(model=bench.unit_model), 5, bay=BayFactory())
    with refused("since", "has not come yet"):
        bench.seat(PlugInUnitFactory(model=bench.unit_model), -1)
    gone = PlugInUnitFactory(model=bench.unit_model)
    Item.objects.filter(pk=gone.pk).update(gone_on=today)
    with refused("since", "left the collection"):
        bench.seat(gone, 5)
    assert not Seating.objects.exists()


def test_unseating_is_dated_like_taking_out(bench, refused, keeper, today, days_ago):
    seating = bench.seat(PlugInUnitFactory(model=bench.unit_model), 10)
    for day, words in ((11, "before"), (-1, "has not come yet")):
        with refused("until", words):
            unseat(seating, until=days_ago(day), today=today, by=keeper)


# --- parting ---------------------------------------------------------------------------------------------------------


def test_nothing_leaves_that_is_in_a_set_or_holds_something(bench, keeper, today, refused):
    unit = PlugInUnitFactory(model=bench.unit_model)
    fitting, seating = bench.fit(TubeFactory(), 5), bench.seat(unit, 5)
    for item, words in (
        (fitting.tube.item, "it is in "),
        (unit.item, "it sits in "),
        (bench.chassis.item, "holds 2 tubes or units"),
    ):
        with refused("gone_on", words):
            part_with(item, "sold", on=today, today=today, by=keeper)
    take_out(fitting, until=today, today=today, by=keeper)
    unseat(seating, until=today, today=today, by=keeper)
    fitting.tube.item.refresh_from_db()
    part_with(fitting.tube.item, "sold", on=today, today=today, by=keeper)
    assert Fitting.objects.filter(tube=fitting.tube).exists()  # the record stays


def test_leaving_tomorrow_or_twice_is_refused(keeper, today, refused):
    item = TubeFactory().item
    with refused("gone_on", "has not come yet"):
        part_with(item, "sold", on=today + timedelta(days=1), today=today, by=keeper)
    part_with(item, "sold", on=today, today=today, by=keeper)
    with refused("gone_on", "already"):
        part_with(item, "sold", on=today, today=today, by=keeper)


# --- two people at once: what the database itself refuses ------------------------------------------------------------


def test_the_database_holds_one_open_fitting_per_tube_and_per_position():
    first = FittingFactory()
    with pytest.raises(IntegrityError), transaction.atomic():
        FittingFactory(tube=first.tube)
    with pytest.raises(IntegrityError), transaction.atomic():
        FittingFactory(chassis=first.chassis, position=first.position)
    with pytest.raises(IntegrityError), transaction.atomic():
        FittingFactory(until=first.since - timedelta(days=1))
    FittingFactory(chassis=first.chassis, position=first.position, until=first.since)


def test_the_database_holds_one_open_seating_per_unit_and_per_bay():
    first = SeatingFactory()
    with pytest.raises(IntegrityError), transaction.atomic():
        SeatingFactory(unit=first.unit)
    with pytest.raises(IntegrityError), transaction.atomic():
        SeatingFactory(chassis=first.chassis, bay=first.bay)
    with pytest.raises(IntegrityError), transaction.atomic():
        SeatingFactory(until=first.since - timedelta(days=1))
