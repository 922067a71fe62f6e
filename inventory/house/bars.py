"""Bars lying one below another, each with its name and figure above it: they fit a telephone and a sheet of paper.

Drawn 400 wide; ``templates/parts/bars.html`` draws it, on paper ``bars_pdf``. What differs differs in shape: full,
hollow, dashed, with a mark.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from inventory.house.chart_labels import Label, round_values, spread, width_of

WIDTH, EDGE, STEP, LETTERS = 400.0, 8.0, 54.0, 16.0
PLAIN, LESS, TOTAL, UNKNOWN = "plain", "less", "total", "unknown"
LOW, SCALE = 42.0, 26.0  # a row without a line below its bar; the room of a scale below all of them
MOST_TICKS, TICK_LETTERS = 5, 14.0
THINGS, MONEY = "things", "money"  # what a scale is of: whole numbers alone, or any


@dataclass(frozen=True, slots=True)
class Item:
    """What a bar stands for: from ``start`` to ``to``. ``low`` to ``high``: a line below it; ``mark``: another
    value on the same scale; ``then``: a hollow part goes on from ``to`` to there. ``kind``: plain, less (hollow),
    total or unknown (dashed).
    """

    name: str
    told: str
    to: float
    start: float = 0.0
    low: float | None = None
    high: float | None = None
    mark: float | None = None
    kind: str = PLAIN
    then: float | None = None


@dataclass(frozen=True, slots=True)
class Bar:
    """A bar in the units of the drawing; ``name`` is cut where there is no room, ``words`` say all of it."""

    y: float
    name: str
    told: str
    x: float
    width: float
    kind: str
    words: str
    line: tuple[float, float] | None
    mark: float | None
    then: tuple[float, float] | None = None  # where the hollow part begins, and its width


@dataclass(frozen=True, slots=True)
class Bars:
    """``label``: the chart in a sentence, for those who do not see it. ``zero``: where the scale begins.

    ``key``: a name of its own on the page, with a ``title``: it is then told by both (``title`` and ``desc``).
    ``ticks``: the scale below the bars, at ``foot``.
    """

    label: str
    caption: str
    height: float
    zero: float
    rows: tuple[Bar, ...]
    key: str = ""
    title: str = ""
    ticks: tuple[Label, ...] = ()
    foot: float = 0.0


def bars(
    items: Sequence[Item], label: str, caption: str, *, key: str = "", title: str = "", scale_of: str = ""
) -> Bars | None:
    """Items from above; None where there are none. ``scale_of``: a scale of ``THINGS`` or ``MONEY`` below them."""
    if not items:
        return None
    ends = ((one.start, one.to, one.then, one.low, one.high, one.mark) for one in items)
    values = [value for some in ends for value in some if value is not None]
    low, high = min(0.0, *values), max(0.0, *values)
    scale = (WIDTH - 2 * EDGE) / ((high - low) or 1.0)

    def x(value: float) -> float:
        return round(EDGE + (value - low) * scale, 1)

    step = STEP if not scale_of or any(one.low is not None for one in items) else LOW
    rows = []
    for number, one in enumerate(items):
        left, right = sorted((x(one.start), x(one.to)))
        line = None if one.low is None or one.high is None else (x(one.low), x(one.high))
        mark = None if one.mark is None else x(one.mark)
        words = f"{one.name}: {one.told}"
        then = None if one.then is None or one.then <= one.to else (x(one.to), round(x(one.then) - x(one.to), 1))
        wide = max(round(right - left, 1), 0.0 if then else 1.0)
        rows.append(Bar(number * step, _cut(one), one.told, left, wide, one.kind, words, line, mark, then))
    foot = len(items) * step + 4
    ticks = _ticks(low, high, x, whole=scale_of == THINGS) if scale_of else ()
    return Bars(
        label, caption, foot + (SCALE if ticks else 0), x(0.0), tuple(rows), key, title, ticks, foot if ticks else 0.0
    )


def _ticks(low: float, high: float, x: Callable[[float], float], *, whole: bool) -> tuple[Label, ...]:
    """Round values of the scale, steps of 1, 2 or 5 (common practice, no source), whose words lie over no other."""
    values = [value for value in round_values(low, high, MOST_TICKS) if not whole or value == int(value)]
    places = [(x(value), f"{value:,.0f}" if value == int(value) else f"{value:,g}") for value in values]
    return tuple(spread(places, TICK_LETTERS, 0.0, WIDTH, "middle"))


def _cut(one: Item) -> str:
    room = WIDTH - 2 * EDGE - width_of(one.told, LETTERS) - 12
    name = one.name
    while name and width_of(name, LETTERS) > room:
        name = name[:-1]
    return name if name == one.name else f"{name[:-1].rstrip()}…"
