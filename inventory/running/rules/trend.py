"""Trend of a tube's readings on one instrument against filament hours, or against dates where hours are unknown.

The line is Theil and Sen's: the median of the slopes of all pairs of readings, which one odd reading does not move; its
interval is that of scipy.stats.theilslopes (Sen 1968). No line from fewer than three readings at three different hours
or days (repeats show how well the instrument repeats, not how the tube ages), no forecast where the interval of the
slope takes in nought or a rise: then no trend can be seen, and the text says so. With three or four
readings the interval spans all slopes there are and covers less than 95 %: that is said, too.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from inventory.running.rules.settings import UNSAID, Settings, differ

FEWEST, LEVEL = 3, 0.95
NO_TREND = "no trend can be seen"
STOOD_STILL = "By date: it did not run between these readings."
SET_OTHERWISE = "Settings of the instrument differ between the readings."
BY_HOURS, BY_DATE = "hours", "date"
YEAR = 365.25
SOONER = 0.5  # of the time by the line, from where the last readings are told beside it; our choice, no source


class TrendRefused(ValueError):
    """Points that do not belong on one line; the text is one line."""


@dataclass(frozen=True, slots=True)
class TrendPoint:
    """One reading of the tube; ``hours``: its filament hours then, None where not known; ``settings``: with which."""

    day: date
    reading: float
    hours: float | None
    instrument: str
    section: str = ""
    settings: Settings = UNSAID


@dataclass(frozen=True, slots=True)
class Trend:
    """The line ``reading = intercept + slope * x`` with x in hours, or in days since the first test (``axis``).

    ``slopes``: its interval in the same unit; None without a line. Where the axis is dates, the text names the days.
    """

    tag: str
    instrument: str
    section: str
    axis: str
    points: int
    xs: tuple[float, ...]
    ys: tuple[float, ...]
    slope: float | None
    slopes: tuple[float, float] | None
    intercept: float | None
    hours_to_minimum: float | None
    hours_interval: tuple[float, float] | None
    text: str

    @property
    def slope_per_1000_h(self) -> float | None:
        return 1000 * self.slope if self.slope is not None and self.axis == BY_HOURS else None

    @property
    def interval(self) -> tuple[float, float] | None:
        """Of ``slope_per_1000_h``."""
        return (1000 * self.slopes[0], 1000 * self.slopes[1]) if self.slopes and self.axis == BY_HOURS else None

    def as_dict(self) -> dict[str, object]:
        return {
            "tag": self.tag,
            "instrument": self.instrument,
            "points": self.points,
            "slope_per_1000_h": self.slope_per_1000_h,
            "interval": list(self.interval) if self.interval else None,
            "hours_to_minimum": self.hours_to_minimum,
            "hours_interval": list(self.hours_interval) if self.hours_interval else None,
            "text": self.text,
        }


def trend(tag: str, points: Sequence[TrendPoint], minimum: float | None) -> Trend:
    """The trend of a tube, or of one section of it. Raises TrendRefused when two instruments or sections are mixed."""
    homes = {(point.instrument, point.section) for point in points}
    if len(homes) > 1:
        names = " and ".join(sorted(" ".join(home).strip() for home in homes))
        raise TrendRefused(f"readings of {names} do not belong on one line")
    instrument, section = homes.pop() if homes else ("", "")
    found = _trend(tag, (instrument, section), points, minimum)
    told = [found.text]
    if found.axis == BY_DATE and _stood_still(points):
        told.append(STOOD_STILL)
    if differ(point.settings for point in points):
        told.append(SET_OTHERWISE)
    return replace(found, text=" ".join(told))


def _stood_still(points: Sequence[TrendPoint]) -> bool:
    """Whether its hours are known at every reading and are the same at all of them, on several days."""
    return len({point.hours for point in points}) == 1 < len({point.day for point in points}) and all(
        point.hours is not None for point in points
    )


def _trend(tag: str, home: tuple[str, str], points: Sequence[TrendPoint], minimum: float | None) -> Trend:
    ordered = sorted(points, key=lambda point: (point.day, point.hours or 0.0))
    axis, xs = _axis(ordered)
    ys = tuple(point.reading for point in ordered)
    bare = (tag, *home, axis, len(ordered), xs, ys)
    if len(ordered) < FEWEST or len(set(xs)) < FEWEST:
        return Trend(*bare, None, None, None, None, None, f"{_too_few(axis, xs)}: {NO_TREND}.")
    from scipy.stats import theilslopes  # takes half a second to load: only when asked

    with np.errstate(invalid="ignore"):  # where nearly all hours are alike the interval is not a number
        found = theilslopes(np.array(ys), np.array(xs), LEVEL)
    slope, low, high = float(found[0]), float(found[2]), float(found[3])
    middle = float(np.median(xs)), float(np.median(ys))
    intercept, covers = middle[1] - slope * middle[0], _covers(len(ordered))
    if not (math.isfinite(low) and math.isfinite(high)):
        return Trend(*bare, slope, None, intercept, None, None, f"The slope has no interval: {NO_TREND}.")
    line = (slope, (low, high), intercept)
    if not high < 0:
        return Trend(*bare, *line, None, None, _no_fall(low, axis, covers))
    if minimum is None:
        text = f"Falls {_rate(-slope, axis)}{covers}. No minimum is known: no forecast."
        return Trend(*bare, *line, None, None, text)
    reached = [middle[0] + (minimum - middle[1]) / one for one in (slope, low, high)]
    found = _forecast(bare, line, reached, ordered, covers)
    return replace(found, text=f"{found.text}{_faster(found, minimum, reached[0], ordered[-1].day)}")


def _faster(found: Trend, minimum: float, best: float, last_day: date) -> str:
    """What the last two readings say where at their rate the minimum is met in less than half the time of the line.

    A straight line through all readings comes too late for a tube that fails faster and faster (common practice, no
    source); two readings alone are little, so it is said beside the line and changes nothing of it.
    """
    at = {x: float(np.median([y for one, y in zip(found.xs, found.ys, strict=True) if one == x])) for x in found.xs}
    before, now = sorted(at)[-2:]
    fall = (at[before] - at[now]) / (now - before)
    if best <= now or fall <= 0 or at[now] <= minimum:
        return ""
    left = (at[now] - minimum) / fall
    if left >= SOONER * (best - now):
        return ""
    when = f"in about {left:.0f} h" if found.axis == BY_HOURS else f"about {_later(last_day, left)}"
    return f" The readings bend down: the last two fall faster, and at their rate it is reached {when}."


def _too_few(axis: str, xs: Sequence[float]) -> str:
    """Why there is no line: not enough readings, or not at enough different hours or days."""
    if len(xs) < FEWEST:
        return f"{len(xs)} reading{'s' * (len(xs) != 1)}"
    if axis == BY_HOURS:
        return "readings at two counts of hours only"
    return "readings on two days only" if len(set(xs)) == 2 else "all readings on one day"


def _axis(points: Sequence[TrendPoint]) -> tuple[str, tuple[float, ...]]:
    """Hours where every point has them and they differ; else days since the first test."""
    hours = [point.hours for point in points if point.hours is not None]
    if len(hours) == len(points) and len(set(hours)) > 1:
        return BY_HOURS, tuple(hours)
    return BY_DATE, tuple(float((point.day - points[0].day).days) for point in points)


def _covers(count: int) -> str:
    """With n readings no interval of this kind covers more than ``1 - 2 / n!``."""
    most = 1 - 2 / math.factorial(count)
    return "" if most >= LEVEL else f" (with {count} readings the interval covers {100 * most:.0f} %, not 95)"


def _rate(slope: float, axis: str) -> str:
    fall, words = (1000 * slope, "in 1000 h") if axis == BY_HOURS else (YEAR * slope, "a year")
    return f"{fall:.0f} {words}" if fall >= 100 else f"{fall:.3g} {words}"


def _no_fall(low: float, axis: str, covers: str) -> str:
    if low > 0:
        return f"The readings rise{covers}: {NO_TREND} towards the minimum."
    return f"The interval of the slope takes in nought{covers}: {NO_TREND}."


def _forecast(
    bare: tuple[str, str, str, str, int, tuple[float, ...], tuple[float, ...]],
    line: tuple[float, tuple[float, float], float],
    reached: Sequence[float],
    points: Sequence[TrendPoint],
    covers: str,
) -> Trend:
    """Where the line and the ends of its interval reach the minimum, counted from the last reading."""
    axis, now = bare[3], max(bare[5])
    best, soon, late = (max(at - now, 0.0) for at in reached)
    said = f"Falls {_rate(-line[0], axis)}{covers}; "
    if axis == BY_HOURS:
        said += f"reaches its minimum in about {best:.0f} h ({soon:.0f} to {late:.0f} h)." if best else _UNDER
        return Trend(*bare, *line, best, (soon, late), said)
    first, mid, last = (_later(points[-1].day, days) for days in (soon, best, late))
    said += f"reaches its minimum about {mid} ({first} to {last})." if best else _UNDER
    return Trend(*bare, *line, None, None, said)


_UNDER = "the line is at or below its minimum already."


def _later(day: date, days: float) -> date:
    return date.fromordinal(min(day.toordinal() + int(min(days, 1e7)), date.max.toordinal()))
