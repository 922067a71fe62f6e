"""What falls due: tests, oil for bearings, conditioning of stored transmitting tubes, warming up of mercury rectifiers.

A rhythm in months runs from the day it was last done, or from the day it is counted from; one in hours from the hours
the thing had then. A stored tube that was in a set since is counted from the day it came out, if that is later: in the
set it was in use. Where both are given, whichever comes first counts. When hours will be reached is told from the
hours run a month, as a forecast.
"""

import calendar
import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from inventory.running.rules.words import CONDITION, OIL, OTHER, TEST, WARM_UP
from tubes.rules.mercury import disputes

if TYPE_CHECKING:
    from icalendar import Event

DAYS_A_MONTH = 30.4375

_HIGH_VOLTAGE = (
    "High voltage kills: supply off, discharged and proved dead first. Local codes and licensed practice come first."
)
CAUTIONS = {
    TEST: "Pins and top caps carry high voltage in a tester.",
    OIL: f"Stop and unplug the machine; moving parts and its output hurt. {_HIGH_VOLTAGE}",
    CONDITION: f"As its data sheet says, filament first and alone. {_HIGH_VOLTAGE}",
    WARM_UP: f"A broken one spills mercury: air the room, no vacuum cleaner, hand in the waste. {_HIGH_VOLTAGE}",
    OTHER: "",
}

# Filament alone for 30 minutes in first use or after it was tipped or moved, later 30 seconds before plate voltage:
# hifitubes.nl/weblog, mercury vapor rectifier tubes; 866A upright only, 30 s: uli.de/tubes/866a.htm.
MERCURY_FIRST_MIN, MERCURY_THEN_S = 30, 30
MERCURY_SOURCE = "hifitubes.nl (mercury vapor rectifier tubes)"
_MERCURY = (
    f"filament alone for {MERCURY_FIRST_MIN} minutes before any plate voltage, upright; after that "
    f"{MERCURY_THEN_S} seconds at each switching on"
)


@dataclass(frozen=True, slots=True)
class Due:
    """Something to be done. ``when`` None: only hours are known, no day. ``caution``: what can hurt in doing it.

    ``rule``: key of the rule that it comes from, so that two rules of the same words stay two.
    """

    what: str
    thing: str
    when: date | None
    why: str
    source: str
    caution: str = ""
    overdue: bool = False
    rule: str = ""


@dataclass(frozen=True, slots=True)
class CareFact:
    """A rhythm of one thing. ``done``: last time. ``hours_now``, ``hours_then``: hours it ran in all, by ``begins``.

    ``hours_a_month``: what it runs of late, to forecast a day. ``came_out``: of a stored tube, when it last left a set.
    """

    work: str
    thing: str
    words: str
    since: date
    every_months: int | None = None
    every_hours: float | None = None
    done: date | None = None
    hours_now: float | None = None
    hours_then: float | None = None
    hours_a_month: float | None = None
    source: str = ""
    rule: str = ""
    came_out: date | None = None

    @property
    def begins(self) -> date:
        """The day from which the rhythm runs."""
        return max(self.done or self.since, self.came_out or date.min)


@dataclass(frozen=True, slots=True)
class MercuryFact:
    """A mercury rectifier: when it or its set last moved or it was put in, and when it was last warmed up by itself."""

    thing: str
    type_name: str
    moved: date | None
    warmed: date | None


