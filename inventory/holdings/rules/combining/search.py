"""Two or three numbers of a list whose sum lies in a window and bears its floors: how many, and the nearest of them.

A part has a number ``x``, a floor (the smallest sum in which it may be) and as many copies as there are of it. Of
three the one with the highest floor (of equal floors the later) is taken in turn, so that the floor is one bound on
the sum of the other two, and these are counted with two sorted lists: n squared steps instead of n cubed. The nearest
are looked for in a narrow window among the different values first, which is widened until it holds enough.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, combinations_with_replacement, islice, pairwise, product

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


def count_sums(stock: Stock, size: int, low: float, high: float, needed: bool = False) -> int:
    """How many different choices of two or three have a sum from ``low`` to ``high`` that bears all their floors.

    ``needed``: only those of which no two alone do; the stock then holds none that does so by itself.
    """
    total = 0
    held = np.empty(0)  # the numbers of those with a lower floor
    twice = np.empty(0)  # of these the numbers of which there are two and more
    order = np.argsort(stock.floor, kind="stable")
    lows, copies = np.maximum(low, stock.floor * (1 - SLIP)), stock.copies
    pairs = _Serving(stock, order, lows, high) if needed and size == 3 else None
    for turn, at in enumerate(order.tolist()):
        x, least, have = stock.x[at], lows[at] - stock.x[at], copies[at]
        most = high - x
        if size == 2:
            total += _between(held, least, most)
            total += int(have >= 2 and least <= x <= most)
        else:
            # needed: what does the work with this one alone, being no less than the least, is no part of a choice
            beside = held[: held.searchsorted(least, "left")] if needed else held
            doubled = twice[: twice.searchsorted(least, "left")] if needed else twice
            ends = [
                beside.searchsorted((most - beside)[::-1], "right"), beside.searchsorted((least - beside)[::-1], "left")
            ]  # fmt: skip
            ordered = int(np.maximum(ends[0] - ends[1], 0).sum())
            total += (ordered - _between(beside, least / 2, most / 2)) // 2 + _between(doubled, least / 2, most / 2)
            if have >= 2 and not (needed and x >= least):
                total += _between(beside, least - x, most - x)
                total += int(have >= 3 and least <= 2 * x <= most)
            if pairs is not None:
                total -= pairs.below(turn, least, most)
        held = np.insert(held, held.searchsorted(x), x)
        if size == 3 and have >= 2:
            twice = np.insert(twice, twice.searchsorted(x), x)
    return total


class _Serving:
    """Every two of a stock that bear a sum in the window by themselves, by that sum: the turn in which each is whole,
    and the larger of its numbers.
    """

    def __init__(self, stock: Stock, order: Whole, lows: Numbers, high: float) -> None:
        """``order``: by floor, which is the order of the turns."""
        x, copies = stock.x[order], stock.copies[order]
        sums, turns, larger = [], [], []
        for turn, at in enumerate(order.tolist()):
            both = x[: turn + 1] + x[turn]
            fit = (both >= lows[at]) & (both <= high)
            fit[turn] &= copies[turn] >= 2
            sums.append(both[fit])
            turns.append(np.full(len(sums[-1]), turn, np.int32))
            larger.append(np.maximum(x[: turn + 1], x[turn])[fit])
        told = np.concatenate(sums) if sums else np.empty(0)
        by_sum = np.argsort(told, kind="stable")
        self._x = stock.x
        self._sums = told[by_sum]
        self._turns = np.concatenate(turns)[by_sum] if turns else np.empty(0, np.int32)
        self._larger = self._x.searchsorted(np.concatenate(larger)[by_sum] if larger else told).astype(np.int32)

    def below(self, turn: int, least: float, most: float) -> int:
        """How many of an earlier turn have a sum from ``least`` to ``most`` and both numbers below ``least``."""
        begin, end = self._sums.searchsorted(least, "left"), self._sums.searchsorted(most, "right")
        if begin >= end or self._sums[begin] >= 2 * least:
            return 0
        bound = int(self._x.searchsorted(least, "left"))
        return int(np.count_nonzero((self._turns[begin:end] < turn) & (self._larger[begin:end] < bound)))


def _between(row: Numbers, least: float, most: float) -> int:
    return max(int(row.searchsorted(most, "right") - row.searchsorted(least, "left")), 0)


def nearest_sums(
    stock: Stock, size: int, widest: float, window: Callable[[float], tuple[float, float]],
    error: Callable[[Numbers], Numbers], most: int, needed: bool = False,
) -> list[tuple[float, tuple[int, ...]]]:  # fmt: skip
    """The ``most`` choices of least error, each with its error and its places in the list that the stock was made of.

    ``window``: the lowest and highest sum whose error is at most so much; ``error``: that of sums, rounded by the
    caller, so that two of one error are known as such. Of equal errors the one of smaller numbers comes first, then
    the one of earlier parts. ``needed`` as ``count_sums`` takes it.
    """
    if not len(stock.x) or most < 1:
        return []
    values, firsts = np.unique(stock.x, return_index=True)
    bounds = np.append(firsts, len(stock.x))
    floors = _floors(stock, bounds)
    pairs = _Pairs(values, size, window(widest)[1])
    count = int(pairs.thirds(*window(widest))[1].sum())
    wide = widest if count <= AT_ONCE else widest * FIRST / count
    low = window(widest)[0]
    needs = _Needed(stock, bounds, low) if needed and size == 3 else None
    while True:
        rows = pairs.laid_out(*window(wide))
        found = list(islice(_choices(stock, bounds, floors, rows, error, needs), most))
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


class _Needed:
    """Of three whether no two do the work by themselves, in a stock of which no one does."""

    def __init__(self, stock: Stock, bounds: Whole, low: float) -> None:
        self._low, self._x = low, stock.x
        self._floor = stock.floor * (1 - SLIP)
        each = [np.unique(stock.floor[begin:end]) for begin, end in pairwise(bounds.tolist())]
        self._floors = np.full((len(each), max(map(len, each), default=0)), np.inf)  # those of each value
        for at, told in enumerate(each):
            self._floors[at, : len(told)] = told

    def may_be(self, rows: Whole, numbers: Numbers, sums: Numbers) -> NDArray[np.bool_]:
        """Rows of values of which the parts of the highest floors, that need the others most, are needed."""
        most = sums[:, None] * (1 + SLIP)
        highest = np.zeros(rows.shape)
        for column in self._floors.T:
            of_each = column[rows]
            highest = np.where(of_each <= most, np.maximum(highest, of_each), highest)
        highest *= 1 - SLIP
        may = np.ones(len(rows), bool)
        for one, other in combinations(range(rows.shape[1]), 2):
            both = numbers[:, one] + numbers[:, other]
            may &= both < np.maximum(np.maximum(highest[:, one], highest[:, other]), self._low)
        return may

    def is_so(self, parts: Sequence[int]) -> bool:
        """Of places in the stock."""
        x, floor = self._x, self._floor
        return not any(x[a] + x[b] >= max(self._low, floor[a], floor[b]) for a, b in combinations(parts, 2))


def _choices(
    stock: Stock, bounds: Whole, floors: Numbers, rows: Iterable[Whole], error: Callable[[Numbers], Numbers],
    needs: _Needed | None,
) -> Iterator[tuple[float, tuple[int, ...]]]:  # fmt: skip
    """The choices of parts behind rows of values, the nearest first."""
    values = stock.x[bounds[:-1]]
    kept, errors = [], []
    for row in rows:
        numbers = values[row]
        sums = numbers.sum(axis=1)
        same = np.zeros(row.shape, np.int64)  # the how manieth of its value each is
        same[:, 1:] = row[:, 1:] == row[:, :-1]
        if row.shape[1] == 3:
            same[:, 2] += same[:, 2] * same[:, 1]
        able = floors[row, same].max(axis=1) <= sums * (1 + SLIP)
        if needs is not None:
            at = np.flatnonzero(able)
            able[at] = needs.may_be(row[at], numbers[at], sums[at])
        kept.append(row[able])
        errors.append(error(sums[able]))
    if not kept:
        return
    found, off = np.concatenate(kept), np.concatenate(errors)
    for at in np.lexsort((*found.T[::-1], off)).tolist():
        chosen = found[at].tolist()
        total = float(values[chosen].sum()) * (1 + SLIP)
        for parts in _of_values(stock, bounds, chosen, total):
            if needs is None or needs.is_so(parts):
                yield float(off[at]), tuple(int(stock.which[part]) for part in parts)


def _of_values(stock: Stock, bounds: Whole, chosen: Sequence[int], total: float) -> Iterator[tuple[int, ...]]:
    """The choices of parts, by their places in the stock, that have just these values and bear a sum of ``total``."""
    of_value = []
    for value in sorted(set(chosen)):
        able = [at for at in range(bounds[value], bounds[value + 1]) if stock.floor[at] <= total]
        times = chosen.count(value)
        several = combinations_with_replacement(able, times)
        of_value.append([one for one in several if all(one.count(at) <= stock.copies[at] for at in set(one))])
    for one in product(*of_value):
        yield tuple(at for group in one for at in group)
