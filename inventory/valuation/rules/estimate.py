"""What a tube is worth on evidence: a level for every type, and how far a single sale strays from it.

``fit`` takes the evidence once; ``values`` answers for any number of tubes from it. A sale of a type with ``FEWEST`` or
more comparables lies between ``low`` and ``high`` eight times in ten: order statistics (a tenth from either end) of
how far sales lie from what the others say of them, in units of the scatter of their type, and wider by the error of
the level itself. Of fewer comparables ``low`` and ``high`` are their range, without comparables there is no amount.
Everything is worked out of the evidence, nothing is drawn by lot.
"""

from dataclasses import dataclass, replace

import numpy as np

from inventory.valuation.rules.evidence import (
    UNWEIGHED,
    USED,
    YEAR,
    Evidence,
    Families,
    Flags,
    Small,
    Vector,
    Whole,
    left_out,
)
from inventory.valuation.rules.factors import Factors, fit_factors, stands_alone
from inventory.valuation.rules.levels import WALSH_MOST, Sorted, sort_by_type, weighted_levels
from inventory.valuation.rules.pooling import Pooled, not_pooled, pooled
from inventory.valuation.rules.scatter import FEWEST, TENTH, reach_of, scatter_of, student
from inventory.valuation.rules.words import GRADES, VENUES


@dataclass(frozen=True, slots=True)
class Weighting:
    """How much rows count: half as much for every ``half_life`` years of age; venues by word, 1 where none is named."""

    half_life: float | None = None
    venues: tuple[tuple[str, float], ...] = ()

    def of(self, evidence: Evidence, on: int) -> Vector:
        """Weights of the rows. Raises ValueError: a half life or weight that is none, a word that is no venue."""
        weights = np.ones(len(evidence))
        if self.half_life is not None:
            if not 0 < self.half_life < np.inf:
                raise ValueError(f"a half life of {self.half_life:g} years; expected more than 0")
            weights *= 0.5 ** ((on - evidence.day) / YEAR / self.half_life)
        for word, weight in self.venues:
            if word not in VENUES or not 0 <= weight < np.inf:
                raise ValueError(f"a weight of {weight:g} for {word!r}; expected 0 or more for one of {VENUES}")
            weights[evidence.venue == VENUES.index(word)] *= weight
        return weights


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """Evidence as an estimate needs it, on one valuation date. Levels and scatter are logarithms.

    ``count``: rows of every type that count; ``least`` and ``most``: their range, levelled; ``why``: of every row of
    the evidence why it does not count, a place in ``REASONS``; ``reach``: how many scatters below and above its level
    a tenth of the sales lie; ``prior``: rows that the common scatter is worth beside those of a type; ``alone``: grades
    whose rows are evidence of such tubes alone (``grade_order``): those of a type are numbered as one of their own,
    behind all ``types`` (``place``).
    """

    on: int
    factors: Factors | None
    pooled: Pooled
    count: Whole
    scatter: Vector
    prior: float
    least: Vector
    most: Vector
    reach: tuple[float, float]
    why: Small
    types: int
    alone: tuple[int, ...] = ()

    def place(self, types: Whole, grade: Small) -> Whole:
        """Where levels of these types in these grades stand."""
        found = np.array(types, dtype=np.int64)
        for number, one in enumerate(self.alone, 1):
            found = np.where(grade == one, types + number * self.types, found)
        return found


@dataclass(frozen=True, slots=True, eq=False)
class Values:
    """Of every tube asked for; nan without evidence. ``refused``: of a grade of which none tells: ``high`` alone is
    known, what a better one fetches (``bound``, the place of its grade).

    ``low`` to ``high``: 80 % of sales where ``interval``, else the range. ``level_low`` to ``level_high``: 80 % for the
    amount itself, what such tubes fetch in the middle.
    """

    amount: Vector
    low: Vector
    high: Vector
    comparables: Whole
    interval: Flags
    level_low: Vector
    level_high: Vector
    refused: Flags
    bound: Small


def fit(evidence: Evidence, families: Families, on: int, weighting: Weighting | None = None) -> Fit:
    """Levels of all types of ``families`` from the rows that count on day ``on``."""
    why = left_out(evidence, on)
    counted = evidence.only(why == USED) if why.any() else evidence
    weights = weighting.of(counted, on) if weighting else None
    if weights is not None and not weights.all():
        why[np.flatnonzero(why == USED)[weights == 0]] = UNWEIGHED
        counted, weights = counted.only(weights > 0), weights[weights > 0]
    types = len(families.group)
    count = np.bincount(counted.type, minlength=types)
    if not len(counted):
        nothing = np.zeros(len(count))
        empty = not_pooled(nothing, nothing + np.inf)
        return Fit(on, None, empty, count, nothing, 0.0, nothing, nothing, (0.0, 0.0), why, types)
    factors, alone = _factors(counted, types)
    if alone:
        counted = replace(counted, type=_numbered(counted, types, alone))
        count = np.bincount(counted.type, minlength=types * (1 + len(alone)))
    ordered = sort_by_type(counted.type, count, lambda part: factors.bare(counted, part), *factors.bounds(counted))
    if weights is None:
        level, worth = ordered.levels(), count.astype(np.float64)
        loss = np.where(count > WALSH_MOST, np.pi / 2, np.where(count > 2, np.pi / 3, 1.0))
    else:
        bare = factors.bare(counted, slice(None))
        level, worth = weighted_levels(counted.type, bare, weights, len(count))
        loss = np.where(count > 2, np.pi / 2, 1.0)  # of a median beside a mean, where the scatter is normal
    home, shown = ordered.spread_out()
    rest = shown - level[home]
    scatter = scatter_of(home, rest, count)
    error = np.where(count > 0, scatter.of_type**2 * loss / np.maximum(worth, 1), np.inf)
    whole, reach = not_pooled(level, error), (0.0, 0.0)
    if scatter.common:
        whole = _pooled(level, error, families)
        wider = _unsure_factors(factors, count)
        below, above = reach_of(home, rest, shown - whole.level[home], count, scatter)
        reach = below * wider, above * wider
    least, most = _range(ordered)
    return Fit(on, factors, whole, count, scatter.of_type, scatter.prior, least, most, reach, why, types, alone)


