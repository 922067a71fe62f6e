"""What grade, venue, mark and time do to the price of a working tube, from all the sales of such at once.

The logarithm of a price is the level of its type, plus a step for its grade, its venue and its mark, plus a slope
times its date, plus scatter. Steps and slope come from differences within types alone (``settled``). A step that the
evidence does not show is left at "equal" and said to be so; none is ever presumed. A trend is looked for only where
enough rows lie far enough apart within their types: months of one type say nothing of years. What weak tubes and duds
fetch beside working ones is another question (``steps_down``).

Of more than ``FACTOR_ROWS`` rows every k-th type is taken, which is far more than the factors need.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from inventory.valuation.rules.absorbed import (
    PLACES,
    Absorbed,
    Design,
    Rows,
    absorbed,
    combination,
    design_of,
    rows_of,
)
from inventory.valuation.rules.evidence import ATTRIBUTES, YEAR, Evidence, Flags, Small, Vector, Whole
from inventory.valuation.rules.grade_order import GradeOrder, in_order, order_of
from inventory.valuation.rules.settled import SURE, errors_of, settled_steps, shown_of

FACTOR_ROWS = 50_000
FEWEST_ROWS = 5  # of a word, below which nothing is made of it; our choice
_SAYS_NOTHING = 20.0  # a step that may be a factor of so many powers of e, either way
SHORTEST = 2.0  # years between the first and the last sale of a type below which it tells no trend; our choice
TREND_ROWS = 30  # rows of such types, beside one for the level of each, below which no trend is looked for; our choice


@dataclass(frozen=True, slots=True)
class Factor:
    """``word`` fetches ``times`` what ``against`` does, 95 % between ``low`` and ``high``; 1 where not ``shown``.

    ``rows`` bear the word; ``types`` have rows that bear it and rows that do not: what there is to compare. A step that
    the order of the grades moved is not 1 where it is not shown either; ``why`` says so. ``times`` is None of a grade
    whose sales stand alone, and ``shown`` is None where nothing compares them.
    """

    attribute: str
    word: str
    against: str
    times: float | None
    low: float | None
    high: float | None
    rows: int
    types: int
    shown: bool | None
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

    ``against``: of grade, venue and mark the word that the others stand against, whose step is 0; ``seen``: rows of
    every combination, of those that were taken. ``order``: of which working grades the evidence tells nothing.
    """

    factors: tuple[Factor, ...]
    trend: Trend
    against: tuple[str, ...]
    offsets: Vector
    slope: float
    seen: Whole
    order: GradeOrder

    def beside(self, more: Sequence[Factor]) -> "Factors":
        """With what is told of weak tubes and duds, behind the grades."""
        grade = ATTRIBUTES[0][0]
        grades = [one for one in self.factors if one.attribute == grade]
        return replace(self, factors=(*grades, *more, *(one for one in self.factors if one.attribute != grade)))

    def of(self, attribute: str, word: str) -> Factor | None:
        """The factor of a word; None for the word that others stand against, and for one that no row says."""
        return next((one for one in self.factors if (one.attribute, one.word) == (attribute, word)), None)

    def rows(self, attribute: str) -> dict[str, int]:
        """How many of the rows say each word."""
        number = [name for name, _ in ATTRIBUTES].index(attribute)
        here = np.bincount(PLACES[number], self.seen, len(ATTRIBUTES[number][1]) + 1)
        return {_word(number, place): int(many) for place, many in enumerate(here) if many}

    def years(self, day: Whole | int) -> Vector:
        """Years since the first day of the evidence, no further than its last: no trend is carried beyond it."""
        inside = np.clip(day, self.trend.first, self.trend.last)
        return np.asarray((inside - self.trend.first) / YEAR, dtype=np.float64)

    def step(self, grade: Small, venue: Small, mark: Small, day: Whole | int) -> Vector:
        """How far, as a logarithm, such a sale lies from one of the words in ``against`` on the first day."""
        found: Vector = self.offsets[combination(grade, venue, mark)]
        if self.slope:
            found = found + self.slope * self.years(day)
        return found

    def bare(self, evidence: Evidence, part: slice) -> Vector:
        """Logarithms of those prices with grade, venue, mark and time taken off."""
        found: Vector = np.log(evidence.price[part])
        found -= self.step(evidence.grade[part], evidence.venue[part], evidence.mark[part], evidence.day[part])
        return found

    def bounds(self, least: float, most: float) -> tuple[float, float]:
        """What ``bare`` of prices between those lies between."""
        drift = self.slope * float(self.years(self.trend.last))
        low = math.log(least) - self.offsets.max(initial=0.0) - max(drift, 0.0)
        high = math.log(most) - self.offsets.min(initial=0.0) - min(drift, 0.0)
        return low - 1e-9, high + 1e-9


