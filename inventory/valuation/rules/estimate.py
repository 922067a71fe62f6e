"""What a tube is worth on evidence: a level for every type, and how far a single sale strays from it.

``fit`` takes the evidence once; ``values`` answers for any number of tubes from it. A sale of a type with ``FEWEST`` or more
comparables lies between ``low`` and ``high`` eight times in ten: the order statistics (a tenth from either end) of how
far sales that are left out lie from what the others say, in units of the scatter of their type, and wider by the error
of the level itself. Of fewer comparables ``low`` and ``high`` are their range.
"""

from dataclasses import dataclass

import numpy as np

from inventory.valuation.rules.evidence import USED, Evidence, Families, Flags, Small, Vector, Whole, left_out
from inventory.valuation.rules.factors import Factors, fit_factors
from inventory.valuation.rules.levels import WALSH_MOST, sort_by_type
from inventory.valuation.rules.pooling import Pooled, not_pooled, pooled
from inventory.valuation.rules.scatter import FEWEST, TENTH, reach_of, scatter_of, student


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """Evidence as an estimate needs it, at one valuation date. Levels and scatter are logarithms, of the references.

    ``count``: rows of every type that count; ``least`` and ``most``: their range, levelled; ``why``: of every row of the
    evidence, why it does not count; ``reach``: how many scatters below and above the level a tenth of the sales lie.
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


@dataclass(frozen=True, slots=True, eq=False)
class Values:
    """Of every tube asked for: nan where there is no evidence. ``interval``: low and high cover 80 %, else a range."""

    amount: Vector
    low: Vector
    high: Vector
    comparables: Whole
    interval: Flags
    level_low: Vector
    level_high: Vector


def fit(evidence: Evidence, families: Families, on: int) -> Fit:
    """Levels of all types from the rows that count on day ``on``."""
    types = len(families.group)
    why = left_out(evidence, on)
    counted = evidence.only(why == USED) if why.any() else evidence
    count = np.bincount(counted.type, minlength=types)
    if not len(counted):
        nothing = np.zeros(types)
        return Fit(
            on, None, not_pooled(nothing, nothing + np.inf), count, nothing, 0.0, nothing, nothing, (0.0, 0.0), why
        )
    factors = fit_factors(counted, count)
    ordered = sort_by_type(counted.type, count, lambda part: factors.bare(counted, part), *factors.bounds(counted))
    level, there = ordered.levels(), np.flatnonzero(count)
    least, most = np.zeros(types), np.zeros(types)
    least[there], most[there] = ordered.ranked(there, 0 * there), ordered.ranked(there, count[there] - 1)
    home, shown = ordered.spread_out()
    rest = shown - level[home]
    scatter = scatter_of(home, rest, count)
    loss = np.where(count > WALSH_MOST, np.pi / 2, np.where(count > 2, np.pi / 3, 1.0))
    variance = np.where(count > 0, scatter.of_type**2 * loss / np.maximum(count, 1), np.inf)
    if scatter.common:
        whole = pooled(level, variance, families)
        reach = reach_of(home, rest, shown - whole.level[home], count, scatter)
    else:
        whole, reach = not_pooled(level, variance), (0.0, 0.0)
    return Fit(on, factors, whole, count, scatter.of_type, scatter.prior, least, most, reach, why)


def values(fit: Fit, types: Whole, grade: Small, venue: Small, mark: Small, day: Whole | int) -> Values:
    """What tubes of these types, grades, venues and marks fetch on these days; places in the tuples of words."""
    count = fit.count[types]
    none, interval = count == 0, count >= FEWEST
    if fit.factors is None:
        shift = np.zeros(len(types))
    else:
        shift = fit.factors.step(grade, venue, mark, day)
    middle = fit.pooled.level[types] + shift
    variance = np.where(none, 0.0, fit.pooled.variance[types])
    far = np.sqrt(fit.scatter[types] ** 2 + variance) * student(fit.prior + np.maximum(count - 1, 0))
    low = np.where(interval, middle - fit.reach[0] * far, np.minimum(fit.least[types] + shift, middle))
    high = np.where(interval, middle + fit.reach[1] * far, np.maximum(fit.most[types] + shift, middle))
    error = TENTH * np.sqrt(variance)
    found = [np.exp(one) for one in (middle, low, high, middle - error, middle + error)]
    for one in found:
        one[none] = np.nan
    return Values(found[0], found[1], found[2], count, interval, found[3], found[4])
