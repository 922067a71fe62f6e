"""The evidence taken once: factors, and the markets of working tubes, of weak ones and of duds, for all types.

Working tubes (unused, used, not tested or of no grade that is said) are one market, worked out of their own sales:
whatever weak tubes and duds were sold for moves no figure of a working one. Weak tubes and duds are a market each.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from inventory.valuation.rules.evidence import (
    UNWEIGHED,
    USED,
    Evidence,
    Families,
    Small,
    Vector,
    Whole,
    left_out,
)
from inventory.valuation.rules.factors import Factors, fit_factors
from inventory.valuation.rules.grade_order import DUD, WEAK, WORKING
from inventory.valuation.rules.levels import PART, Sorting, weighted_levels
from inventory.valuation.rules.market import Market, Sales, lower_market, working_market
from inventory.valuation.rules.weighting import Weighting
from inventory.valuation.rules.words import GRADES

LOWER = {WEAK: 1, DUD: 2}  # by their grade; the market of working ones is the first
MARKETS = 3


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """Evidence as an estimate needs it, on one valuation date. ``markets``: of working ones, weak ones, duds; none
    without evidence.

    ``why``: of every row of the evidence why it does not count, a place in ``REASONS``.
    """

    on: int
    factors: Factors | None
    markets: tuple[Market, ...]
    why: Small
    types: int

    @property
    def working(self) -> Market:
        """The market of working tubes. Raises IndexError without evidence."""
        return self.markets[0]

    def market(self, grade: int) -> Market:
        """The market of tubes of a grade, by its place."""
        return self.markets[LOWER.get(grade, 0)]

    @property
    def count(self) -> Whole:
        """Rows of every type that count, whatever they are of."""
        nothing = np.zeros(self.types, dtype=np.int64)
        return np.asarray(sum((one.own for one in self.markets), nothing), dtype=np.int64)

    def step(self, grade: Small, venue: Small, mark: Small, day: Whole | int) -> Vector:
        """How far, as a logarithm, such a sale lies from one on the first day of the words that others stand against.

        A step down that is not shown is 0.
        """
        if self.factors is None:
            return np.zeros(len(grade))
        found = self.factors.step(grade, venue, mark, day)
        for place, number in LOWER.items():
            if step := self.markets[number].step:
                found = found + step * (np.asarray(grade) == place)
        return found


def fit(evidence: Evidence, families: Families, on: int, weighting: Weighting | None = None) -> Fit:
    """Levels of all types of ``families`` from the rows that count on day ``on``."""
    why = left_out(evidence, on)
    counted = evidence.only(why == USED) if why.any() else evidence
    weights = weighting.of(counted, on) if weighting else None
    if weights is not None and not weights.all():
        why[np.flatnonzero(why == USED)[weights == 0]] = UNWEIGHED
        counted, weights = counted.only(weights > 0), weights[weights > 0]
    types = len(families.group)
    if not len(counted):
        return Fit(on, None, (), why, types)
    count = np.zeros(MARKETS * types, dtype=np.int64)
    for _, home in _parts(counted, types):
        count += np.bincount(home, minlength=len(count))
    best = next(number for number, some in enumerate(np.split(count, MARKETS)) if some.any())
    main = counted.grade < WORKING if best == 0 else counted.grade == WORKING + best - 1
    factors = fit_factors(counted, main, count[best * types : (best + 1) * types])
    del main
    sales = _sales(counted, factors, count, weights)
    good = next(sales)
    working, scatter = working_market(good, families, _unsure_factors(factors, good.count))
    good.forget()
    lower = [lower_market(one, good, working, scatter) for one in sales]
    downs = [
        one.down.factor(GRADES[grade], factors.against[0] if best == 0 else "working ones")
        for grade, one in zip(LOWER, lower, strict=True)
        if one.down is not None and one.down.rows
    ]
    return Fit(on, factors.beside(downs), (working, *lower), why, types)


def _parts(counted: Evidence, types: int) -> Iterator[tuple[slice, Whole]]:
    """Slices of the rows, with where the level of each stands: types of working tubes, then of weak ones, then of
    duds."""
    for start in range(0, len(counted), PART):
        part = slice(start, start + PART)
        home, grade = counted.type[part].copy(), counted.grade[part]
        for lower, number in LOWER.items():
            home += np.multiply(grade == lower, number * types, dtype=np.int64)
        yield part, home


def _sales(counted: Evidence, factors: Factors, count: Whole, weights: Vector | None) -> Iterator[Sales]:
    """The sales of working tubes, of weak ones and of duds, one after another. ``count``: of each by type."""
    types = len(count) // MARKETS
    ends = factors.bounds(float(counted.price.min()), float(counted.price.max()))
    sorting = Sorting(count, max(map(abs, ends)))
    for part, home in _parts(counted, types):
        sorting.take(home, factors.bare(counted, part))
    told: list[tuple[Vector, Vector] | None] = [None] * MARKETS
    if weights is not None:
        home = np.concatenate([home for _, home in _parts(counted, types)])
        both = weighted_levels(home, factors.bare(counted, slice(None)), weights, len(count))
        told = list(zip(*(np.split(one, MARKETS) for one in both), strict=True))
    for one, weighted in zip(sorting.sorted().parts(MARKETS), told, strict=True):
        yield Sales(one, weighted)


def _unsure_factors(factors: Factors, count: Whole) -> float:
    """How much farther sales lie than those that the factors were drawn from: p steps out of n rows beside the levels.

    Squares of what is left of those rows are smaller by 1 - p / n, of other rows greater by 1 + p / n.
    """
    steps = sum(bool(one.shown) for one in factors.factors) + factors.trend.shown
    part = min(steps / max(int(count.sum()) - int((count > 0).sum()), 1), 0.5)
    return float(np.sqrt((1 + part) / (1 - part)))
