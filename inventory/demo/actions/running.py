"""The demo's tables about running: instruments, tests, runs, meters, hours, matched sets, schedules."""

from inventory.demo.actions.finds import Desk, cells, chassis_of, tube_of
from inventory.demo.actions.tables import Row
from inventory.holdings.models import Item
from inventory.running.actions import (
    make_set,
    record_care_done,
    record_reading,
    record_run,
    record_test,
    save_care,
    save_earlier_hours,
    save_instrument,
    save_meter,
    save_minimum,
)
from inventory.running.models import (
    Care,
    CareDone,
    EarlierHours,
    Instrument,
    MatchedSet,
    Meter,
    MeterReading,
    Run,
    TubeTest,
    TypeMinimum,
)


def _instrument(row: Row) -> Instrument:
    return row.find("instrument", Instrument.objects.all(), "name")


def _number(row: Row, column: str) -> float:
    found = row.number(column)
    if found is None:
        raise row.fault(column, "empty, expected a number")
    return found


def _whole(row: Row, column: str) -> int | None:
    return int(_number(row, column)) if row.text(column) else None


def add_instrument(row: Row, desk: Desk) -> None:
    instrument = Instrument(
        calibrated_on=row.day_or_none("calibrated_on"),
        calibrate_months=_whole(row, "calibrate_months"),
        **cells(row, "name", "makers_kind", "serial", "scale", "note"),
    )
    save_instrument(instrument, today=desk.last_day, by=desk.by)


def add_minimum(row: Row, desk: Desk) -> None:
    minimum = TypeMinimum(
        instrument=_instrument(row),
        type=desk.type_named(row, "type"),
        minimum=_number(row, "minimum"),
        **cells(row, "section", "settings", "source"),
    )
    save_minimum(minimum, by=desk.by)


def add_earlier_hours(row: Row, desk: Desk) -> None:
    hours = EarlierHours(
        tube=tube_of(row), hours=row.number("hours"), starts=_whole(row, "starts"), **cells(row, "standing", "reason")
    )
    save_earlier_hours(hours, by=desk.by)


def add_run(row: Row, desk: Desk) -> None:
    run = Run(
        chassis=chassis_of(row),
        on=row.day("on"),
        on_at=row.clock("on_at"),
        off_at=row.clock("off_at"),
        hours=row.number("hours"),
        starts=_whole(row, "starts") or 0,
        filament=row.text("filament") or Run.FULL,
        **cells(row, "by_whom", "note"),
    )
    record_run(run, today=desk.last_day, by=desk.by)


def add_meter(row: Row, desk: Desk) -> None:
    meter = Meter(
        chassis=chassis_of(row),
        since=row.day("since"),
        digits=int(_number(row, "digits")),
        decimals=int(_number(row, "decimals")),
        **cells(row, "serial", "note"),
    )
    save_meter(meter, today=desk.last_day, by=desk.by)


def add_meter_reading(row: Row, desk: Desk) -> None:
    meter = row.find("meter", Meter.objects.select_related("chassis__item"), "serial")
    reading = MeterReading(meter=meter, on=row.day("on"), at=row.clock("at"), **cells(row, "wheels", "by_whom", "note"))
    record_reading(reading, today=desk.last_day, by=desk.by)


def add_test(row: Row, desk: Desk) -> None:
    test = TubeTest(
        tube=tube_of(row),
        instrument=_instrument(row),
        on=row.day("on"),
        filament_v=row.number("filament_v"),
        line_set=row.yes("line_set"),
        reduced_v=row.number("reduced_v"),
        reading_text=row.text("reading"),
        reduced_text=row.text("reduced"),
        **cells(row, "section", "settings", "shorts", "shorts_words", "gas", "by_whom", "note"),
    )
    record_test(test, today=desk.last_day, by=desk.by)


def add_matched_set(row: Row, desk: Desk) -> None:
    """Tubes by their last test on the instrument up to that day."""
    instrument, on = _instrument(row), row.day("on")
    tests = []
    for tag in row.text("tubes").split():
        read = TubeTest.objects.filter(tube__item__tag=tag, instrument=instrument, on__lte=on, reading__isnull=False)
        test = read.select_related("tube__item", "tube__type", "instrument").order_by("on", "pk").last()
        if test is None:
            raise row.fault("tubes", f"{tag!r} was not read on {instrument} by then")
        tests.append(test)
    matched = MatchedSet(
        instrument=instrument, made_on=on, tolerance_pct=_number(row, "tolerance_pct"), **cells(row, "by_whom", "note")
    )
    make_set(matched, tests, today=desk.last_day, by=desk.by)


def add_care(row: Row, desk: Desk) -> None:
    care = Care(
        item=row.find_or_none("item", Item.objects.all(), "tag"),
        type=desk.type_named(row, "type"),
        every_months=_whole(row, "every_months"),
        every_hours=row.number("every_hours"),
        since=row.day("since"),
        **cells(row, "work", "words", "source"),
    )
    save_care(care, today=desk.last_day, by=desk.by)


def add_care_done(row: Row, desk: Desk) -> None:
    """It was done on some things of one day, by the rule of that work."""
    for tag in row.text("items").split():
        item = Item.objects.filter(tag=tag).select_related("tube").first()
        if item is None:
            raise row.fault("items", f"there is no thing {tag!r}")
        rules = Care.objects.filter(work=row.text("work")).select_related("item", "type")
        care = rules.filter(item=item).first() or rules.filter(type__tubes__item=item).first()
        if care is None:
            raise row.fault("work", f"no rule of this work is about {tag}")
        done = CareDone(care=care, item=item, on=row.day("on"), **cells(row, "by_whom", "note"))
        record_care_done(done, today=desk.last_day, by=desk.by)


TABLES = (
    ("instruments", add_instrument, "name makers_kind serial scale calibrated_on calibrate_months note"),
    ("minimums", add_minimum, "instrument type section minimum settings source"),
    ("earlier_hours", add_earlier_hours, "tube standing hours starts reason"),
    ("runs", add_run, "chassis on on_at off_at hours starts filament by_whom note"),
    ("meters", add_meter, "chassis serial since digits decimals note"),
    ("meter_readings", add_meter_reading, "meter on at wheels by_whom note"),
    (
        "tests",
        add_test,
        "tube on instrument section settings filament_v line_set shorts shorts_words reading reduced_v reduced gas "
        "by_whom note",
    ),
    ("matched_sets", add_matched_set, "instrument on tolerance_pct tubes by_whom note"),
    ("cares", add_care, "work words item type every_months every_hours since source"),
    ("care_done", add_care_done, "work items on by_whom note"),
)
