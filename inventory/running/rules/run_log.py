"""The run log of many chassis as curves: hours at full filament, hours at standby, starts.

A run is from one moment to another, or some hours within a span (a day, as a rule) over which they are spread evenly.
What is wrong is named and never smoothed away:

- two timed runs of a chassis over one another: a filament is on once, so the time counts once; full filament wins
  over standby; and joined runs are one start (of several starts written in them the largest number counts);
- more hours on a day than are left in it: counted as written;
- a run without an end, or one that ends before it began: not counted.
"""

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, time
from decimal import Decimal
from typing import NamedTuple

import numpy as np

from inventory.house.records.moments import DAY, HOUR, SPAN, axis, axis_end, show
from inventory.running.rules.curves import Covered, Flags, Spread, Steps, Vector, Whole, covered, spread, steps

OVERLAP, OVERFULL, NO_END, BACKWARDS = "overlap", "more hours than there were", "no end", "ends before it began"


@dataclass(frozen=True, slots=True)
class RunFact:
    """One run as entered. ``chassis`` is any key. ``hours`` counts where it is given, within the times given."""

    chassis: Hashable
    on: date
    on_at: time | None = None
    off: date | None = None
    off_at: time | None = None
    hours: float | Decimal | None = None
    starts: int = 1
    standby: bool = False


@dataclass(frozen=True, slots=True)
class Fault:
    """Something found in the records of a chassis, from one moment to another, with a sentence that names it."""

    chassis: Hashable
    kind: str
    since: int
    until: int
    text: str


@dataclass(frozen=True, slots=True)
class Runs:
    """Runs as arrays of one length: number of the chassis, span (seconds), seconds run in it, whether timed, starts."""

    chassis: Whole
    start: Whole
    stop: Whole
    seconds: Vector
    timed: Flags
    standby: Flags
    starts: Whole


class _Row(NamedTuple):
    chassis: int
    start: int
    stop: int
    seconds: float
    timed: bool
    standby: bool
    starts: int


def pack_runs(facts: Sequence[RunFact], numbers: Mapping[Hashable, int]) -> tuple[Runs, list[Fault]]:
    """Runs as arrays, with the faults of those that cannot be counted. ``numbers``: chassis key to its number."""
    rows, faults = [], []
    for fact in facts:
        start, stop, seconds, timed = _span(fact)
        kind = NO_END if seconds is None else BACKWARDS if stop < start or seconds < 0 else ""
        if kind or seconds is None:
            text = f"The run of {show(start)} {_WRONG[kind]}: not counted."
            faults.append(Fault(fact.chassis, kind, min(start, stop), max(start, stop), text))
            continue
        rows.append(_Row(numbers[fact.chassis], start, stop, seconds, timed, fact.standby, fact.starts))
    return runs_of_rows(rows), faults


def hours_of(fact: RunFact) -> float | None:
    """Hours of one run, as written or from its times; None where it has no end or ends before it began."""
    start, stop, seconds, _ = _span(fact)
    return None if seconds is None or stop < start or seconds < 0 else seconds / HOUR


_WRONG = {NO_END: "has neither an end nor hours", BACKWARDS: "ends before it began"}


def _span(fact: RunFact) -> tuple[int, int, float | None, bool]:
    """Start, stop, seconds (None: not said) and whether the seconds fill the span."""
    start = axis(fact.on, fact.on_at)
    if fact.hours is not None:
        seconds = float(fact.hours) * HOUR
        if fact.on_at and not fact.off and not fact.off_at:
            return start, start + round(seconds), float(round(seconds)), True
        stop = axis(fact.off or fact.on, fact.off_at) if fact.off_at else axis_end(fact.off or fact.on)
        return start, stop + (stop == start), seconds, False  # an amount needs a span
    if fact.on_at is None or fact.off_at is None:
        return start, axis_end(fact.off or fact.on), None, False
    stop = axis(fact.off or fact.on, fact.off_at)
    if fact.off is None and stop < start:  # off after midnight: no other reading runs less than a day
        stop += DAY
    return start, stop, float(stop - start), True


def runs_of_rows(rows: Sequence[_Row]) -> Runs:
    """Rows of plain values as arrays."""
    columns = list(zip(*rows, strict=True)) if rows else [()] * 7
    kinds: list[type] = [np.int64, np.int64, np.int64, np.float64, np.bool_, np.bool_, np.int64]
    return Runs(*(np.array(column, dtype=kind) for column, kind in zip(columns, kinds, strict=True)))


@dataclass(frozen=True, slots=True)
class LogCurves:
    """Curves of seconds and starts by the log alone. Keys: see ``curves``."""

    timed_full: Covered
    timed_any: Covered
    dated_full: Spread
    dated_standby: Spread
    starts: Steps

    def full(self, keys: Whole) -> Vector:
        return self.timed_full.at(keys) + self.dated_full.at(keys)

    def standby(self, keys: Whole) -> Vector:
        return (self.timed_any.at(keys) - self.timed_full.at(keys)) + self.dated_standby.at(keys)

    def all(self, keys: Whole) -> Vector:
        """Full filament and standby together, as a meter on the filament supply counts."""
        return self.timed_any.at(keys) + self.dated_full.at(keys) + self.dated_standby.at(keys)


