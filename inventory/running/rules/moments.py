"""Moments: seconds since the first day of the calendar, by the clock on the wall. Summer time is not corrected."""

from datetime import date, time

DAY = 86_400
HOUR = 3_600
SPAN = 1 << 39  # more seconds than the calendar holds: chassis * SPAN + moment sorts by chassis, then by time


def moment(day: date, at: time | None = None) -> int:
    """A day and a time of day; without a time the start of the day."""
    return day.toordinal() * DAY + (at.hour * HOUR + at.minute * 60 + at.second if at else 0)


def end_of(day: date) -> int:
    """The end of a day."""
    return (day.toordinal() + 1) * DAY


def day_of(at: int) -> date:
    """The day of a moment, held within the calendar."""
    return date.fromordinal(min(max(at // DAY, 1), date.max.toordinal()))


def show(at: int) -> str:
    """A moment for people: the time only where there is one."""
    day, second = day_of(at), at % DAY
    return f"{day} {second // HOUR:02d}:{second % HOUR // 60:02d}" if second else str(day)
