"""Two or three numbers of a list whose sum lies in a window and bears its floors: how many, and the nearest of them.

A part has a number ``x``, a floor (the smallest sum in which it may be) and as many copies as there are of it. Of
three the one with the highest floor (of equal floors the later) is taken in turn, so that the floor is one bound on
the sum of the other two, and these are counted with two sorted lists: n squared steps instead of n cubed. The nearest
are looked for in a narrow window among the different values first, which is widened until it holds enough.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations_with_replacement, islice, product

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]
Whole = NDArray[np.int64]
SLIP = 1e-9  # relative: two sums that differ by less are one
AT_ONCE = 400_000  # rows of a window that are laid out together
FIRST = 5_000  # rows that the first window should hold


@dataclass(frozen=True)
class Stock:
    """What sums are made of, in the order of ``x`` and then of the list. ``which``: the places in that list."""

    x: Numbers
    floor: Numbers
    copies: Whole
    which: Whole

    @classmethod
    def of(cls, x: Sequence[float], floor: Sequence[float], copies: Sequence[int], most: float) -> "Stock":
        """Those that can be in a sum of ``most`` or less at all."""
        rows, pieces = [np.asarray(x, float), np.asarray(floor, float)], np.asarray(copies, np.int64)
        useful = (rows[0] <= most) & (rows[1] <= most) & (pieces > 0)
        which = np.flatnonzero(useful)
        which = which[np.argsort(rows[0][which], kind="stable")]
        return cls(rows[0][which], rows[1][which], pieces[which], which.astype(np.int64))


def count_sums(stock: Stock, size: int, low: float, high: float) -> int:
    """How many different choices of two or three have a sum from ``low`` to ``high`` that bears all their floors."""
    total = 0
    held = np.empty(0)  # the numbers of those with a lower floor
    twice = np.empty(0)  # of these the numbers of which there are two and more
    order = np.argsort(stock.floor, kind="stable")
    lows, copies = np.maximum(low, stock.floor * (1 - SLIP)), stock.copies
    for at in order.tolist():
        x, least, have = stock.x[at], lows[at] - stock.x[at], copies[at]
        most = high - x
        if size == 2:
            total += _between(held, least, most)
            total += int(have >= 2 and least <= x <= most)
        else:
            ends = [held.searchsorted((most - held)[::-1], "right"), held.searchsorted((least - held)[::-1], "left")]
            ordered = int(np.maximum(ends[0] - ends[1], 0).sum())
            total += (ordered - _between(held, least / 2, most / 2)) // 2 + _between(twice, least / 2, most / 2)
            if have >= 2:
                total += _between(held, least - x, most - x)
            total += int(have >= 3 and least <= 2 * x <= most)
        held = np.insert(held, held.searchsorted(x), x)
        if size == 3 and have >= 2:
            twice = np.insert(twice, twice.searchsorted(x), x)
    return total


def _between(row: Numbers, least: float, most: float) -> int:
    return max(int(row.searchsorted(most, "right") - row.searchsorted(least, "left")), 0)


def nearest_sums(
    stock: Stock, size: int, widest: float, window: Callable[[float], tuple[float, float]],
    error: Callable[[Numbers], Numbers], most: int,
) -> list[tuple[float, tuple[int, ...]]]:  # fmt: skip
    """The ``most`` choices of least error, each with its error and its places in the list that the stock was made of.

    ``window``: the lowest and highest sum whose error is at most so much; ``error``: that of sums, rounded by the
    caller, so that two of one error are known as such. Of equal errors the one of smaller numbers comes first, then
    the one of earlier parts.
    """
    if not len(stock.x) or most < 1:
        return []
    values, firsts = np.unique(stock.x, return_index=True)
    bounds = np.append(firsts, len(stock.x))
    floors = _floors(stock, bounds)
    pairs = _Pairs(values, size, window(widest)[1])
    count = int(pairs.thirds(*window(widest))[1].sum())
    wide = widest if count <= AT_ONCE else widest * FIRST / count
    while True:
        rows = pairs.laid_out(*window(wide))
        found = list(islice(_choices(stock, bounds, floors, rows, error), most))
        if len(found) >= most or wide >= widest:
            return found
        wide = min(wide * 8, widest)


class _Pairs:
    """What stands before the last of two or three values (numbers of ``values``, each at least the one before)."""

    def __init__(self, values: Numbers, size: int, high: float) -> None:
        self.values = values
        if size == 2:
            self.before = np.arange(len(values))[:, None]
        else:
            # neither can be larger than what the third, which is no smaller, leaves of the sum
            ends = np.maximum(values.searchsorted((high - values) / 2, "right") - np.arange(len(values)), 0)
            first = np.repeat(np.arange(len(values)), ends)
            second = first + np.arange(len(first)) - np.repeat(np.cumsum(ends) - ends, ends)
            self.before = np.column_stack([first, second])
        self.so_far = values[self.before].sum(axis=1)

    def thirds(self, low: float, high: float) -> tuple[Whole, Whole]:
        """The first value with which each comes to a sum in a window, and how many there are."""
        begin = np.maximum(self.values.searchsorted(low - self.so_far, "left"), self.before[:, -1])
        return begin, np.maximum(self.values.searchsorted(high - self.so_far, "right") - begin, 0)

    def laid_out(self, low: float, high: float) -> Iterator[Whole]:
        """The choices of values with a sum in a window as rows, so many at once."""
        begin, counts = self.thirds(low, high)
        some = np.flatnonzero(counts)
        begin, counts = begin[some], counts[some]
        ends = np.cumsum(counts)
        done = 0
        while done < len(ends):
            before = int(ends[done - 1]) if done else 0
            until = max(int(ends.searchsorted(before + AT_ONCE, "right")), done + 1)
            of_each = counts[done:until]
            repeated = np.repeat(np.arange(done, until), of_each)
            last = begin[repeated] + np.arange(len(repeated)) - np.repeat(ends[done:until] - of_each - before, of_each)
            yield np.column_stack([self.before[some[repeated]], last])
            done = until


def _floors(stock: Stock, bounds: Whole) -> Numbers:
    """Of each value the floor of its first, second and third copy, those of the lowest floor first."""
    told = np.full((len(bounds) - 1, 3), np.inf)
    for at, (begin, end) in enumerate(zip(bounds[:-1].tolist(), bounds[1:].tolist(), strict=True)):
        of_each = np.repeat(stock.floor[begin:end], np.minimum(stock.copies[begin:end], 3))
        lowest = np.sort(of_each)[:3]
        told[at, : len(lowest)] = lowest
    return told


def _choices(
    stock: Stock, bounds: Whole, floors: Numbers, rows: Iterable[Whole], error: Callable[[Numbers], Numbers]
) -> Iterator[tuple[float, tuple[int, ...]]]:
    """The choices of parts behind rows of values, the nearest first."""
    values = stock.x[bounds[:-1]]
    kept, errors = [], []
    for row in rows:
        sums = values[row].sum(axis=1)
        same = np.zeros(row.shape, np.int64)  # the how manieth of its value each is
        same[:, 1:] = row[:, 1:] == row[:, :-1]
        if row.shape[1] == 3:
            same[:, 2] += same[:, 2] * same[:, 1]
        able = floors[row, same].max(axis=1) <= sums * (1 + SLIP)
        kept.append(row[able])
        errors.append(error(sums[able]))
    if not kept:
        return
    found, off = np.concatenate(kept), np.concatenate(errors)
    for at in np.lexsort((*found.T[::-1], off)).tolist():
        chosen = found[at].tolist()
        total = float(values[chosen].sum()) * (1 + SLIP)
        for parts in _of_values(stock, bounds, chosen, total):
            yield float(off[at]), parts


def _of_values(stock: Stock, bounds: Whole, chosen: Sequence[int], total: float) -> Iterator[tuple[int, ...]]:
    """The choices of parts that have just these values and bear a sum of ``total``."""
    of_value = []
    for value in sorted(set(chosen)):
        able = [at for at in range(bounds[value], bounds[value + 1]) if stock.floor[at] <= total]
        times = chosen.count(value)
        several = combinations_with_replacement(able, times)
        of_value.append([one for one in several if all(one.count(at) <= stock.copies[at] for at in set(one))])
    for one in product(*of_value):
        yield tuple(int(stock.which[at]) for group in one for at in group)
