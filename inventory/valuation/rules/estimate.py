"""What tubes are worth on evidence that was taken once (``fitting``): amounts, and how far a single sale strays.

A sale of a type with ``FEWEST`` or more comparables lies between ``low`` and ``high`` eight times in ten: order
statistics (a tenth from either end) of how far sales lie from what the others say of them, in units of the scatter of
their type, and wider by the error of the level itself. Of fewer comparables ``low`` and ``high`` are their range.
Everything is worked out of the evidence, nothing is drawn by lot.

A working tube has an amount where a working one of its type was sold; a weak one, or a dud, where such a one was, or
where a step down is shown and working ones were sold. Else there is none, only what it fetches at most, as better ones
do, or at least, as worse ones do. A worse grade is never dearer: not its amount, and neither end.
"""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from inventory.valuation.rules.evidence import NOT_SAID, Flags, Small, Vector, Whole
from inventory.valuation.rules.fitting import Fit
from inventory.valuation.rules.grade_order import DUD, WEAK, WORKING
from inventory.valuation.rules.market import Market
from inventory.valuation.rules.scatter import FEWEST, TENTH, student

_SAME = 1e-9  # of logarithms


@dataclass(frozen=True, slots=True, eq=False)
class Values:
    """Of every tube asked for; nan without evidence.

    ``low`` to ``high``: 80 % of sales where ``interval``, else the range. ``level_low`` to ``level_high``: 80 % for the
    amount itself, what such tubes fetch in the middle.

    ``refused``: there are sales, none of which tells what such tubes fetch: ``amount`` is nan, ``high`` is what a
    better one fetches (``bounded``; ``bound``: the place of its grade) and ``low`` what a worse one does (``floor``:
    the place of its grade, ``NOT_SAID`` without such); ``comparables`` are the sales that the first is read off, or
    the other. ``uncut``: the amount that it would be, were it not held down to that of a better grade, or an end to its
    end (``cut``: the place of that grade); nan where nothing is held down.
    """

    amount: Vector
    low: Vector
    high: Vector
    comparables: Whole
    interval: Flags
    level_low: Vector
    level_high: Vector
    refused: Flags
    bounded: Flags
    bound: Small
    floor: Small
    cut: Small
    uncut: Vector

    @classmethod
    def nothing(cls, many: int) -> "Values":
        """Of so many, without evidence."""
        nan, no, said = np.full(many, np.nan), np.zeros(many, dtype=np.bool_), np.full(many, NOT_SAID, dtype=np.int8)
        figures = ("amount", "low", "high", "level_low", "level_high", "uncut")
        made: dict[str, Any] = {name: nan.copy() for name in figures}
        made |= {name: no.copy() for name in ("interval", "refused", "bounded")}
        made |= {name: said.copy() for name in ("bound", "floor", "cut")}
        return cls(comparables=np.zeros(many, dtype=np.int64), **made)


@dataclass(frozen=True, slots=True, eq=False)
class _Figures:
    """Of tubes of one market. ``ends``: logarithms of the amount, of low and high, and of the amount itself low and
    high. ``own``: sales of such tubes, ``count``: all that it rests on. ``cut``, ``uncut``: as of ``Values``."""

    ends: tuple[Vector, ...]
    own: Whole
    count: Whole
    cut: Small
    uncut: Vector

    @property
    def there(self) -> Flags:
        return self.count > 0

    @property
    def amount(self) -> Vector:
        return self.ends[0]


def values(fit: Fit, types: Whole, grade: Small, venue: Small, mark: Small, day: Whole | int) -> Values:
    """What tubes of these types, grades, venues and marks fetch on these days; words by their places."""
    found, days = Values.nothing(len(types)), np.broadcast_to(np.asarray(day, dtype=np.int64), np.shape(types))
    if fit.factors is None:
        return found
    for asked, of in ((grade < WORKING, _of_working), (grade == WEAK, _of_lower), (grade == DUD, _of_lower)):
        if len(here := np.flatnonzero(asked)):
            of(fit, found, _Asked(here, types[here], grade[here], venue[here], mark[here], days[here]))
    return found


@dataclass(frozen=True, slots=True, eq=False)
class _Asked:
    """Tubes in those places of all that are asked for."""

    at: Whole
    types: Whole
    grade: Small
    venue: Small
    mark: Small
    day: Whole

    def only(self, some: Flags) -> "_Asked":
        return _Asked(*(getattr(self, name)[some] for name in self.__dataclass_fields__))


def _of_working(fit: Fit, found: Values, asked: _Asked) -> None:
    """Of working tubes."""
    assert fit.factors is not None
    order, own = fit.factors.order, _working(fit, asked, asked.grade)
    silent = own.there & (asked.grade >= 0) & order.silent[asked.grade]
    _told(found, asked.at, own, own.there & ~silent)
    if silent.any():
        some = asked.only(silent)
        bound = order.bound[some.grade]
        _bound(found, some.at, bound, _working(fit, some, bound))
    if not own.there.all():
        some = asked.only(~own.there)
        for place in (WEAK, DUD):
            _floor(found, some.at, place, _lower(fit, place, some))


