"""The level of every type at once: rows sorted by type and value in one pass, then order statistics by place.

Of up to ``WALSH_MOST`` rows the level is Hodges and Lehmann's, the median of all averages of pairs with self-pairs; of
more, where the two differ by far less than the prices scatter, the median. For how they scatter, ``SHOWN_MOST`` evenly
spaced order statistics stand for a longer list. Where rows weigh differently the level is the weighted median.
"""

import math
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from inventory.valuation.rules.evidence import Vector, Whole

WALSH_MOST = 30
SHOWN_MOST = 40
USUAL_MOST = 64.0  # of a logarithm
PART = 32_768  # rows in a slice


@dataclass(frozen=True, slots=True, eq=False)
class Sorted:
    """Values of all types, packed with their type into one ascending array: those of type t from ``start[t]`` on."""

    packed: Whole
    start: Whole
    count: Whole
    least: float
    step: float
    mask: int

    def parts(self, many: int) -> "list[Sorted]":
        """Of the types in so many parts of one size."""
        both = zip(np.split(self.start, many), np.split(self.count, many), strict=True)
        return [replace(self, start=start, count=count) for start, count in both]

    def at(self, places: NDArray[np.intp] | Whole) -> Vector:
        """The values at those places."""
        return np.asarray((self.packed[places] & self.mask) * self.step + self.least, dtype=np.float64)

    def ranked(self, types: Whole, rank: Whole) -> Vector:
        """Of each type, all of which have rows, the value of that rank, counted from 0."""
        return self.at(self.start[types] + rank)

    def medians(self) -> Vector:
        """The median of every type; 0 where it has no row."""
        found, there = np.zeros(len(self.count)), np.flatnonzero(self.count)
        count = self.count[there]
        low, high = self.ranked(there, (count - 1) // 2), self.ranked(there, count // 2)
        found[there] = (low + high) / 2
        return found

    def levels(self) -> Vector:
        """Hodges and Lehmann's of few rows, the median of many; 0 where there is none."""
        found = self.medians()
        few = np.flatnonzero((self.count > 2) & (self.count <= WALSH_MOST))  # of one and two it is the median
        few = few[np.argsort(self.count[few], kind="stable")]
        sizes, at = np.unique(self.count[few], return_index=True)
        for size, alike in zip(sizes, np.split(few, at)[1:], strict=True):
            found[alike] = walsh_medians(self.at(self.start[alike][:, None] + np.arange(size)))
        return found

    def spread_out(self) -> tuple[Whole, Vector]:
        """Of every type its values, or evenly spaced ones of many: the type of each, and the values."""
        shown = np.minimum(self.count, SHOWN_MOST)
        home = np.repeat(np.arange(len(shown)), shown)
        place = np.arange(len(home)) - np.repeat(np.cumsum(shown) - shown, shown)
        count = self.count[home]
        many = count > SHOWN_MOST
        place[many] = (2 * place[many] + 1) * count[many] // (2 * SHOWN_MOST)
        return home, self.at(self.start[home] + place)


@lru_cache(maxsize=WALSH_MOST)
def _pairs(many: int) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    return np.triu_indices(many)


def walsh_medians(table: NDArray[np.float64]) -> Vector:
    """Hodges and Lehmann's location of every row of a table, each of whose rows has the same number of values."""
    one, other = _pairs(table.shape[1])
    sums = table[:, one] + table[:, other]
    middle = sums.shape[1] // 2
    if sums.shape[1] % 2:
        sums.partition(middle, axis=1)
        return np.asarray(sums[:, middle] / 2)
    sums.partition([middle - 1, middle], axis=1)
    return np.asarray((sums[:, middle - 1] + sums[:, middle]) / 4)


class Sorting:
    """Values on their way to being sorted within each type, to some 12 figures, taken a slice at a time.

    ``count``: rows of every type; no value lies farther from 0 than ``most``. Values are kept in steps of one size as
    long as that is below ``USUAL_MOST``, so that those of a type are the same to the last digit whatever others are.
    """

    def __init__(self, count: Whole, most: float) -> None:
        self._bits = 62 - len(count).bit_length()
        self._count = count
        self._most = 2.0 ** math.ceil(math.log2(max(most, USUAL_MOST)))
        self._packed, self._taken = np.empty(int(count.sum()), dtype=np.int64), 0

    def take(self, types: Whole, values: Vector) -> None:
        """Values with the type of each, which are used up: made slice by slice, they stay in the cache."""
        here = slice(self._taken, self._taken + len(values))
        values += self._most
        values *= 2.0 ** (self._bits - 1) / self._most
        self._packed[here] = values
        self._packed[here] |= types << (self._bits + 1)
        self._taken = here.stop

    def sorted(self) -> Sorted:
        """All of them, once all are taken."""
        self._packed.sort()
        start, step = np.cumsum(self._count) - self._count, self._most / 2.0 ** (self._bits - 1)
        return Sorted(self._packed, start, self._count, -self._most, step, (1 << (self._bits + 1)) - 1)


def weighted_levels(types: Whole, values: Vector, weights: Vector, many: int) -> tuple[Vector, Vector]:
    """The weighted median of each of ``many`` types, and how many rows of one weight are worth as much.

    Halfway to the next value where half the weight is reached exactly; 0 and 0 without weight.
    """
    order = np.lexsort((values, types))
    order = order[weights[order] > 0]
    types, values, weights = types[order], values[order], weights[order]
    total = np.bincount(types, weights, many)
    worth = np.zeros(many)
    there = total > 0
    worth[there] = total[there] ** 2 / np.bincount(types, weights**2, many)[there]
    so_far = np.cumsum(weights / total[types])
    count = np.bincount(types, minlength=many)
    last = np.cumsum(count) - 1
    before = np.concatenate(([0.0], so_far))[(last - count + 1)]
    within = so_far - np.repeat(before, count)
    nearly = 1e-12 + 1e-15 * len(values)
    reached = within >= 0.5 - nearly
    begins = np.concatenate(([True], types[1:] != types[:-1]))
    first = np.flatnonzero(reached & (begins | ~np.concatenate(([False], reached[:-1]))))
    exact = np.abs(within[first] - 0.5) <= nearly
    beside = np.where(exact, np.minimum(first + 1, last[types[first]]), first)
    level = np.zeros(many)
    level[types[first]] = (values[first] + values[beside]) / 2
    return level, worth
