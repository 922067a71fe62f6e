"""Changes of the log: runs, elapsed-time meters and their readings, hours of tubes. All may be dated back."""

from datetime import date, datetime, timedelta
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from inventory.holdings.actions import check_day, check_moment, locked, turned_up
from inventory.holdings.models import Item
from inventory.house.records.actions import hold
from inventory.house.writing import refuse, write
from inventory.running.models import (
    EarlierHours,
    HoursCorrection,
    Meter,
    MeterReading,
    Run,
)
from inventory.running.queries import reading_doubt
from inventory.running.rules.meters import MeterRefused, read_wheels
from inventory.running.rules.words import KNOWN, UNKNOWN

MOST_STARTS = 100_000
MOST_HOURS = 1_000_000.0


def check_day_of(item: Item, on: date, field: str, today: date) -> None:
    """Refuse a day that has not come, is too long ago, or lies after the thing left the collection."""
    check_day(on, field, today)
    if item.gone_on and on > item.gone_on:
        raise refuse(field, f"{item.tag} left the collection on {item.gone_on}.")


@transaction.atomic
def record_run(row: Run, *, today: date, by: Any, reason: str = "", now: datetime | None = None) -> Run:
    """Write a run of a chassis: from a moment to a moment, or hours on a day or in a span of days.

    Runs that share time are taken as they are said: the page of the chassis names them. What has not run yet is
    refused. ``now`` None: this machine's clock.
    """
    hold(row)
    check_day_of(row.chassis.item, row.on, "on", today)
    if row.off is not None and row.off < row.on:
        raise refuse("off", f"It went off on {row.off}, before it went on.")
    if row.hours is not None:
        _check_hours(row)
    else:
        _check_times(row)
    if row.off is not None:
        check_day_of(row.chassis.item, row.off, "off", today)
    _check_has_run(row, now)
    if row.pk is None:
        turned_up([row.chassis.item], on=row.on, by=by, reason="run")
    return write(row, by=by, reason=reason)


def _check_has_run(row: Run, now: datetime | None) -> None:
    """Refuse a time on or off, or an end by the hours from a time on, that lies ahead: nobody saw it run."""
    check_moment(row.on, row.on_at, "on_at", now)
    check_moment(row.off or row.on, row.off_at, "off_at", now)
    if row.hours is not None and row.on_at is not None and row.off is None:
        end = datetime.combine(row.on, row.on_at) + timedelta(hours=row.hours)
        local = now if now and timezone.is_naive(now) else timezone.localtime(now)
        if row.on == local.date() and end > local.replace(tzinfo=None):
            raise refuse("hours", f"{row.hours:g} hours from {row.on_at:%H:%M} on are not over yet.")


def _check_hours(row: Run) -> None:
    assert row.hours is not None
    if row.off_at:
        raise refuse("hours", "Give the time off or the hours, not both: which of them is right could not be told.")
    days = ((row.off or row.on) - row.on).days + 1
    if row.hours > 24 * days:
        span = "one day" if days == 1 else f"{days} days"
        raise refuse("hours", f"{row.hours:g} hours do not fit into {span}; give the date it went off.")
    if row.hours == 0 and not row.starts:
        raise refuse("hours", "No hours and no start: nothing ran.")


def _check_times(row: Run) -> None:
    if row.on_at is None:
        raise refuse("hours", "Give the times on and off, or how many hours it ran.")
    if row.off_at is None:
        raise refuse("off_at", "Give the time it went off, or the hours instead of the times.")
    if row.off is None:  # off after midnight: no other reading runs less than a day
        row.off = row.on + timedelta(days=row.off_at < row.on_at)
    if datetime.combine(row.off, row.off_at) <= datetime.combine(row.on, row.on_at):
        raise refuse("off_at", "It went off before it went on, or at the same moment.")


@transaction.atomic
def save_meter(row: Meter, *, today: date, by: Any, reason: str = "") -> Meter:
    """Write an elapsed-time meter of a chassis. Two meters at a time are refused; readings must stay in its time."""
    check_day_of(row.chassis.item, row.since, "since", today)
    if row.until is not None:
        check_day_of(row.chassis.item, row.until, "until", today)
        if row.until < row.since:
            raise refuse("until", f"It was taken out on {row.until}, before it was put in.")
    others = Meter.objects.filter(chassis=row.chassis).exclude(pk=row.pk)
    clash = others.filter(Q(until__isnull=True) | Q(until__gt=row.since))
    if row.until is not None:
        clash = clash.filter(since__lt=row.until)
    if other := clash.first():
        raise refuse("since", f"{_named(other)} was in this chassis then; say first when it was taken out.")
    if row.pk:
        _check_wheels_of_readings(row)
    return write(row, by=by, reason=reason)


def _named(meter: Meter) -> str:
    return f"Meter {meter.serial}" if meter.serial else f"The meter put in on {meter.since}"


def _check_wheels_of_readings(row: Meter) -> None:
    """A corrected number of wheels must still hold every reading, and its time every date."""
    outside = row.readings.filter(struck="").filter(Q(on__lt=row.since) | Q(on__gt=row.until or date.max)).first()
    if outside:
        raise refuse("since", f"It was read {outside.wheels} on {outside.on}; its time must hold that day.")
    for reading in row.readings.filter(struck=""):
        try:
            read_wheels(reading.wheels, row.digits, row.decimals)
        except MeterRefused as refusal:
            raise refuse("digits", f"{reading.wheels} read on {reading.on}: {refusal}.") from refusal


