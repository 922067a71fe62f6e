"""Elapsed-time meters: what the wheels say, the difference of two readings with roll-over, log against meter.

The difference is ``(new - old) mod capacity`` and holds only if fewer than one full turn passed. The last wheel may be
tenths or hundredths: the same digits read 143.75 h on one meter and 1437.5 h on another (NAVEDTRA 14329). All figures
are exact decimals.
"""

import re
from dataclasses import dataclass
from decimal import Decimal

MOST_DIGITS, MOST_DECIMALS = 9, 3
_WHEELS = re.compile(r"(?P<whole>\d{1,16})(?:[.,](?P<part>\d{1,8}))?", re.ASCII)


class MeterRefused(ValueError):
    """A reading or a wheel format that cannot be; the text is one line."""


@dataclass(frozen=True, slots=True)
class Wheels:
    """What a meter showed, in hours. ``remark``: how the text was taken, where it could be taken otherwise."""

    hours: Decimal
    remark: str = ""


@dataclass(frozen=True, slots=True)
class MeterDelta:
    """Hours from one reading to the next. ``rolled_over``: the wheels passed their end, or one reading is wrong."""

    hours: Decimal
    rolled_over: bool
    remarks: tuple[str, ...] = ()

    def as_dict(self) -> dict[str, object]:
        return {"hours": float(self.hours), "rolled_over": self.rolled_over, "remarks": list(self.remarks)}


@dataclass(frozen=True, slots=True)
class Difference:
    """Log against meter. ``short_h``: hours that the meter is short of the log (below zero: the log of the meter).

    ``percent``: of the larger one, so that a log without an entry is 100 % short.
    """

    short_h: float
    percent: float
    flagged: bool


def capacity(digits: int, decimals: int) -> Decimal:
    """Hours at which the wheels stand at nought again. Raises MeterRefused for a format that no meter has."""
    if not 1 <= digits <= MOST_DIGITS:
        raise MeterRefused(f"digits: {digits} wheels for whole hours; expected 1 to {MOST_DIGITS}")
    if not 0 <= decimals <= MOST_DECIMALS:
        raise MeterRefused(f"decimals: {decimals} wheels after the point; expected 0 to {MOST_DECIMALS}")
    return Decimal(10) ** digits


def read_wheels(text: str, digits: int = 5, decimals: int = 1) -> Wheels:
    """Hours that a text says on a meter with so many wheels. Raises MeterRefused.

    As many figures as there are wheels, without a point: the wheels as they stand (14375 on 4 + 1 wheels is 1437.5).
    Fewer without a point: whole hours.
    """
    end = capacity(digits, decimals)
    found = _WHEELS.fullmatch(text.strip())
    if not found:
        raise MeterRefused(
            f"reading {text[:40]!r} is no meter reading; expected figures as the wheels stand, as 0143.7"
        )
    whole, part = found["whole"], found["part"] or ""
    if len(part) > decimals:
        raise MeterRefused(f"reading {text[:40]!r} has {len(part)} figures after the point; the meter has {decimals}")
    remark = ""
    if not part and decimals and len(whole) == digits + decimals:
        whole, part = whole[:digits], whole[digits:]
    elif not part and decimals and len(whole) == digits:
        remark = f"{text.strip()} has no point and fills the wheels for whole hours: taken as whole hours"
    hours = Decimal(f"{whole}.{part or 0}")
    if hours >= end:
        raise MeterRefused(f"reading {text[:40]!r} is beyond the wheels: the meter ends below {end} h")
    return Wheels(hours, remark)


def difference_of_wheels(old: Decimal, new: Decimal, end: Decimal) -> MeterDelta:
    """Hours between two readings of a meter that goes round at ``end`` hours."""
    if new >= old:
        return MeterDelta(new - old, False)
    hours = new - old + end
    told = [f"The wheels passed {end} h once, if they did not go round more often and neither reading is wrong."]
    if hours * 2 > end:
        told.append(
            f"The later reading is {_plain(old - new)} h lower, and one turn would be {_plain(hours)} h: "
            "more likely a reading that runs backwards. Look at both again."
        )
    return MeterDelta(hours, True, tuple(told))


def meter_delta(old: str, new: str, digits: int = 5, decimals: int = 1) -> MeterDelta:
    """Hours between two readings as written. Raises MeterRefused naming the reading."""
    first, second = read_wheels(old, digits, decimals), read_wheels(new, digits, decimals)
    delta = difference_of_wheels(first.hours, second.hours, capacity(digits, decimals))
    told = dict.fromkeys(remark for remark in (first.remark, second.remark) if remark)
    return MeterDelta(delta.hours, delta.rolled_over, (*told, *delta.remarks))


def log_against_meter(log_h: float, meter_h: float, above_pct: float) -> Difference:
    """How far hours by the log and by the meter are apart; ``flagged`` above ``above_pct`` percent."""
    larger = max(log_h, meter_h)
    percent = 100 * abs(log_h - meter_h) / larger if larger > 0 else 0.0
    return Difference(log_h - meter_h, percent, percent > above_pct)


def _plain(hours: Decimal) -> str:
    return f"{hours.normalize():f}"
