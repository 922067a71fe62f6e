"""Charts and short words of pairs for pages."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django import template

from inventory.pairing.models import OnAirRecord
from inventory.pairing.queries.on_air_record import Remark
from inventory.pairing.rules.null import NullAnswer, NullReading
from inventory.pairing.rules.timeline import Timeline

register = template.Library()

SHORT = {"good": "G", "due": "D", "reset and verify": "R", "presumed": "P", "not needed": "–"}
WIDTH, HEIGHT, LEFT, BOTTOM, TOP = 640.0, 300.0, 56.0, 262.0, 14.0


@register.filter
def short_state(state: str) -> str:
    """A pairing state in one letter, for a matrix; the legend spells it out."""
    return SHORT.get(state, "")


@register.filter
def signed(value: float) -> str:
    """A difference in three figures, with its sign."""
    return f"{value:+.3g}"


@register.filter
def disagreeing(remarks: Sequence[Remark]) -> int:
    """How many checks do not agree."""
    return sum(remark.agrees is False for remark in remarks)


@register.filter
def three(value: float) -> str:
    """A figure as exact as a meter allows: three places."""
    return f"{value:.3g}" if abs(value) < 1000 else f"{value:.0f}"


@register.filter
def ohms(value: float) -> str:
    """A resistance or reactance in three figures: 820 ohm, 75.8 kohm, 1.2 megohm."""
    for least, word in ((1e6, "megohm"), (1e3, "kohm")):
        if value >= least:
            return f"{value / least:.3g} {word}"
    return f"{value:.3g} ohm"


@dataclass(frozen=True)
class NullChart:
    """Readings and the fitted curve, in the units of an SVG 640 by 300."""

    dots: tuple[tuple[float, float], ...]
    path: str
    null_x: float
    ticks: tuple[tuple[float, str], ...]
    levels: tuple[tuple[float, str], ...]


def null_chart(answer: NullAnswer, readings: Sequence[NullReading]) -> NullChart:
    """Lay out the readings and the fit. The text version beside it is the answer itself."""
    settings = [one.setting for one in readings]
    low, high = min([*settings, answer.setting]), max([*settings, answer.setting])
    pad = (high - low) * 0.06 or 1.0
    low, high = low - pad, high + pad
    steps = [low + (high - low) * i / 80 for i in range(81)]
    curve = [(x, y) for x in steps if (y := answer.reading_at(x)) is not None]
    values = [one.reading for one in readings] + [y for _, y in curve]
    bottom, top = min([*values, 0.0]), max(values)
    span = (top - bottom) or 1.0

    def x_of(setting: float) -> float:
        return round(LEFT + (setting - low) / (high - low) * (WIDTH - LEFT - 16), 1)

    def y_of(value: float) -> float:
        return round(BOTTOM - (value - bottom) / span * (BOTTOM - TOP), 1)

    points = [(x_of(x), y_of(y)) for x, y in curve]
    path = "M" + " L".join(f"{x} {y}" for x, y in points)
    marks = [low + (high - low) * i / 4 for i in range(5)]
    levels = [bottom + span * i / 3 for i in range(4)]
    return NullChart(
        tuple((x_of(one.setting), y_of(one.reading)) for one in readings),
        path,
        x_of(answer.setting),
        tuple((x_of(mark), f"{mark:.3g}") for mark in marks),
        tuple((y_of(level), f"{level:.3g}") for level in levels),
    )


LANE, NAME_ROOM = 26, 120


@dataclass(frozen=True)
class TimeChart:
    """The lanes of a time line in the units of an SVG 640 wide: name and height, bars and dots placed."""

    height: int
    names: tuple[tuple[int, str], ...]
    bars: tuple[tuple[float, int, float, str, str], ...]  # x, y, width, word, kind
    dots: tuple[tuple[float, int, str, str], ...]  # x, y, words, kind
    years: tuple[tuple[float, str], ...]


@register.filter
def time_chart(line: Timeline) -> TimeChart:
    """Lay out a time line."""
    room = WIDTH - NAME_ROOM - 8

    def x_of(part: float) -> float:
        return round(NAME_ROOM + part * room, 1)

    names, bars, dots = [], [], []
    for at, lane in enumerate(line.lanes):
        y = 6 + at * LANE
        names.append((y + 14, lane.name))
        for span in lane.spans:
            width = max(round((span.right - span.left) * room, 1), 2.0)
            shown = span.text if width > 6.5 * len(span.text) else ""
            bars.append((x_of(span.left), y, width, shown, span.kind))
        dots += [(x_of(point.at), y + 10, f"{point.day}: {point.text}", point.kind) for point in lane.points]
    whole = (line.last - line.first).days or 1
    firsts = [date(year, 1, 1) for year in range(line.first.year, line.last.year + 1)]
    years = [(x_of((day - line.first).days / whole), str(day.year)) for day in firsts if day >= line.first]
    return TimeChart(12 + len(line.lanes) * LANE + 16, tuple(names), tuple(bars), tuple(dots), tuple(years))


@dataclass(frozen=True)
class Trend:
    """One meter over time: a line 300 by 44 and the same in words."""

    label: str
    path: str
    dots: tuple[tuple[float, float], ...]
    words: str


@register.filter
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