def fit_factors(evidence: Evidence, among: Flags, count: Whole) -> Factors:
    """The factors, from those rows of the evidence (one or more, all of which count); ``count``: rows of every type."""
    sample, count, part, by_type = _sample(evidence, among, count)
    first, last = int(sample.day.min()), int(sample.day.max())
    rows = rows_of(sample, first)
    design = design_of(rows, with_time=_long_enough(rows, len(count)))
    filled = absorbed(rows, design, count)
    told = filled.told()
    settled, scale = settled_steps(rows, filled, told)
    errors = errors_of(rows, filled, settled.pulls, scale, (part, part if by_type else 1.0))
    final, found, known, shown = shown_of(filled, settled, errors, told, told & (design.counts >= FEWEST_ROWS))
    final, moved = in_order(final, design, shown)
    order = order_of(final, design)
    factors = _factors(filled, (found, known, final), told, shown, moved)
    trend = _trend(design, found, known, shown, (first, last))
    against = tuple(_word(number, place) for number, place in enumerate(design.references))
    slope = float(final[-1]) if design.with_time else 0.0
    return Factors(factors, trend, against, design.offsets(final), slope, design.seen, order)


def _sample(evidence: Evidence, among: Flags, count: Whole) -> tuple[Evidence, Whole, float, bool]:
    """All of the rows, or every k-th type of many, numbered anew; every k-th row where single types have that many.

    With the rows of every type, the share of all rows that these are, and whether whole types were taken.
    """
    many = int(count.sum())
    every = -(-many // FACTOR_ROWS)
    if every == 1:
        return evidence if many == len(evidence) else evidence.only(among), count, 1.0, True
    kept = (np.arange(len(count)) % every == every // 2) & (count > 1)
    by_type = bool(FACTOR_ROWS // 2 <= count[kept].sum() <= 2 * FACTOR_ROWS)
    rows = np.flatnonzero(kept[evidence.type] & among) if by_type else np.flatnonzero(among)[::every]
    sample = evidence.only(rows)
    if by_type:
        sample = replace(sample, type=(np.cumsum(kept) - 1)[sample.type])
    return sample, np.bincount(sample.type), len(sample) / many, by_type


def _long_enough(rows: Rows, types: int) -> bool:
    """Whether enough rows are of types whose own sales lie years apart."""
    first, last = np.full(types, np.inf), np.full(types, -np.inf)
    np.minimum.at(first, rows.type, rows.years)
    np.maximum.at(last, rows.type, rows.years)
    far = last - first >= SHORTEST
    return int(far[rows.type].sum()) - int(far.sum()) >= TREND_ROWS


def _factors(
    filled: Absorbed, steps: tuple[Vector, Vector, Vector], told: Flags, shown: Flags, moved: Mapping[int, str]
) -> tuple[Factor, ...]:  # fmt: skip
    """``steps``: as they were found, their errors, as reckoned with; ``moved``: by the order of the grades, and why."""
    found, errors, final = steps
    compared, design, factors = filled.compared(), filled.design, []
    for column, (number, place) in enumerate(design.columns):
        rows = int(design.counts[column])
        made = moved.get(column, "taken as equal")
        if not told[column]:
            why = f"no type has it beside what it could be compared with: {made}"
        elif rows < FEWEST_ROWS:
            why = f"{rows} of at least {FEWEST_ROWS} rows: {made}"
        else:
            why = moved.get(column, "") if shown[column] else f"the evidence shows no difference: {made}"
        factors.append(
            Factor(
                ATTRIBUTES[number][0], _word(number, place), _word(number, design.references[number]),
                math.exp(final[column]), *between(found[column], errors[column]),
                rows, int(compared[column]), bool(shown[column]), why,
            )
        )  # fmt: skip
    return tuple(factors)


def _trend(design: Design, steps: Vector, errors: Vector, shown: Flags, days: tuple[int, int]) -> Trend:
    if not design.with_time:
        why = (
            f"fewer than {TREND_ROWS} rows of types that were sold over {SHORTEST:g} years or more: no trend is looked "
            "for"
        )
        return Trend(1.0, None, None, *days, False, why)
    why = "" if shown[-1] else "the evidence shows no trend: none is reckoned with"
    times = math.exp(steps[-1]) if shown[-1] else 1.0
    return Trend(times, *between(steps[-1], errors[-1]), *days, bool(shown[-1]), why)


def _word(number: int, place: int) -> str:
    return ATTRIBUTES[number][1][place - 1] if place else "not said"


def between(step: float, error: float) -> tuple[float | None, float | None]:
    """The 95 % interval of a step as a factor; None where it says nothing."""
    if not abs(step) + SURE * error < _SAYS_NOTHING:
        return None, None
    return math.exp(step - SURE * error), math.exp(step + SURE * error)
