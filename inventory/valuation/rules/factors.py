"""What grade, venue, mark and time do to a price, from all the evidence at once.

The logarithm of a price is the level of its type, plus a step for its grade, its venue and its mark, plus a slope times
its date, plus scatter. Steps and slope come from differences within types alone. Errors are the larger of the plain ones
and those clustered by type, since prices of one type may move together. A step that the evidence does not show is left at
"equal" and said to be so; none is ever presumed.

Of large evidence the first rounds take every k-th type, and so do the errors; the last round takes all rows.
"""

import math
from dataclasses import dataclass, replace

import numpy as np

from inventory.valuation.rules.absorbed import (
    HUBER,
    Absorbed,
    Design,
    Matrix,
    Rows,
    absorbed,
    across,
    design_of,
    mended,
    rows_of,
    sums_within,
)
from inventory.valuation.rules.evidence import ATTRIBUTES, YEAR, Evidence, Flags, Vector, Whole
from inventory.valuation.rules.location import NORMAL_MAD

START_ROWS = 20_000
ROUNDS = 30  # at most
SETTLED = 1e-5
SURE = 1.959963984540054  # standard errors, 95 %
FEWEST_ROWS = 5  # of a word, below which nothing is made of it; our choice
SHORTEST = 2.0  # years of evidence below which no trend is looked for; our choice


@dataclass(frozen=True, slots=True)
class Factor:
    """``word`` fetches ``times`` what ``against`` does, 95 % between ``low`` and ``high``; 1 where not ``shown``.

    ``rows`` bear the word; ``types`` have rows that bear it and rows that do not: what there is to compare.
    """

    attribute: str
    word: str
    against: str
    times: float
    low: float | None
    high: float | None
    rows: int
    types: int
    shown: bool
    why: str


@dataclass(frozen=True, slots=True)
class Trend:
    """Prices went up ``times`` a year between the days ``first`` and ``last``; 1 where the evidence shows none."""

    times: float
    low: float | None
    high: float | None
    first: int
    last: int
    shown: bool
    why: str


@dataclass(frozen=True, slots=True, eq=False)
class Factors:
    """``offsets``: of every combination of words its step as a logarithm; ``slope``: of a year.

    ``against``: of grade, venue and mark the word that the others stand against, whose step is 0.
    """

    factors: tuple[Factor, ...]
    trend: Trend
    against: tuple[str, ...]
    offsets: Vector
    slope: float

    def years(self, day: Whole | int) -> Vector:
        """Years since the first day of the evidence, no further than its last: no trend is carried beyond it."""
        inside = np.clip(day, self.trend.first, self.trend.last)
        return np.asarray((inside - self.trend.first) / YEAR, dtype=np.float64)


def fit_factors(evidence: Evidence, count: Whole) -> tuple[Factors, Rows, Vector]:
    """The factors, from evidence all of whose rows count (one or more); the rows, and their logarithms without factors.

    ``count``: rows of every type.
    """
    rows = rows_of(evidence)
    first, last = int(evidence.day.min()), int(evidence.day.max())
    design = design_of(rows, with_time=(last - first) / YEAR >= SHORTEST)
    filled = absorbed(rows, design, count)
    told = filled.told()
    start = _started(rows, filled, told)
    level = start.level
    if level is None:
        level = np.bincount(rows.type, rows.y, len(count)) - np.einsum("tp,p->t", filled.within, start.steps)
        level /= np.maximum(count, 1)
    bare = design.take_off(rows.y.copy(), rows, start.steps)
    last_round = mended(rows, filled, told, bare, start.steps, level, start.scale)
    errors = start.errors or _Errors.of(rows, filled, last_round.pulls, start.scale, 1.0)
    shown = told & (np.abs(last_round.steps) > SURE * errors.at(told)) & (design.counts >= FEWEST_ROWS)
    final = filled.solved(last_round.right, shown)
    design.take_off(bare, rows, final - start.steps)
    known = np.where(shown, errors.at(shown), errors.at(told))
    found = np.where(shown, final, last_round.steps)
    factors = _factors(filled, found, known, told, shown)
    trend = _trend(design, found, known, shown, (first, last))
    against = tuple(_word(number, place) for number, place in enumerate(design.references))
    slope = float(final[-1]) if design.with_time else 0.0
    return Factors(factors, trend, against, design.offsets(final), slope), rows, bare


