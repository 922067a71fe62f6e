"""A chart as numbers: everything placed in the units of an SVG 640 wide; ``templates/running/chart.html`` draws it."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from inventory.house.chart_labels import round_values, spread

LEFT, RIGHT, TOP, BOTTOM = 64.0, 624.0, 30.0, 266.0  # of a drawing 640 by 320
WIDTH, LETTERS = 640.0, 16.0  # of the drawing, and the size of its letters


@dataclass(frozen=True)
class Chart:
    """``label``: the chart in one sentence, for those who do not see it. Lines and dots come with a kind each."""

    label: str
    caption: str
    x_name: str
    y_name: str
    x_ticks: tuple[tuple[float, str], ...]
    y_ticks: tuple[tuple[float, str], ...]
    lines: tuple[tuple[str, str], ...]  # path, kind: line, limit, dashed, mark
    bands: tuple[str, ...] = ()
    dots: tuple[tuple[float, float, str, str], ...] = ()  # x, y, words, kind: plain, other
    bars: tuple[tuple[float, float, float, float, str], ...] = ()  # x, y, width, height, words
    tops: tuple[tuple[float, float, str], ...] = ()  # x, y, words above a bar
    from_start: bool = False  # a phone shows the left end first, and says that there is more


@dataclass(frozen=True)
class Frame:
    """From values to the units of the drawing."""

    low_x: float
    high_x: float
    low_y: float
    high_y: float

    def x(self, value: float) -> float:
        return round(LEFT + (value - self.low_x) / (self.high_x - self.low_x) * (RIGHT - LEFT), 1)

    def y(self, value: float) -> float:
        return round(BOTTOM - (value - self.low_y) / (self.high_y - self.low_y) * (BOTTOM - TOP), 1)

    def path(self, points: Iterable[tuple[float, float]]) -> str:
        return "M" + " L".join(f"{self.x(x)} {self.y(y)}" for x, y in points)

    def level(self, value: float) -> str:
        """A line right across at a value."""
        return f"M{LEFT} {self.y(value)}H{RIGHT}"

    def upright(self, value: float) -> str:
        return f"M{self.x(value)} {TOP}V{BOTTOM}"

    def band(self, upper: Sequence[tuple[float, float]], lower: Sequence[tuple[float, float]]) -> str:
        return self.path([*upper, *reversed(lower)]) + " Z"

    def x_ticks(self) -> tuple[tuple[float, str], ...]:
        return _apart((self.x(value), f"{value:g}") for value in round_values(self.low_x, self.high_x))

    def y_ticks(self) -> tuple[tuple[float, str], ...]:
        return tuple((self.y(value), f"{value:g}") for value in round_values(self.low_y, self.high_y))

    def day_ticks(self) -> tuple[tuple[float, str], ...]:
        """Ticks of an axis whose values are ordinals of days: years, or months, or days where it is short."""
        return _apart((self.x(day.toordinal()), words) for day, words in days_between(self.low_x, self.high_x))


def _apart(ticks: Iterable[tuple[float, str]]) -> tuple[tuple[float, str], ...]:
    """Ticks whose words, in the middle under each, lie over no other and stay in the drawing."""
    shown = spread(ticks, LETTERS, 0.0, WIDTH, "middle")
    return tuple((x, words) for x, words, anchor in shown if anchor == "middle")


def frame(xs: Iterable[float], ys: Iterable[float], from_zero: bool = True) -> Frame:
    """Room for all these values, with the y axis from zero if wished; never of no width."""
    xs, ys = list(xs), list(ys)
    low_x, high_x = min(xs), max(xs)
    low_y, high_y = (min(0.0, *ys) if from_zero else min(ys)), max(ys)
    room_x, room_y = (high_x - low_x) * 0.03 or 1.0, (high_y - low_y) * 0.06 or 1.0
    return Frame(low_x - (0 if low_x == 0 else room_x), high_x + room_x, low_y, high_y + room_y)


def days_between(low: float, high: float) -> list[tuple[date, str]]:
    """Firsts of years between two ordinals of days; firsts of months where that gives fewer than two, then days."""
    first, last = date.fromordinal(max(math.ceil(low), 1)), date.fromordinal(max(math.floor(high), 1))
    years = [date(year, 1, 1) for year in range(first.year, last.year + 1)]
    every = max(1, len(years) // 7)
    shown = [(day, str(day.year)) for day in years if first <= day <= last and day.year % every == 0]
    if len(shown) >= 2:
        return shown
    months = [date(year, month, 1) for year in range(first.year, last.year + 1) for month in range(1, 13)]
    inside = [day for day in months if first <= day <= last]
    if len(inside) < 2:
        step = max(1, (last - first).days // 4)
        every_day = range(first.toordinal(), last.toordinal() + 1, step)
        return [(date.fromordinal(day), date.fromordinal(day).isoformat()) for day in every_day]
    thin = max(1, len(inside) // 5)
    return [(day, f"{day:%Y-%m}") for day in inside[::thin]]
