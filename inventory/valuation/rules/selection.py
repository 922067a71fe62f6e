"""The middle of all sums of two sorted lists without writing them down: n numbers, about n log n steps each round.

All sums ``rows[i] + columns[j]`` stand in a table whose rows ascend. Each round weighs the middles of what is left of
the rows, takes their weighted median for a pivot, and throws away what lies on the wrong side of it, a quarter at
least (D. B. Johnson and T. Mizoguchi 1978, from memory). Sums of doubles are rounded without changing their order, so
what comes out is exactly what sorting all sums would give; hypothesis holds it against that.
"""

import numpy as np
from numpy.typing import NDArray

Vector = NDArray[np.float64]
Whole = NDArray[np.int64]

AT_ONCE = 200_000  # sums that are written down and selected from at once


def middle_walsh_average(values: Vector) -> float:
    """Median of ``(x_i + x_j) / 2`` over all i <= j; ``values`` sorted and finite."""
    count = len(values)
    low, high = _middle_sums(values, values, np.arange(count), np.full(count, count))
    return _halfway(low / 2, high / 2)


def middle_difference(first: Vector, second: Vector) -> float:
    """Median of ``x_i - y_j`` over all i and j; both sorted and finite."""
    return _halfway(
        *_middle_sums(first, -second[::-1], np.zeros(len(first), dtype=np.int64), np.full(len(first), len(second)))
    )


def _halfway(low: float, high: float) -> float:
    return low if low == high else (low + high) / 2


def _middle_sums(rows: Vector, columns: Vector, low: Whole, high: Whole) -> tuple[float, float]:
    """The two sums in the middle, the same one twice where their number is odd. Row i holds columns low to high."""
    all_of_them = int((high - low).sum())
    lower, upper = (all_of_them - 1) // 2, all_of_them // 2  # counted from zero among all sums, in order
    below = 0  # sums thrown away since they are too small
    while int((high - low).sum()) > AT_ONCE + 4 * len(rows):
        pivot = _pivot(rows, columns, low, high)
        first_not_less = _first(rows, columns, low, high, pivot, also_equal=False)
        first_more = _first(rows, columns, first_not_less, high, pivot, also_equal=True)
        less = below + int((first_not_less - low).sum())
        not_more = below + int((first_more - low).sum())
        if upper < less:
            high = first_not_less
        elif lower >= not_more:
            low, below = first_more, not_more
        elif lower >= less and upper < not_more:
            return pivot, pivot
        elif lower < less:  # one before the pivot, the other the pivot itself
            there = first_not_less > low
            return float((rows[there] + columns[first_not_less[there] - 1]).max()), pivot
        else:
            there = first_more < high
            return pivot, float((rows[there] + columns[first_more[there]]).min())
    return _selected(rows, columns, low, high, lower - below, upper - below)


def _pivot(rows: Vector, columns: Vector, low: Whole, high: Whole) -> float:
    left = np.flatnonzero(high > low)
    width = (high - low)[left]
    middles = rows[left] + columns[low[left] + (width - 1) // 2]
    order = np.argsort(middles)
    heavy = np.cumsum(width[order])
    return float(middles[order[np.searchsorted(heavy, heavy[-1] / 2)]])


def _first(rows: Vector, columns: Vector, low: Whole, high: Whole, pivot: float, *, also_equal: bool) -> Whole:
    """Of each row, the first column between low and high whose sum is not less (or more) than the pivot."""
    begin, end = low.copy(), high.copy()
    while (open_rows := np.flatnonzero(begin < end)).size:
        middle = (begin[open_rows] + end[open_rows]) // 2
        sums = rows[open_rows] + columns[middle]
        short = sums <= pivot if also_equal else sums < pivot
        begin[open_rows[short]] = middle[short] + 1
        end[open_rows[~short]] = middle[~short]
    return begin


def _selected(rows: Vector, columns: Vector, low: Whole, high: Whole, lower: int, upper: int) -> tuple[float, float]:
    width = high - low
    row = np.repeat(np.arange(len(rows)), width)
    column = np.arange(len(row)) - np.repeat(np.cumsum(width) - width, width) + np.repeat(low, width)
    sums = np.partition(rows[row] + columns[column], [lower, upper])
    return float(sums[lower]), float(sums[upper])