def _of_lower(fit: Fit, found: Values, asked: _Asked) -> None:
    """Of weak tubes, or of duds."""
    assert fit.factors is not None
    place = int(asked.grade[0])
    own = _lower(fit, place, asked)
    _told(found, asked.at, own, own.there)
    if own.there.all():
        return
    some = asked.only(~own.there)
    cheapest = np.full(len(some.at), fit.factors.order.cheapest, dtype=np.int8)
    _bound(found, some.at, cheapest, _working(fit, some, cheapest))
    if place == DUD:
        _bound(found, some.at, np.full(len(some.at), WEAK, dtype=np.int8), _lower(fit, WEAK, some))
    else:
        _floor(found, some.at, DUD, _lower(fit, DUD, some))


def _told(found: Values, here: Whole, own: _Figures, there: Flags) -> None:
    """Those figures, where they are told."""
    here = here[there]
    for told, end in zip(
        (found.amount, found.low, found.high, found.level_low, found.level_high), own.ends, strict=True
    ):
        told[here] = np.exp(end[there])
    found.comparables[here], found.interval[here] = own.count[there], own.count[there] >= FEWEST
    found.cut[here], found.uncut[here] = own.cut[there], np.exp(own.uncut[there])


def _bound(found: Values, here: Whole, grade: Small, better: _Figures) -> None:
    """What tubes in those places fetch at most, where better ones of that grade were sold."""
    read = better.own > 0
    here = here[read]
    found.refused[here] = found.bounded[here] = True
    found.bound[here], found.high[here] = grade[read], np.exp(better.amount[read])
    found.comparables[here] = better.own[read]


def _floor(found: Values, here: Whole, place: int, worse: _Figures) -> None:
    """What tubes in those places fetch at least, where worse ones of that grade were sold."""
    read = (worse.own > 0) & (found.floor[here] == NOT_SAID)
    here = here[read]
    found.refused[here], found.floor[here], found.low[here] = True, place, np.exp(worse.amount[read])
    found.comparables[here] = np.where(found.bounded[here], found.comparables[here], worse.own[read])


def _working(fit: Fit, asked: _Asked, grade: Small) -> _Figures:
    assert fit.factors is not None
    return _figures(fit.working, asked.types, fit.factors.step(grade, asked.venue, asked.mark, asked.day))


def _lower(fit: Fit, place: int, asked: _Asked) -> _Figures:
    """Figures of weak tubes or duds, held down to those of better grades."""
    assert fit.factors is not None
    many, cheapest = len(asked.at), fit.factors.order.cheapest
    good = found = _working(fit, asked, np.full(many, cheapest, dtype=np.int8))
    for lower in (WEAK, DUD)[: 1 + (place == DUD)]:
        better, by = found, cheapest if lower == WEAK else WEAK
        step = fit.factors.step(np.full(many, lower, dtype=np.int8), asked.venue, asked.mark, asked.day)
        found = _held_down(_figures(fit.market(lower), asked.types, step), better, by)
    return _held_down(found, good, cheapest) if place == DUD else found  # where no weak one is told


def _held_down(own: _Figures, better: _Figures, by: int) -> _Figures:
    both = own.there & better.there
    cut = both & np.any([one > other + _SAME for one, other in zip(own.ends, better.ends, strict=True)], axis=0)
    ends = tuple(np.where(cut, np.minimum(*pair), pair[0]) for pair in zip(own.ends, better.ends, strict=True))
    uncut = np.where(cut & np.isnan(own.uncut), own.amount, own.uncut)
    return replace(own, ends=ends, cut=np.where(cut, by, own.cut).astype(np.int8), uncut=uncut)


def _figures(market: Market, types: Whole, step: Vector) -> _Figures:
    """Of tubes of these types; ``step``: how far, as a logarithm, they lie from the words that others stand against."""
    count = market.count[types]
    there, interval = count > 0, count >= FEWEST
    middle = np.where(there, market.pooled.level[types] + step, 0.0)
    variance = np.where(there, market.pooled.variance[types], 0.0)
    unsure = student(market.prior + np.maximum(count - 1, 0))
    far = np.sqrt(market.scatter[types] ** 2 + variance) * unsure
    low = np.where(interval, middle - market.reach[0] * far, np.minimum(market.least[types] + step, middle))
    high = np.where(interval, middle + market.reach[1] * far, np.maximum(market.most[types] + step, middle))
    error = TENTH * np.sqrt(variance) * unsure
    said, uncut = np.full(len(types), NOT_SAID, dtype=np.int8), np.full(len(types), np.nan)
    return _Figures((middle, low, high, middle - error, middle + error), market.own[types], count, said, uncut)
