"""Bars lying one below another, each with its name and figure above it: they fit a telephone and a sheet of paper.

Drawn 400 wide; ``templates/valuation/bars.html`` draws it. What differs differs in shape: full, hollow, with a mark.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from inventory.house.chart_labels import width_of

WIDTH, EDGE, STEP, LETTERS = 400.0, 8.0, 54.0, 16.0
PLAIN, LESS, TOTAL = "plain", "less", "total"


@dataclass(frozen=True, slots=True)
class Item:
    """What a bar stands for: from ``start`` to ``to``. ``low`` to ``high``: a line below it; ``mark``: another
    value on the same scale. ``kind``: plain, less (hollow) or total.
    """

    name: str
    told: str
    to: float
    start: float = 0.0
    low: float | None = None
    high: float | None = None
    mark: float | None = None
    kind: str = PLAIN


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


@dataclass(frozen=True, slots=True)
class Bars:
    """``label``: the chart in a sentence, for those who do not see it. ``zero``: where the scale begins."""

    label: str
    caption: str
    height: float
    zero: float
    rows: tuple[Bar, ...]


def bars(items: Sequence[Item], label: str, caption: str) -> Bars | None:
    """Items from above; None where there are none."""
    if not items:
        return None
    values = [value for one in items for value in (one.start, one.to, one.low, one.high, one.mark) if value is not None]
    low, high = min(0.0, *values), max(0.0, *values)
    scale = (WIDTH - 2 * EDGE) / ((high - low) or 1.0)

    def x(value: float) -> float:
        return round(EDGE + (value - low) * scale, 1)

    rows = []
    for number, one in enumerate(items):
        left, right = sorted((x(one.start), x(one.to)))
        line = None if one.low is None or one.high is None else (x(one.low), x(one.high))
        mark = None if one.mark is None else x(one.mark)
        words = f"{one.name}: {one.told}"
        rows.append(
            Bar(number * STEP, _cut(one), one.told, left, max(round(right - left, 1), 1.0), one.kind, words, line, mark)
        )
    return Bars(label, caption, len(items) * STEP + 4, x(0.0), tuple(rows))


def _cut(one: Item) -> str:
    room = WIDTH - 2 * EDGE - width_of(one.told, LETTERS) - 12
    name = one.name
    while name and width_of(name, LETTERS) > room:
        name = name[:-1]
    return name if name == one.name else f"{name[:-1].rstrip()}…"