def months_after(day: date, months: int) -> date:
    """The same day of a later month, or that month's last day; held within the calendar."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    if year > date.max.year:
        return date.max
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))


def due(care: CareFact, today: date) -> Due | None:
    """When a thing wants its care next; None without a rhythm."""
    found = [one for one in (_by_months(care), _by_hours(care, today)) if one]
    if not found:
        return None
    when, why = min(found, key=lambda one: one[0] or date.max)
    late = when is not None and when <= today
    what = care.words or _WORDS[care.work]
    return Due(what, care.thing, when, why, care.source, CAUTIONS[care.work], late, care.rule)


_WORDS = {
    TEST: "test the tube",
    OIL: "oil the bearings",
    CONDITION: "condition the stored tube",
    WARM_UP: "warm up the mercury rectifier",
    OTHER: "look after it",
}


def _by_months(care: CareFact) -> tuple[date | None, str] | None:
    if care.every_months is None:
        return None
    last = care.begins
    words = {care.came_out: "came out of a set", care.since: "counted from", care.done: "last done"}
    months = "month" if care.every_months == 1 else f"{care.every_months} months"
    return months_after(last, care.every_months), f"every {months}, {words[last]} {last}"


def _by_hours(care: CareFact, today: date) -> tuple[date | None, str] | None:
    if care.every_hours is None:
        return None
    if care.hours_now is None:
        return None, f"every {care.every_hours:g} h, but its hours are not recorded"
    run = care.hours_now - (care.hours_then or 0.0)
    rest = care.every_hours - run
    why = f"every {care.every_hours:g} h, {run:.0f} h run since {care.begins}"
    if rest <= 0:
        return today, why
    if not care.hours_a_month or care.hours_a_month <= 0:
        return None, f"{why}, {rest:.0f} h to go"
    days = min(rest / care.hours_a_month * DAYS_A_MONTH, 36_500.0)
    when = date.fromordinal(min(today.toordinal() + max(round(days), 1), date.max.toordinal()))
    return when, f"{why}, {rest:.0f} h to go at {care.hours_a_month:.0f} h a month (a forecast)"


def mercury_due(fact: MercuryFact, today: date) -> Due | None:
    """A mercury rectifier that came, moved or was tipped since it was last warmed up by itself must be, before use.

    On one day without times, warming up counts as after the move (nobody carries a hot one).
    """
    if fact.warmed and (not fact.moved or fact.warmed >= fact.moved):
        return None
    why = f"put in or moved {fact.moved}" if fact.moved else "never warmed up here"
    told = " ".join([f"{why}: {_MERCURY}.", *disputes([fact.type_name])])
    return Due(_WORDS[WARM_UP], fact.thing, today, told, MERCURY_SOURCE, CAUTIONS[WARM_UP], True)


def soon(dues: Sequence[Due], today: date, days: int = 30) -> list[Due]:
    """What is overdue or falls due within so many days, soonest first; things without a day are not among them."""
    end = date.fromordinal(min(today.toordinal() + days, date.max.toordinal()))
    return sorted(
        (one for one in dues if one.when and one.when <= end), key=lambda one: (one.when or end, one.what, one.thing)
    )


def calendar_text(dues: Sequence[Due], stamp: datetime, name: str = "Filamentry") -> str:
    """The dues with a day as an iCalendar text of whole-day events (RFC 5545).

    ``stamp``: now, with its time zone. The same due has the same UID each time, so that a calendar renews it.
    """
    from icalendar import Calendar  # takes a tenth of a second to load: only when asked

    told = Calendar()
    told.add("prodid", "-//Filamentry//what falls due//EN")
    told.add("version", "2.0")
    told.add("x-wr-calname", name)
    for one in dues:
        if one.when:
            told.add_component(_event(one, one.when, stamp))
    text: str = told.to_ical().decode()
    return text


def _event(one: Due, when: date, stamp: datetime) -> "Event":
    from icalendar import Event

    event = Event()
    mark = hashlib.sha256(f"{one.what}\n{one.thing}\n{one.rule}".encode()).hexdigest()[:32]
    event.add("uid", f"{mark}@filamentry")
    event.add("dtstamp", stamp)
    event.add("dtstart", when)
    event.add("dtend", when + timedelta(days=1) if when < date.max else when)
    event.add("summary", f"{one.thing}: {one.what}")
    source = f"Source: {one.source}" if one.source else ""
    event.add("description", "\n".join(line for line in (one.why, source, one.caution) if line))
    event.add("transp", "TRANSPARENT")
    return event