@dataclass(frozen=True, slots=True, eq=False)
class _Errors:
    """Where standard errors come from: plain, and the squares of what each type pulls at the columns."""

    matrix: Matrix
    plain: float
    clustered: Matrix

    @classmethod
    def of(cls, rows: Rows, filled: Absorbed, pulls: Vector, scale: float, part: float) -> "_Errors":
        """``part``: the share of all rows that these are, which are all those of their types."""
        count = filled.count
        inside = max(float((np.abs(pulls) < HUBER * scale).mean()) if scale else 1.0, 0.1)
        free = max(len(pulls) - int((count > 0).sum()) - filled.design.width, 1)
        own = np.bincount(rows.type, pulls, len(count)) / np.maximum(count, 1)
        scores = sums_within(rows, filled.design, pulls, len(count)) - filled.within * own[:, None]
        types = int((count > 1).sum())
        more = types / (types - 1) if types > 1 else 1.0
        clustered = across(scores, scores) * (more / part / inside**2)
        return cls(filled.matrix / part, float(np.square(pulls).sum()) / free / inside**2, clustered)

    def at(self, columns: Flags) -> Vector:
        """Standard errors of those columns where the others are left out; infinite for the others."""
        errors = np.full(len(columns), np.inf)
        if columns.any():
            here = np.ix_(columns, columns)
            inverse = np.linalg.inv(self.matrix[here])
            plain, clustered = np.diag(inverse) * self.plain, np.diag(inverse @ self.clustered[here] @ inverse)
            errors[columns] = np.sqrt(np.maximum(plain, clustered))
        return errors


@dataclass(frozen=True, slots=True, eq=False)
class _Start:
    """Steps that settled, the scatter within types, and where all rows were taken, levels; where whole types, errors."""

    steps: Vector
    scale: float
    level: Vector | None
    errors: _Errors | None


def _started(rows: Rows, filled: Absorbed, told: Flags) -> _Start:
    """Steps from all rows, or from every k-th type of many; from every k-th row where single types have that many."""
    design, count, all_rows = filled.design, filled.count, len(rows.y)
    every = -(-all_rows // START_ROWS)
    kept = (np.arange(len(count)) % every == every // 2) & (count > 1)
    by_type = every > 1 and START_ROWS // 4 <= count[kept].sum() <= 4 * START_ROWS
    if every > 1:
        rows = rows.only(np.flatnonzero(kept[rows.type]) if by_type else np.arange(0, all_rows, every))
        if by_type:  # numbered anew: tables of few types are small
            rows = replace(rows, type=(np.cumsum(kept) - 1)[rows.type])
        count = np.bincount(rows.type)
        filled = absorbed(rows, design, count)
        told = told & filled.told()
    spread = np.sqrt(count / np.maximum(count - 1, 1))[rows.type]  # a row draws its level towards itself
    several = (count > 1)[rows.type]
    bare, level = rows.y.copy(), np.bincount(rows.type, rows.y, len(count)) / np.maximum(count, 1)
    found = mended(rows, filled, told, bare, np.zeros(design.width), level, np.inf)
    scale = 0.0
    for _ in range(ROUNDS):
        design.take_off(bare, rows, found.change)
        left = np.abs((bare - found.level[rows.type]) * spread)[several]
        scale = NORMAL_MAD * float(np.median(left)) if len(left) else 0.0
        found = mended(rows, filled, told, bare, found.steps, found.level, scale)
        if np.abs(found.change).max(initial=0.0) < (SETTLED if every == 1 else 100 * SETTLED):
            break
    errors = _Errors.of(rows, filled, found.pulls, scale, len(rows.y) / all_rows) if by_type else None
    return _Start(found.steps, scale, None if every > 1 else found.level, errors)


def _factors(filled: Absorbed, steps: Vector, errors: Vector, told: Flags, shown: Flags) -> tuple[Factor, ...]:
    compared, design, found = filled.compared(), filled.design, []
    for column, (number, place) in enumerate(design.columns):
        rows = int(design.counts[column])
        if not told[column]:
            why = "no type has it beside what it could be compared with: taken as equal"
        elif rows < FEWEST_ROWS:
            why = f"{rows} of at least {FEWEST_ROWS} rows: taken as equal"
        else:
            why = "" if shown[column] else "the evidence shows no difference: taken as equal"
        found.append(
            Factor(
                ATTRIBUTES[number][0], _word(number, place), _word(number, design.references[number]),
                math.exp(steps[column]) if shown[column] else 1.0, *_between(steps[column], errors[column]),
                rows, int(compared[column]), bool(shown[column]), why,
            )
        )  # fmt: skip
    return tuple(found)


def _trend(design: Design, steps: Vector, errors: Vector, shown: Flags, days: tuple[int, int]) -> Trend:
    if not design.with_time:
        why = f"evidence of less than {SHORTEST:g} years: no trend is looked for"
        return Trend(1.0, None, None, *days, False, why)
    why = "" if shown[-1] else "the evidence shows no trend: none is reckoned with"
    times = math.exp(steps[-1]) if shown[-1] else 1.0
    return Trend(times, *_between(steps[-1], errors[-1]), *days, bool(shown[-1]), why)


def _word(number: int, place: int) -> str:
    return ATTRIBUTES[number][1][place - 1] if place else "not said"


def _between(step: float, error: float) -> tuple[float | None, float | None]:
    if not math.isfinite(error):
        return None, None
    return math.exp(step - SURE * error), math.exp(step + SURE * error)
