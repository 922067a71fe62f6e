"""Figures of several types beside each other: which are the same, which differ and by how much, which nobody knows.

Figures of the first type are what the others are held against. Nothing is weighed here: that is the judge's.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from tubes.rules.figures import Figure, TypeFigures, Word
from tubes.rules.judge_parts import SLACK
from tubes.rules.tables import FIGURES, KEPT_WORDS

SAME, DIFFERS, UNKNOWN, FIRST, UNCOMPARED = "same", "differs", "not known", "first", "not compared"
MANY_PCT = 200.0  # from here on the more is told as so many times
#: Figures that stand only in the notes of the tables.
NOTED = ("alt_heater_v", "alt_heater_a", "gc_umho", "regulation_v", "regulation_ma", "start_v")


@dataclass(frozen=True, slots=True)
class Entry:
    """One figure of one type. ``by_pct``: by how much it is more (or less) than the first type's.

    ``of``: the type in whose row it stands, where that is another one. ``standing``: one of SAME, DIFFERS, UNKNOWN,
    FIRST, or UNCOMPARED where the first type's is not known.
    """

    value: float | str | None
    standing: str
    by_pct: float | None = None
    grade: str = ""
    source: str = ""
    of: str = ""

    @property
    def by(self) -> str:
        """``+33 %``, ``4.4 times``, or nothing where that says nothing."""
        if self.by_pct is None:
            return ""
        if self.by_pct >= MANY_PCT:
            return f"{1 + self.by_pct / 100:.3g} times"
        return f"{self.by_pct:+.0f} %".replace("-", "\u2212")


@dataclass(frozen=True, slots=True)
class Line:
    """One figure of all types, in their order."""

    figure: str
    entries: tuple[Entry, ...]

    @property
    def differs(self) -> bool:
        return any(one.standing == DIFFERS for one in self.entries)


def side_by_side(types: Sequence[TypeFigures]) -> tuple[Line, ...]:
    """A line for every figure that is known of one of the types at least."""
    named = [*KEPT_WORDS, "bias", *FIGURES, *NOTED]
    rows = ((name, [one.words.get(name) or one.numbers.get(name) for one in types]) for name in named)
    return tuple(Line(name, _entries(row)) for name, row in rows if any(row))


def _entries(row: Sequence[Figure | Word | None]) -> tuple[Entry, ...]:
    return tuple(_entry(found, row[0], at == 0) for at, found in enumerate(row))


def _entry(found: Figure | Word | None, first: Figure | Word | None, is_first: bool) -> Entry:
    if found is None:
        return Entry(None, UNKNOWN)
    told = (found.grade, found.source, found.via)
    if is_first or first is None:
        return Entry(found.value, FIRST if is_first else UNCOMPARED, None, *told)
    if isinstance(found, Word) or isinstance(first, Word):
        return Entry(found.value, SAME if found.value == first.value else DIFFERS, None, *told)
    apart = found.value / first.value - 1 if first.value else 0.0
    if abs(apart) <= SLACK:
        return Entry(found.value, SAME, None, *told)
    return Entry(found.value, DIFFERS, 100 * apart if abs(apart) >= 0.005 else None, *told)
