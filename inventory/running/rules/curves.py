"""Monotone curves of many chassis at once, as sorted numpy arrays.

A key is ``chassis * SPAN + moment`` (int64), so one sorted array holds every chassis, and a curve is asked for any
number of keys in one step. Values run on from chassis to chassis: only differences within one chassis mean anything.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Vector = NDArray[np.float64]
Whole = NDArray[np.int64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Covered:
    """Seconds covered by at least one of some spans: disjoint pieces from ``starts`` to ``stops``, in order."""

    starts: Whole
    stops: Whole
    before: Whole

    def at(self, keys: Whole) -> Whole:
        """Seconds covered up to each key; exact."""
        if not len(self.starts):
            return np.zeros(len(keys), dtype=np.int64)
        place = np.searchsorted(self.starts, keys, side="right") - 1
        piece = np.maximum(place, 0)
        so_far = self.before[piece] + np.minimum(keys, self.stops[piece]) - self.starts[piece]
        return np.where(place < 0, 0, so_far)

    def inside(self, keys: Whole) -> Flags:
        """Whether each key lies within a piece, not at its ends."""
        if not len(self.starts):
            return np.zeros(len(keys), dtype=np.bool_)
        place = np.searchsorted(self.starts, keys, side="left") - 1
        return (place >= 0) & (keys < self.stops[np.maximum(place, 0)])


def covered(starts: Whole, stops: Whole) -> Covered:
    """The union of spans that are sorted by ``starts``; a time that two of them cover counts once."""
    if not len(starts):
        return Covered(starts, stops, starts)
    reached = np.maximum.accumulate(stops)
    first = starts.copy()
    np.maximum(starts[1:], reached[:-1], out=first[1:])
    lengths = np.maximum(reached - first, 0)
    before = np.cumsum(lengths) - lengths
    return Covered(first, first + lengths, before)


@dataclass(frozen=True, slots=True)
class Spread:
    """Amounts spread evenly over spans: piecewise linear, with ``slopes`` from each of ``keys`` to the next."""

    keys: Whole
    slopes: Vector
    before: Vector

    def at(self, keys: Whole) -> Vector:
        """The amount up to each key."""
        if not len(self.keys):
            return np.zeros(len(keys))
        place = np.searchsorted(self.keys, keys, side="right") - 1
        piece = np.maximum(place, 0)
        so_far = self.before[piece] + self.slopes[piece] * (keys - self.keys[piece])
        return np.where(place < 0, 0.0, so_far)

    def inside(self, keys: Whole) -> Flags:
        """Whether each key cuts a span, so that the amount is shared by time and not by knowledge."""
        if not len(self.keys):
            return np.zeros(len(keys), dtype=np.bool_)
        place = np.searchsorted(self.keys, keys, side="left") - 1
        found = np.minimum(place + 1, len(self.keys) - 1)
        within: Flags = (place >= 0) & (self.slopes[np.maximum(place, 0)] > 0) & (self.keys[found] != keys)
        return within


def spread(starts: Whole, stops: Whole, amounts: Vector) -> Spread:
    """Amounts over spans of more than no length, in any order; spans may lie over one another and then add up."""
    rates = amounts / np.maximum(stops - starts, 1)
    keys = np.concatenate((starts, stops))
    order = np.argsort(keys, kind="stable")
    keys = keys[order]
    slopes = np.cumsum(np.concatenate((rates, -rates))[order])
    spans = np.repeat(np.array([1, -1]), len(starts))
    slopes[np.cumsum(spans[order]) == 0] = 0.0  # no residue of rounding while nothing runs
    before = np.zeros(len(keys))
    np.cumsum(slopes[:-1] * np.diff(keys), out=before[1:])
    return Spread(keys, slopes, before)


@dataclass(frozen=True, slots=True)
class Steps:
    """Counts that come at single moments."""

    keys: Whole
    totals: Whole

    def at(self, keys: Whole) -> Whole:
        """What came before each key; what comes at the key itself belongs to what follows."""
        return self.totals[np.searchsorted(self.keys, keys, side="left")]


def steps(keys: Whole, counts: Whole) -> Steps:
    """Counts at keys that are sorted."""
    totals = np.zeros(len(keys) + 1, dtype=np.int64)
    np.cumsum(counts, out=totals[1:])
    return Steps(keys, totals)
