"""Where a handful of prices lies and how wide it scatters: statistics that one odd price does not carry away.

Sources: Hodges and Lehmann 1963 for the median of the Walsh averages, each value taken with itself as well (a text that
leaves the self-pairs out gets 33 for 22, 24, 26, 60; with them it is 25.5, and that is what counts here); the interval
for the median by order statistics, with coverage ``1 - 2 Binom(d - 1; n, 1/2)`` of the d-th from either end (the sign
test).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from inventory.valuation.rules.selection import Vector, middle_difference, middle_walsh_average

FEWEST = 5  # prices below which no interval is told: five give 93.75 % at most, from the two extremes
LEVEL = 0.95  # of the interval for the median, where the order statistics reach it
NORMAL_MAD = 1.482602218505602  # 1 / (0.75 quantile of the normal curve): MAD as a standard deviation
MOST = 1e300  # no sum of two such numbers leaves the range of a double
_EXACT = 300  # numbers up to which the coverage is counted in whole numbers; the shared routine takes long to load
_HALF = 1e-12  # of all the weight: as near as this to half of it is half, whatever the decimals of the weights


class LocationRefused(ValueError):
    """Numbers that have no location; the text is one line."""


@dataclass(frozen=True, slots=True)
class Location:
    """All of them for one list of numbers. ``mad`` is raw, ``mad_scaled`` as a standard deviation of a normal curve.

    ``geometric_mean`` is None where a number is not above zero, ``interval`` and ``coverage`` are None below five
    numbers; ``remarks`` says why.
    """

    median: float
    mean: float
    hodges_lehmann: float
    mad: float
    geometric_mean: float | None
    interval: tuple[float, float] | None
    coverage: float | None
    weighted_median: float
    mad_scaled: float
    remarks: tuple[str, ...]


def location(numbers: Sequence[float], weights: Sequence[float] | None = None) -> Location:
    """Every statistic of the numbers, in their unit; weights count for the weighted median alone.

    Raises LocationRefused: no numbers, one that is not finite, weights that are not as many or cannot be weights.
    """
    values = _checked(numbers)
    told = []
    geometric = geometric_mean(numbers) if values[0] > 0 else None
    if geometric is None:
        told.append("No geometric mean: a number is not above zero.")
    interval = median_interval(numbers)
    if interval is None:
        told.append(f"No interval: {len(values)} of at least {FEWEST} numbers; fewer speak for themselves.")
    if weights is not None:
        told.append("The weights count for the weighted median alone.")
    return Location(
        median(numbers), mean(numbers), hodges_lehmann(numbers), mad(numbers), geometric,
        interval[:2] if interval else None, interval[2] if interval else None,
        weighted_median(numbers, [1.0] * len(values) if weights is None else weights),
        mad(numbers) * NORMAL_MAD, tuple(told),
    )  # fmt: skip


def median(numbers: Sequence[float]) -> float:
    """The middle one, or halfway between the two in the middle."""
    return float(np.median(_checked(numbers)))


def mean(numbers: Sequence[float]) -> float:
    """Sum over count, the sum without loss."""
    return math.fsum(_checked(numbers)) / len(numbers)


def geometric_mean(numbers: Sequence[float]) -> float:
    """The n-th root of the product. Raises LocationRefused where a number is not above zero."""
    values = _checked(numbers)
    if values[0] <= 0:
        raise LocationRefused("a geometric mean needs numbers above zero")
    between = math.exp(math.fsum(np.log(values)) / len(values))
    return float(min(max(between, values[0]), values[-1]))  # of equal numbers that number, not a hair beside it


def hodges_lehmann(numbers: Sequence[float]) -> float:
    """Median of the averages of all pairs, each number with itself as well; exact for any number of them."""
    return middle_walsh_average(_checked(numbers))


def hodges_lehmann_shift(first: Sequence[float], second: Sequence[float]) -> float:
    """How far ``first`` lies above ``second``: the median of all differences between one and the other."""
    return middle_difference(_checked(first), _checked(second))


def mad(numbers: Sequence[float]) -> float:
    """Median absolute deviation from the median, raw; times ``NORMAL_MAD`` a standard deviation of a normal curve."""
    values = _checked(numbers)
    return float(np.median(np.abs(values - np.median(values))))


def weighted_median(numbers: Sequence[float], weights: Sequence[float]) -> float:
    """The smallest number up to which half the weight lies; where that is exactly half, halfway to the next."""
    values, heavy = _finite(numbers), _finite(weights)
    if len(values) != len(heavy):
        raise LocationRefused(f"{len(heavy)} weights for {len(values)} numbers; expected one for each")
    if (heavy < 0).any() or not 0 < heavy.sum() <= MOST:
        raise LocationRefused("a weight is below zero, or all of them are zero")
    counted = heavy > 0
    values, heavy = values[counted], heavy[counted]
    order = np.argsort(values, kind="stable")
    values, so_far = values[order], np.cumsum(heavy[order] / heavy.sum())
    at = min(int(np.searchsorted(so_far, 0.5 - _HALF)), len(values) - 1)
    if abs(so_far[at] - 0.5) <= _HALF and at + 1 < len(values):
        return float((values[at] + values[at + 1]) / 2)
    return float(values[at])


def coverage(count: int, rank: int) -> float:
    """How sure it is that the median lies between the ``rank``-th smallest and the ``rank``-th largest of ``count``."""
    if count > _EXACT:
        from scipy.special import bdtr

        return float(1 - 2 * bdtr(rank - 1, count, 0.5))
    return 1 - float(sum(math.comb(count, fewer) for fewer in range(rank)) / 2 ** (count - 1))


def median_interval(numbers: Sequence[float], level: float = LEVEL) -> tuple[float, float, float] | None:
    """From, to, and the coverage: the narrowest pair of order statistics that reaches ``level``, else the extremes.

    None below five numbers.
    """
    values = _checked(numbers)
    if len(values) < FEWEST:
        return None
    rank = interval_rank(len(values), level)
    return float(values[rank - 1]), float(values[-rank]), coverage(len(values), rank)


def interval_rank(count: int, level: float = LEVEL) -> int:
    """The greatest rank from either end whose coverage reaches the level; 1 where none does."""
    low, high = 1, (count + 1) // 2
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if coverage(count, middle) >= level else (low, middle - 1)
    return low


def _finite(numbers: Sequence[float]) -> Vector:
    values = np.asarray(numbers, dtype=np.float64)
    if not len(values):
        raise LocationRefused("no numbers; expected one or more")
    if not (np.abs(values) <= MOST).all():
        raise LocationRefused("a number is no finite figure, or beyond any price")
    return values


def _checked(numbers: Sequence[float]) -> Vector:
    """The numbers in order, finite. Raises LocationRefused."""
    return np.sort(_finite(numbers))
