"""Moments: a day and a second of that day, by the clock on the wall. Summer time is not corrected.

Where no time of day is known, something counts as having been at the start or at the end of its day; which of the two
is said by whoever asks (``at_start``, ``at_end``). Times are known to the minute. For arrays a moment is a number on
one axis, ``axis``: seconds since the first day of the calendar.
"""

from datetime import date, time
from typing import NamedTuple

DAY = 86_400
HOUR = 3_600
START_OF_DAY, END_OF_DAY = -1, DAY
SPAN = 1 << 39  # more seconds than the calendar holds: key * SPAN + seconds sorts by key, then by time


class Moment(NamedTuple):
    """A day and a second of it; ``START_OF_DAY`` and ``END_OF_DAY`` stand where no time is known. In order of time."""

    day: date
    second: int

    @property
    def timed(self) -> bool:
        return self.second not in (START_OF_DAY, END_OF_DAY)


def at_start(day: date, at: time | None = None) -> Moment:
    """A day and a time of it as clocks and forms give it, to the minute; without a time the start of the day."""
    return Moment(day, START_OF_DAY if at is None else _seconds(at))


def at_end(day: date, at: time | None = None) -> Moment:
    """As ``at_start``; without a time the end of the day."""
    return Moment(day, END_OF_DAY if at is None else _seconds(at))


def just_before(moment: Moment) -> Moment:
    """Before all else of its minute; of a day without a time after all that was done on it."""
    day, second = moment
    return Moment(day, second if second == END_OF_DAY else second - 1)


def _seconds(at: time) -> int:
    return at.hour * HOUR + at.minute * 60


def axis(day: date, at: time | None = None) -> int:
    """A day and a time of day as a number; without a time the start of the day."""
    return day.toordinal() * DAY + (_seconds(at) + at.second if at else 0)


def axis_end(day: date) -> int:
    """The end of a day as a number."""
    return (day.toordinal() + 1) * DAY


def day_of(at: int) -> date:
    """The day of a number on the axis, held within the calendar."""
    return date.fromordinal(min(max(at // DAY, 1), date.max.toordinal()))


def show(at: int) -> str:
    """A number on the axis for people: the time only where there is one."""
    day, second = day_of(at), at % DAY
    return f"{day} {second // HOUR:02d}:{second % HOUR // 60:02d}" if second else str(day)