@transaction.atomic
def change_meter(
    old: Meter, new: Meter, *, last_wheels: str, first_wheels: str, today: date, by: Any, odd: bool = False
) -> Meter:
    """A chassis gets another meter: the old one is read for the last time, the new one for the first, on one day."""
    if old.until is not None:
        raise refuse("since", f"{_named(old)} was taken out on {old.until} already.")
    new.chassis = old.chassis
    check_day_of(old.chassis.item, new.since, "since", today)
    old.until = new.since
    if last_wheels.strip():
        try:
            record_reading(MeterReading(meter=old, on=new.since, wheels=last_wheels), today=today, by=by, odd=odd)
        except ValidationError as refusal:
            raise _renamed(refusal, "wheels", "last_wheels") from refusal
    save_meter(old, today=today, by=by, reason="taken out")
    return put_in_meter(new, first_wheels=first_wheels, today=today, by=by, odd=odd)


@transaction.atomic
def put_in_meter(new: Meter, *, first_wheels: str, today: date, by: Any, odd: bool = False) -> Meter:
    """A meter begins to count in a chassis. Its first reading, if there is one, is written with it or neither is."""
    save_meter(new, today=today, by=by, reason="put in")
    if first_wheels.strip():
        try:
            record_reading(MeterReading(meter=new, on=new.since, wheels=first_wheels), today=today, by=by, odd=odd)
        except ValidationError as refusal:
            raise _renamed(refusal, "wheels", "first_wheels") from refusal
    return new


def _renamed(refusal: ValidationError, old: str, new: str) -> ValidationError:
    """The same refusal at the field of the form in which the reading was typed."""
    named = refusal.message_dict if hasattr(refusal, "error_dict") else {}
    return refuse(new, " ".join(named[old])) if old in named else refusal


@transaction.atomic
def record_reading(
    row: MeterReading, *, today: date, by: Any, odd: bool = False, reason: str = "", now: datetime | None = None
) -> MeterReading:
    """Write what a meter showed. A roll-over is taken; one that cannot be (backwards) only with ``odd``.

    ``now`` None: this machine's clock; a time later than that is refused.
    """
    hold(row)
    check_day_of(row.meter.chassis.item, row.on, "on", today)
    check_moment(row.on, row.at, "at", now)
    if row.on < row.meter.since or (row.meter.until and row.on > row.meter.until):
        until = f" to {row.meter.until}" if row.meter.until else ""
        raise refuse("on", f"This meter was in the chassis from {row.meter.since}{until}.")
    row.wheels = row.wheels.strip()
    doubt = reading_doubt(row.meter, row)
    if doubt.impossible:
        raise refuse("wheels", doubt.impossible)
    if doubt.unlikely and not odd:
        raise refuse("wheels", f"{doubt.unlikely} Look again; tick the box below if it truly stands so.")
    return write(row, by=by, reason=reason)


@transaction.atomic
def save_earlier_hours(row: EarlierHours, *, by: Any, reason: str = "") -> EarlierHours:
    """Write what a tube had run before it came. Figures go with known or estimated, never with not known."""
    if row.standing == UNKNOWN and (row.hours is not None or row.starts is not None):
        raise refuse("standing", "A figure is given: say whether it is known or estimated, or leave it empty.")
    if row.standing != UNKNOWN and row.hours is None:
        raise refuse("hours", "Give the hours, 0 for a tube that never ran.")
    if row.standing == KNOWN and not row.reason.strip():
        raise refuse("reason", "Say how it is known: a log that came with it, or that it was never used.")
    if row.starts is not None and row.starts > MOST_STARTS:
        raise refuse("starts", f"{row.starts} starts; expected at most {MOST_STARTS}.")
    return write(row, by=by, reason=reason)


@transaction.atomic
def correct_hours(
    row: HoursCorrection, *, today: date, by: Any, reason: str = "", again: bool = False
) -> HoursCorrection:
    """Add hours or starts to a tube's account, or take them off, with the reason.

    Another one of the same day is asked about: it is taken only with ``again``.
    """
    hold(row)
    check_day_of(row.tube.item, row.on, "on", today)
    if not row.hours and not row.starts:
        raise refuse("hours", "Give the hours or the starts to add or to take off.")
    if abs(row.hours) > MOST_HOURS:
        raise refuse("hours", f"{row.hours:g} hours; expected at most {MOST_HOURS:g}.")
    if abs(row.starts) > MOST_STARTS:
        raise refuse("starts", f"{row.starts} starts; expected at most {MOST_STARTS}.")
    if not again:
        _check_other_of_the_day(row)
    return write(row, by=by, reason=reason)


def _check_other_of_the_day(row: HoursCorrection) -> None:
    """Refuse a correction where one of its day counts already: both would count, and often they are the same one."""
    if row.pk and HoursCorrection.objects.filter(pk=row.pk, on=row.on).exists():
        return
    locked(row.tube.item)  # two windows at once: one after another
    other = HoursCorrection.objects.filter(tube=row.tube, on=row.on, struck="").exclude(pk=row.pk).first()
    if other:
        raise refuse(
            "hours",
            f"{row.tube.tag} has a correction of {row.on} already: {other.hours:+g} h ({other.reason}). Change that "
            "one; or, if this one comes on top, tick the box.",
        )
