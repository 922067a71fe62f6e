"""What grade, venue, mark and time do to a price, from all the evidence at once.

The logarithm of a price is the level of its type, plus a step for its grade, its venue and its mark, plus a slope
times its date, plus scatter. Steps and slope come from differences within types alone. Errors are the larger of the
plain ones and those clustered by type, since prices of one type may move together, each by Student's curve for as many
rows or types as it is known from. A step that the evidence does not show is left at "equal" and said to be so; none is
ever presumed. A trend is looked for only where enough rows lie far enough apart within their types: months of one type
say nothing of years.

Of more than ``FACTOR_ROWS`` rows every k-th type is taken, which is far more than the factors need.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from inventory.valuation.rules.absorbed import (
    HUBER,
    PLACES,
    Absorbed,
    Design,
    Matrix,
    Mended,
    Rows,
    absorbed,
    across,
    combination,
    design_of,
    mended,
    rows_of,
    sums_within,
)
from inventory.valuation.rules.evidence import ATTRIBUTES, YEAR, Evidence, Flags, Small, Vector, Whole
from inventory.valuation.rules.grade_order import GradeOrder, in_order, order_of
from inventory.valuation.rules.location import NORMAL_MAD
from inventory.valuation.rules.scatter import student

FACTOR_ROWS = 50_000
ROUNDS = 30  # at most
SETTLED = 1e-4
SURE = 1.959963984540054  # standard errors, 95 %
FEWEST_ROWS = 5  # of a word, below which nothing is made of it; our choice
_SAYS_NOTHING = 20.0  # a step that may be a factor of so many powers of e, either way
SHORTEST = 2.0  # years between the first and the last sale of a type below which it tells no trend; our choice
TREND_ROWS = 30  # rows of such types, beside one for the level of each, below which no trend is looked for; our choice


@dataclass(frozen=True, slots=True)
class Factor:
    """``word`` fetches ``times`` what ``against`` does, 95 % between ``low`` and ``high``; 1 where not ``shown``.

    ``rows`` bear the word; ``types`` have rows that bear it and rows that do not: what there is to compare. A step that
    the order of the grades moved is not 1 where it is not shown either; ``why`` says so.
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

    ``against``: of grade, venue and mark the word that the others stand against, whose step is 0; ``seen``: rows of
    every combination, of those that were taken. ``order``: of which grades the evidence tells nothing.
    """

    factors: tuple[Factor, ...]
    trend: Trend
    against: tuple[str, ...]
    offsets: Vector
    slope: float
    seen: Whole
    order: GradeOrder

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

    def bounds(self, evidence: Evidence) -> tuple[float, float]:
        """What all of ``bare`` lies between."""
        drift = self.slope * float(self.years(self.trend.last))
        low = math.log(evidence.price.min()) - self.offsets.max(initial=0.0) - max(drift, 0.0)
        high = math.log(evidence.price.max()) - self.offsets.min(initial=0.0) - min(drift, 0.0)
        return low - 1e-9, high + 1e-9


def fit_factors(evidence: Evidence, count: Whole) -> Factors:
    """The factors, from evidence all of whose rows count (one or more); ``count``: rows of every type."""
    first, last = int(evidence.day.min()), int(evidence.day.max())
    sample, count, part, by_type = _sample(evidence, count)
    rows = rows_of(sample, first)
    design = design_of(rows, with_time=_long_enough(rows, len(count)))
    filled = absorbed(rows, design, count)
    told = filled.told()
    settled, scale = _settled(rows, filled, told)
    errors = _errors(rows, filled, settled.pulls, scale, (part, part if by_type else 1.0))
    enough = told & (design.counts >= FEWEST_ROWS)
    final, found, known, shown = _shown(filled, settled, errors, told, enough)
    final, moved = in_order(final, design, shown)
    order = order_of(design, enough)
    factors = _factors(filled, (found, known, final), told, shown, moved)
    trend = _trend(design, found, known, shown, (first, last))
    against = tuple(_word(number, place) for number, place in enumerate(design.references))
    slope = float(final[-1]) if design.with_time else 0.0
    return Factors(factors, trend, against, design.offsets(final), slope, design.seen, order)


def stands_alone(word: str, rows: int, against: str) -> Factor:
    """What is said of a grade whose rows are evidence of such tubes alone."""
    lacks = (
        f"{rows} of at least {FEWEST_ROWS} rows"
        if rows < FEWEST_ROWS
        else "no type has it beside what it could be compared with"
    )
    why = f"{lacks}: its own sales tell what such ones fetch, and say nothing of others"
    return Factor(ATTRIBUTES[0][0], word, against, 1.0, None, None, rows, 0, False, why)


def _shown(
    filled: Absorbed, settled: Mended, errors: "_Errors", told: Flags, enough: Flags
) -> tuple[Vector, Vector, Vector, Flags]:  # fmt: skip
    """Steps (0 where not shown), all of them as they were found, their errors, and which are shown.

    What is shown among all may not be any more where the others are left at equal: it is left at equal, too.
    """
    found, known = settled.steps.copy(), errors.at(told)
    shown = enough & (np.abs(found) > SURE * known)
    while True:
        final, left = filled.solved(settled.right, shown), errors.at(shown)
        found, known = np.where(shown, final, found), np.where(shown, left, known)
        lost = shown & (np.abs(final) <= SURE * left)
        if not lost.any():
            return final, found, known, shown
        shown &= ~lost


def _sample(evidence: Evidence, count: Whole) -> tuple[Evidence, Whole, float, bool]:
    """All rows, or every k-th type of many, numbered anew; every k-th row where single types have that many rows.

    With the rows of every type, the share of all rows that these are, and whether whole types were taken.
    """
    every = -(-len(evidence) // FACTOR_ROWS)
    if every == 1:
        return evidence, count, 1.0, True
    kept = (np.arange(len(count)) % every == every // 2) & (count > 1)
    by_type = bool(FACTOR_ROWS // 2 <= count[kept].sum() <= 2 * FACTOR_ROWS)
    rows = np.flatnonzero(kept[evidence.type]) if by_type else np.arange(0, len(evidence), every)
    sample = evidence.only(rows)
    if by_type:
        sample = replace(sample, type=(np.cumsum(kept) - 1)[sample.type])
    return sample, np.bincount(sample.type), len(sample) / len(evidence), by_type


def _long_enough(rows: Rows, types: int) -> bool:
    """Whether enough rows are of types whose own sales lie years apart."""
    first, last = np.full(types, np.inf), np.full(types, -np.inf)
    np.minimum.at(first, rows.type, rows.years)
    np.maximum.at(last, rows.type, rows.years)
    far = last - first >= SHORTEST
    return int(far[rows.type].sum()) - int(far.sum()) >= TREND_ROWS


def _settled(rows: Rows, filled: Absorbed, told: Flags) -> tuple[Mended, float]:
    """Steps mended until they settle, and the scatter within types."""
    design, count = filled.design, filled.count
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
        if np.abs(found.change).max(initial=0.0) < SETTLED:
            break
    return found, scale


@dataclass(frozen=True, slots=True, eq=False)
class _Errors:
    """Where standard errors come from: plain, and the squares of what each type pulls at the columns.

    ``wider``: of each of the two the square of Student's quantile over the normal one.
    """

    matrix: Matrix
    plain: float
    clustered: Matrix
    wider: tuple[float, float]

    def at(self, columns: Flags) -> Vector:
        """Standard errors of those columns where the others are left out, as of a normal curve; else infinite."""
        errors = np.full(len(columns), np.inf)
        if columns.any():
            here = np.ix_(columns, columns)
            inverse = np.linalg.inv(self.matrix[here])
            plain, clustered = np.diag(inverse) * self.plain, np.diag(inverse @ self.clustered[here] @ inverse)
            errors[columns] = np.sqrt(np.maximum(plain * self.wider[0], clustered * self.wider[1]))
        return errors


def _errors(rows: Rows, filled: Absorbed, pulls: Vector, scale: float, parts: tuple[float, float]) -> _Errors:
    """``parts``: what of all the evidence the rows are, for the plain errors and for those clustered by type."""
    count = filled.count
    inside = max(float((np.abs(pulls) < HUBER * scale).mean()) if scale else 1.0, 0.1)
    free = max(len(pulls) - int((count > 0).sum()) - filled.design.width, 1)
    own = np.bincount(rows.type, pulls, len(count)) / np.maximum(count, 1)
    scores = sums_within(rows, filled.design, pulls, len(count)) - filled.within * own[:, None]
    types = int((count > 1).sum())
    more = types / (types - 1) if types > 1 else 1.0
    plain = float(np.square(pulls).sum()) / free / inside**2
    # Huber's own correction for few rows to each step (Huber 1981, 7.6, from memory)
    few = 1 + (len(filled.matrix) + int((count > 0).sum())) / len(pulls) * (1 - inside) / inside
    wider = few**2 * student(np.array([free, max(types - 1, 1)]), SURE) ** 2
    clustered = across(scores, scores) * (more * parts[1] / inside**2)
    return _Errors(filled.matrix, plain * parts[0], clustered, (float(wider[0]), float(wider[1])))


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
                math.exp(final[column]), *_between(found[column], errors[column]),
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
    return Trend(times, *_between(steps[-1], errors[-1]), *days, bool(shown[-1]), why)


def _word(number: int, place: int) -> str:
    return ATTRIBUTES[number][1][place - 1] if place else "not said"


def _between(step: float, error: float) -> tuple[float | None, float | None]:
    if not abs(step) + SURE * error < _SAYS_NOTHING:
        return None, None
    return math.exp(step - SURE * error), math.exp(step + SURE * error)