def _factors(counted: Evidence, types: int) -> tuple[Factors, tuple[int, ...]]:
    """The factors, and the grades whose rows say nothing of others: those are worked out without them."""
    rows, alone, here = counted, np.zeros(len(GRADES) + 1, dtype=np.bool_), np.bincount(counted.grade + 1)
    while True:
        factors = fit_factors(rows, np.bincount(rows.type, minlength=types))
        if not factors.order.alone.any():
            break
        alone[:-1] |= factors.order.alone
        rows = counted.only(~alone[counted.grade])  # a grade that is not said is -1, the last
    grades = tuple(np.flatnonzero(alone).tolist())
    told = (stands_alone(GRADES[one], int(here[one + 1]), factors.against[0]) for one in grades)
    return replace(factors, factors=(*factors.factors, *told)), grades


def _numbered(counted: Evidence, types: int, alone: tuple[int, ...]) -> Whole:
    found = np.array(counted.type, dtype=np.int64)
    for number, grade in enumerate(alone, 1):
        found[counted.grade == grade] += number * types
    return found


def _pooled(level: Vector, error: Vector, families: Families) -> Pooled:
    """Levels of all types partially pooled; behind them those of grades that stand alone, which lean on nothing."""
    types = len(families.group)
    main = pooled(level[:types], error[:types], families)
    if len(level) == types:
        return main
    rest = not_pooled(level[types:], error[types:])
    parts = ((main.level, rest.level), (main.variance, rest.variance), (main.own, rest.own), (main.group, rest.group))
    level, variance, own, group = (np.concatenate(both) for both in parts)
    return Pooled(level, variance, own, group, np.concatenate([main.kind, rest.kind]), main.between)


def _above(fit: Fit, types: Whole, grade: Small, rest: tuple[Small, Small, Whole | int]) -> Vector:
    """What tubes of a grade that stands alone are never dearer than: what the next better grades of the type fetch."""
    above = np.full(len(types), np.inf)
    if not fit.alone or fit.factors is None:
        return above
    for better in (fit.factors.order.bound[grade], np.where(grade > min(fit.alone), min(fit.alone), grade)):
        as_better = np.asarray(better, dtype=np.int8)
        place = fit.place(types, as_better)
        here = np.isin(grade, fit.alone) & (as_better >= 0) & (as_better != grade) & (fit.count[place] > 0)
        level = fit.pooled.level[place] + fit.factors.step(as_better, *rest)
        above = np.where(here, np.minimum(above, level), above)
    return above


def _unsure_factors(factors: Factors, count: Whole) -> float:
    """How much farther sales lie than those that the factors were drawn from: p steps out of n rows beside the levels.

    Squares of what is left of those rows are smaller by 1 - p / n, of other rows greater by 1 + p / n.
    """
    steps = sum(one.shown for one in factors.factors) + factors.trend.shown
    part = min(steps / max(int(count.sum()) - int((count > 0).sum()), 1), 0.5)
    return float(np.sqrt((1 + part) / (1 - part)))


def _range(ordered: Sorted) -> tuple[Vector, Vector]:
    least, most = np.zeros(len(ordered.count)), np.zeros(len(ordered.count))
    there = np.flatnonzero(ordered.count)
    least[there] = ordered.ranked(there, 0 * there)
    most[there] = ordered.ranked(there, ordered.count[there] - 1)
    return least, most


def values(fit: Fit, types: Whole, grade: Small, venue: Small, mark: Small, day: Whole | int) -> Values:
    """What tubes of these types, grades, venues and marks fetch on these days; words by their places."""
    place, order = fit.place(types, grade), fit.factors.order if fit.factors else None
    silent = (grade >= 0) & order.silent[grade] if order else np.zeros(len(types), dtype=np.bool_)
    refused = silent & ((place == types) | (fit.count[place] == 0)) & (fit.count[types] > 0)
    above, types = _above(fit, types, grade, (venue, mark, day)), np.where(refused, types, place)
    count = fit.count[types]
    none, bound = count == 0, order.bound[grade] if order else grade
    interval, grade = (count >= FEWEST) & ~refused, np.where(refused, bound, grade).astype(np.int8)
    shift = fit.factors.step(grade, venue, mark, day) if fit.factors else np.zeros(len(types))
    middle = np.minimum(fit.pooled.level[types] + shift, above)
    variance = np.where(none, 0.0, fit.pooled.variance[types])
    unsure = student(fit.prior + np.maximum(count - 1, 0))
    far = np.sqrt(fit.scatter[types] ** 2 + variance) * unsure
    low = np.where(interval, middle - fit.reach[0] * far, np.minimum(fit.least[types] + shift, middle))
    high = np.where(interval, middle + fit.reach[1] * far, np.maximum(fit.most[types] + shift, middle))
    error = TENTH * np.sqrt(variance) * unsure
    amount, low, high, level_low, level_high = (
        np.where(none, np.nan, np.exp(one)) for one in (middle, low, high, middle - error, middle + error)
    )
    high = np.where(refused, amount, high)
    amount, low, level_low, level_high = (
        np.where(refused, np.nan, one) for one in (amount, low, level_low, level_high)
    )
    return Values(amount, low, high, count, interval, level_low, level_high, refused, grade)
