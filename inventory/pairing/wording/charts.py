"""Charts of pairs, laid out on the server: a null with its readings, a time line, meters over time."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from math import ceil
from typing import Any

from inventory.house.chart_labels import Label, room_between, round_values, spread, width_of
from inventory.pairing.models import OnAirRecord
from inventory.pairing.rules.kept_null import KeptNull
from inventory.pairing.rules.null import NullAnswer
from inventory.pairing.rules.null_fit import NullReading
from inventory.pairing.rules.timeline import Lane, Span, Timeline

LETTERS, DOT = 14.0, 9.0  # size of the letters of a time line, and how far a dot reaches to either side
WIDE, NARROW = 640, 340  # units across a chart for a wide screen, and for a phone
BESIDE_LEAST, BESIDE_MOST = 128, 250  # how far the names beside the lanes reach
MOST_PARTED = 6  # so many lanes one lane may be parted into


@dataclass(frozen=True)
class NullChart:
    """Readings and the fitted curve, in the units of an SVG ``width`` by ``height``; the frame lies from left to right,
    top to bottom."""

    width: int
    height: int
    left: int
    right: int
    bottom: int
    dots: tuple[tuple[float, float], ...]
    path: str
    null_x: float
    ticks: tuple[tuple[float, str], ...]
    levels: tuple[tuple[float, str], ...]

    @property
    def middle(self) -> float:
        return (self.left + self.right) / 2


def null_charts(fit: NullAnswer | KeptNull, readings: Sequence[NullReading]) -> list[NullChart]:
    """Readings and fit laid out for a wide screen and for a phone. The same in words is the answer itself."""
    return [_null_chart(fit, readings, width) for width in (WIDE, NARROW)]


def _null_chart(fit: NullAnswer | KeptNull, readings: Sequence[NullReading], width: int) -> NullChart:
    settings = [one.setting for one in readings]
    low, high = min([*settings, fit.setting]), max([*settings, fit.setting])
    pad = (high - low) * 0.06 or 1.0
    low, high = low - pad, high + pad
    values = [one.reading for one in readings]
    most = max(values) + 0.3 * (max(values) - min([*values, 0.0]))  # far from what was read the curve says nothing
    curve = [(x, y) for x in (low + (high - low) * i / 80 for i in range(81)) if (y := fit.reading_at(x)) is not None]
    curve = [(x, y) for x, y in curve if y <= most]
    values += [y for _, y in curve]
    bottom, top = min([*values, 0.0]), max(values)
    span = (top - bottom) or 1.0
    left, right, foot = 56, width - 22, 262

    def x_of(setting: float) -> float:
        return round(left + (setting - low) / (high - low) * (right - left), 1)

    def y_of(value: float) -> float:
        return round(foot - (value - bottom) / span * (foot - 14), 1)

    marks, levels = round_values(low, high, 7 if width == WIDE else 4), round_values(bottom, bottom + span)
    return NullChart(
        width, 304, left, right, foot,
        tuple((x_of(one.setting), y_of(one.reading)) for one in readings),
        "M" + " L".join(f"{x_of(x)} {y_of(y)}" for x, y in curve),
        x_of(fit.setting),
        tuple((x_of(mark), f"{mark:.6g}") for mark in marks),
        tuple((y_of(level), f"{level:.6g}") for level in levels),
    )  # fmt: skip


def readings_beside(
    fit: NullAnswer | KeptNull | None, readings: Sequence[NullReading]
) -> list[tuple[float, float, float | None]]:
    """Setting, reading, and what the fitted curve reads there, by setting."""
    rows = sorted((one.setting, one.reading) for one in readings)
    return [(setting, reading, fit.reading_at(setting) if fit else None) for setting, reading in rows]


@dataclass(frozen=True)
class TimeChart:
    """The lanes of a time line in the units of an SVG: names, bars and dots placed."""

    width: int
    height: int
    names: tuple[tuple[int, str, str], ...]  # y, name as far as there is room, whole name
    bars: tuple[tuple[float, int, float, str, str, str, float], ...]  # x, y, width, word on it, words, kind, word at
    dots: tuple[tuple[float, int, str, str], ...]  # x, y, words, kind
    dates: tuple[tuple[float, str, str], ...]  # x, words, how they are anchored
    kinds: frozenset[str]

    @property
    def foot(self) -> int:
        return self.height - 18


def time_charts(line: Timeline) -> list[TimeChart]:
    """A time line laid out for a wide screen (names beside the lanes) and for a phone (names above them)."""
    wide = _parted(line, WIDE - BESIDE_MOST)
    longest = ceil(max(width_of(lane.name, LETTERS) for lane in wide.lanes))
    left = min(max(longest + 8, BESIDE_LEAST), BESIDE_MOST)
    return [_time_chart(wide, WIDE, left, 26, 0), _time_chart(_parted(line, NARROW - 10), NARROW, 2, 42, 17)]


def _parted(line: Timeline, room: float) -> Timeline:
    """The time line with a lane for each partner (each tube) where the boxes of their lane hold no words."""
    return replace(line, lanes=tuple(part for lane in line.lanes for part in _parts(lane, room)))


def _parts(lane: Lane, room: float) -> list[Lane]:
    named = {span.text: span.short for span in lane.spans if span.short}
    told = [bar[3] for bar in _bars(lane, lambda part: part * room, 0)]
    if all(told) or lane.points or len(named) < len({span.text for span in lane.spans}) or len(named) > MOST_PARTED:
        return [lane]
    texts = list(dict.fromkeys(span.text for span in lane.spans))
    return [Lane(f"{lane.name} {named[text]}", tuple(s for s in lane.spans if s.text == text)) for text in texts]


def _time_chart(line: Timeline, width: int, left: int, step: int, down: int) -> TimeChart:
    """``left``: where the lanes begin; ``step``: from lane to lane; ``down``: from the head of a lane to its bars."""
    room = width - left - 8
    aside = width if down else left - 8  # how far a name may reach

    def x_of(part: float) -> float:
        return round(left + part * room, 1)

    names, bars = [], []
    dots: dict[Any, Any] = {}
    for at, lane in enumerate(line.lanes):
        y = 4 + at * step
        names.append((y + 15 if not down else y + 13, _shortened(lane.name, aside), lane.name))
        bars += _bars(lane, x_of, y + down)
        for point in lane.points:
            spot = (x_of(point.at), y + down + 10, point.kind)
            dots[spot] = f"{dots[spot]} " if spot in dots else ""
            dots[spot] += f"{point.day}: {point.text}"
    return TimeChart(
        width, len(line.lanes) * step + 26, tuple(names), tuple(bars),
        tuple((x, y, words, kind) for (x, y, kind), words in dots.items()),
        tuple(_dates(line, x_of, width)), frozenset(kind for _, _, kind in dots),
    )  # fmt: skip


def _bars(lane: Lane, x_of: Callable[[float], float], y: int) -> list[tuple[float, int, float, str, str, str, float]]:
    """The stretches of a lane, each with a word where it lies over no dot, no other bar and no other word."""
    bars = []
    taken = [(x_of(point.at) - DOT, x_of(point.at) + DOT) for point in lane.points]
    ends = [(x_of(span.left), max(x_of(span.right), x_of(span.left) + 2.0)) for span in lane.spans]
    for at, (span, (x, end)) in enumerate(zip(lane.spans, ends, strict=True)):
        others = [(low, high) for number, (low, high) in enumerate(ends) if number != at]
        shown, place = _room_for(span, x + 4, end - 4, [*taken, *others])
        if shown:
            taken.append((place, place + width_of(shown, LETTERS)))
        bars.append((x, y, round(end - x, 1), shown, span.text, span.kind, round(place, 1)))
    return bars


def _room_for(span: Span, start: float, stop: float, blocks: list[tuple[float, float]]) -> tuple[str, float]:
    """As much of a word as a bar holds, and where: all of it, or what is short for it: a serial, a tag."""
    for shown in (span.text, span.short or (span.text.split()[-1] if span.text.split() else "")):
        place = room_between(start, stop, blocks, width_of(shown, LETTERS))
        if shown and place is not None:
            return shown, place
    return "", start


def _shortened(name: str, room: float) -> str:
    """A name as far as there is room for it."""
    most = int(room / width_of("x", LETTERS))
    return name if len(name) <= most else f"{name[: max(most - 1, 1)]}…"


def _dates(line: Timeline, x_of: Callable[[float], float], width: int) -> list[Label]:
    """Where years begin, or months where no two years do, or days; no closer together than they can be read."""
    whole = (line.last - line.first).days
    days = [date(year, 1, 1) for year in range(line.first.year + 1, line.last.year + 1)]
    shape = "%Y" if len(days) > 1 else "%Y-%m"
    if len(days) < 2:
        months = range(line.first.year * 12 + line.first.month, line.last.year * 12 + line.last.month)
        days = [date(month // 12, month % 12 + 1, 1) for month in months]
    if not days:
        shape, days = "%Y-%m-%d", [line.first]
    places = [x_of((day - line.first).days / whole) for day in days]
    named = spread(zip(places, (day.strftime(shape) for day in days), strict=True), LETTERS, 0.0, float(width), "start")
    if len(named) == len(days) or shape != "%Y-%m":
        return named
    short = [f"{day:%Y-%m}" if not at or day.month == 1 else f"{day:%m}" for at, day in enumerate(days)]
    return spread(zip(places, short, strict=True), LETTERS, 0.0, float(width), "start")


@dataclass(frozen=True)
class Trend:
    """One meter over time: a line 300 by 44 and the same in words."""

    label: str
    path: str
    dots: tuple[tuple[float, float], ...]
    words: str


def meter_trends(records: Sequence[OnAirRecord]) -> list[Trend]:
    """The meters that were read on two days or more, each on a scale of its own; never two meters on one scale."""
    columns = ("filament_v", "filament_a", "supply_v", "plate_ma", "antenna_a", "output_w")
    trends = []
    for name in columns:
        read = [(row.on, value) for row in records if (value := getattr(row, name)) is not None]
        read.sort(key=lambda pair: pair[0])
        if len({day for day, _ in read}) < 2:
            continue
        first, last = read[0][0], read[-1][0]
        low, high = min(value for _, value in read), max(value for _, value in read)
        span = (high - low) or 1.0
        points = [
            (round(4 + 292 * (day - first).days / (last - first).days, 1), round(38 - 32 * (value - low) / span, 1))
            for day, value in read
        ]
        label = str(OnAirRecord._meta.get_field(name).verbose_name)  # type: ignore[union-attr]
        words = f"{read[0][1]:g} on {first}, {read[-1][1]:g} on {last}; lowest {low:g}, highest {high:g}."
        trends.append(Trend(label, "M" + " L".join(f"{x} {y}" for x, y in points), tuple(points), words))
    return trends