def log_curves(runs: Runs) -> tuple[LogCurves, Whole]:
    """The curves, and the order by chassis and start in which the runs were taken."""
    start, stop = runs.chassis * SPAN + runs.start, runs.chassis * SPAN + runs.stop
    order = np.argsort(start, kind="stable")
    timed = order[runs.timed[order]]
    full = timed[~runs.standby[timed]]
    dated = ~runs.timed
    dated_full, dated_standby = (
        spread(start[chosen], stop[chosen], runs.seconds[chosen])
        for chosen in (dated & ~runs.standby, dated & runs.standby)
    )
    curves = LogCurves(
        covered(start[full], stop[full]),
        covered(start[timed], stop[timed]),
        dated_full,
        dated_standby,
        steps(start[order], _joined_starts(runs, start, stop, order)),
    )
    return curves, order


def _joined_starts(runs: Runs, start: Whole, stop: Whole, order: Whole) -> Whole:
    """Starts of each run in order; of timed runs over one another only what a run has more than those before it."""
    counts = runs.starts[order].copy()
    timed = runs.timed[order]
    if not timed.any():
        return counts
    begin, end, written = start[order][timed], stop[order][timed], counts[timed]
    apart = np.ones(len(begin), dtype=np.bool_)
    apart[1:] = (begin[1:] >= np.maximum.accumulate(end)[:-1]) & (begin[1:] != begin[:-1])
    level = np.cumsum(apart) * (int(written.max()) + 1)  # lifts each group above all before it
    most = np.maximum.accumulate(written + level) - level
    before = np.concatenate((np.zeros(1, dtype=np.int64), most[:-1]))
    counts[timed] = most - np.where(apart, 0, before)
    return counts


def log_faults(runs: Runs, curves: LogCurves, order: Whole, key_of: Callable[[int], Hashable]) -> list[Fault]:
    """Runs over one another, and days with more hours than they have."""
    return [*_overlaps(runs, order[runs.timed[order]], key_of), *_overfull(runs, curves, key_of)]


def _overlaps(runs: Runs, timed: Whole, key_of: Callable[[int], Hashable]) -> list[Fault]:
    """Each timed run that begins before an earlier one has ended, with the one that lasts longest of those."""
    if not len(timed):
        return []
    start, stop = (runs.chassis * SPAN + runs.start)[timed], (runs.chassis * SPAN + runs.stop)[timed]
    reached = np.maximum.accumulate(stop)
    holder = np.maximum.accumulate(np.where(stop == reached, np.arange(len(stop)), 0))
    late = np.flatnonzero((start[1:] < reached[:-1]) & (stop[1:] > start[1:])) + 1
    faults = []
    for place in late.tolist():
        run, other = int(timed[place]), int(timed[holder[place - 1]])
        since, until = int(runs.start[run]), int(min(runs.stop[run], runs.stop[other]))
        text = (
            f"Two runs lie over one another from {show(since)} to {show(until)} (on at {show(int(runs.start[other]))} "
            f"and at {show(since)}): that time counts once{_wins(bool(runs.standby[run] != runs.standby[other]))}, "
            f"and {_one_start(int(runs.starts[run]), int(runs.starts[other]))}."
        )
        faults.append(Fault(key_of(int(runs.chassis[run])), OVERLAP, since, until, text))
    return faults


def _wins(mixed: bool) -> str:
    return ", as full filament" if mixed else ""


def _one_start(mine: int, other: int) -> str:
    many = max(mine, other) > 1
    return "of their starts the larger number counts" if many else "joined runs are one start"


def _overfull(runs: Runs, curves: LogCurves, key_of: Callable[[int], Hashable]) -> list[Fault]:
    """Each run of so many hours in whose span more hours are written than it has."""
    dated = np.flatnonzero(~runs.timed)
    start, stop = (runs.chassis * SPAN + runs.start)[dated], (runs.chassis * SPAN + runs.stop)[dated]
    total = np.maximum(curves.all(stop) - curves.all(start), runs.seconds[dated])
    faults = []
    for place in np.flatnonzero(total > (stop - start) + 1).tolist():
        run = int(dated[place])
        since, until = int(runs.start[run]), int(runs.stop[run])
        text = (
            f"From {show(since)} to {show(until)} the log has {total[place] / HOUR:.2f} h, more than the "
            f"{(until - since) / HOUR:g} h there were: counted as written."
        )
        faults.append(Fault(key_of(int(runs.chassis[run])), OVERFULL, since, until, text))
    return faults
