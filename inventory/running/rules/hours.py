"""Filament hours: the running time of every chassis as a curve, and every tube's account from its fittings.

A tube's hours are its hours at acquisition (known, estimated or unknown, and kept as such) and the differences of its
chassis' curves over its fittings, and corrections with a reason. Full filament counts as hours; standby is told apart.
A fitting without a time of day counts at the start of its day, so hours of that day go to the tube put in; where there
were any, that is said and the hours are no longer called known. What the log and the meters say at once: see
``meter_chain``.
"""

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, time
from itertools import pairwise

import numpy as np

from inventory.house.records.moments import DAY, HOUR, SPAN, axis, day_of, show
from inventory.running.rules.curves import Flags, Spread, Vector, Whole, spread
from inventory.running.rules.meter_chain import Excess, MeterAccount, MeterFact, read_chains
from inventory.running.rules.run_log import Fault, LogCurves, RunFact, Runs, log_curves, log_faults, pack_runs
from inventory.running.rules.words import ESTIMATED, KNOWN, UNKNOWN


@dataclass(frozen=True, slots=True)
class Amounts:
    """Hours and starts of some spans, one element each. ``full``: by the log; ``unlogged``: on a meter, in no run."""

    full: Vector
    standby: Vector
    unlogged: Vector
    starts: Vector

    @property
    def hours(self) -> Vector:
        """Filament hours that count."""
        return self.full + self.unlogged


@dataclass(frozen=True, slots=True)
class RunningTimes:
    """The running time of many chassis. ``numbers``: chassis key to its number in the curves."""

    numbers: Mapping[Hashable, int]
    log: LogCurves
    unlogged: Spread
    unlogged_starts: Spread
    accounts: tuple[MeterAccount, ...]
    faults: tuple[Fault, ...]

    def keys(self, chassis: Sequence[Hashable], moments: Sequence[int]) -> Whole:
        """Keys of the curves; a chassis without records has a number below all others, where nothing runs."""
        numbers = np.array([self.numbers.get(one, -1) for one in chassis], dtype=np.int64)
        return numbers * SPAN + np.array(moments, dtype=np.int64)

    def between(self, since: Whole, until: Whole) -> Amounts:
        """What ran between pairs of keys; nothing where a span ends before it begins."""
        until = np.maximum(since, until)
        both = np.concatenate((since, until))
        curves = (self.log.full, self.log.standby, self.unlogged.at)
        values = [(curve(both) / HOUR).reshape(2, -1) for curve in curves]
        starts = (self.log.starts.at(both) + self.unlogged_starts.at(both)).reshape(2, -1)
        return Amounts(*(value[1] - value[0] for value in (*values, starts)))

    def cut(self, keys: Whole) -> tuple[Flags, Flags]:
        """Whether a moment lies within a timed run; whether it shares out hours of which only the sum is known."""
        shared = self.log.dated_full.inside(keys) | self.log.dated_standby.inside(keys) | self.unlogged.inside(keys)
        return self.log.timed_any.inside(keys), shared


def running_times(runs: Sequence[RunFact], meters: Sequence[MeterFact] = (), *, difference_pct: float) -> RunningTimes:
    """Curves of all chassis named in runs and meters. ``difference_pct``: from there log and meter are told apart."""
    logged = dict.fromkeys(run.chassis for run in runs)
    numbers = {key: n for n, key in enumerate(dict.fromkeys([*logged, *(meter.chassis for meter in meters)]))}
    packed, faults = pack_runs(runs, numbers)
    return _assembled(packed, numbers, meters, set(logged), difference_pct, faults)


def running_times_of_arrays(runs: Runs) -> RunningTimes:
    """The same from arrays, without meters; a chassis' key is its number."""
    count = int(runs.chassis.max(initial=-1)) + 1
    return _assembled(runs, {n: n for n in range(count)}, (), set(), 0.0, [])


def _assembled(
    runs: Runs, numbers: Mapping[Hashable, int], meters: Sequence[MeterFact], logged: set[Hashable], pct: float,
    faults: list[Fault],
) -> RunningTimes:  # fmt: skip
    log, order = log_curves(runs)
    names = list(numbers)
    faults = faults + log_faults(runs, log, order, names.__getitem__)

    def log_at(chassis: Sequence[Hashable], moments: Sequence[int]) -> tuple[Vector, Whole]:
        keys = np.array([numbers[one] for one in chassis], dtype=np.int64) * SPAN + np.array(moments, dtype=np.int64)
        return log.all(keys), log.starts.at(keys)

    chains = read_chains(meters, log_at, logged, pct)
    seconds, starts = (_curve(excess, numbers) for excess in (chains.seconds, chains.starts))
    return RunningTimes(numbers, log, seconds, starts, tuple(chains.accounts), tuple(faults + chains.faults))


def _curve(excess: Sequence[Excess], numbers: Mapping[Hashable, int]) -> Spread:
    base = np.array([numbers[one.chassis] for one in excess], dtype=np.int64) * SPAN
    since, until = (np.array([getattr(one, end) for one in excess], dtype=np.int64) for end in ("since", "until"))
    return spread(base + since, base + until, np.array([one.amount for one in excess], dtype=np.float64))


# --- tubes ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class FittingFact:
    """A tube in a position of a chassis; no end: it is still there."""

    chassis: Hashable
    position: str
    since: date
    since_at: time | None = None
    until: date | None = None
    until_at: time | None = None


@dataclass(frozen=True, slots=True)
class CorrectionFact:
    """Hours and starts to add to a tube's account, or to take off."""

    day: date
    hours: float
    starts: int
    reason: str


@dataclass(frozen=True, slots=True)
class TubeFact:
    """A tube: what it had run before it came (``standing``), its fittings, its corrections."""

    tube: Hashable
    standing: str = UNKNOWN
    hours: float | None = None
    starts: int | None = None
    fittings: tuple[FittingFact, ...] = ()
    corrections: tuple[CorrectionFact, ...] = ()


@dataclass(frozen=True, slots=True)
class FittingHours:
    """What a tube ran in one fitting up to the day asked for. Starts are rounded to whole ones.

    ``unsure``: some of the hours may be another tube's, or the other way round.
    """

    fitting: FittingFact
    hours: float
    standby: float
    unlogged: float
    starts: int
    remarks: tuple[str, ...]
    unsure: bool = False


@dataclass(frozen=True, slots=True)
class TubeHours:
    """A tube's account. ``standing``: of its hours at acquisition; unknown: ``hours`` counts from then on.

    ``known``: the same of all its hours: where those of a fitting are unsure, they are estimated at best.
    """

    tube: Hashable
    hours: float
    standby: float
    starts: int
    known: str
    fittings: tuple[FittingHours, ...]
    remarks: tuple[str, ...]
    standing: str = UNKNOWN


def tube_hours(tubes: Sequence[TubeFact], times: RunningTimes, at: int) -> list[TubeHours]:
    """The accounts of some tubes up to the moment ``at`` (see ``moments``)."""
    begun = [[f for f in tube.fittings if axis(f.since, f.since_at) < at] for tube in tubes]
    flat = [fitting for fittings in begun for fitting in fittings]
    since, until = [axis(f.since, f.since_at) for f in flat], [_end(f, at) for f in flat]
    chassis = [f.chassis for f in flat]
    first, last = times.keys(chassis, since), times.keys(chassis, until)
    amounts = times.between(first, last)
    cuts = np.column_stack([a | b for a, b in zip(times.cut(first), times.cut(last), strict=True)]).tolist()
    days = _hours_of_untimed_days(flat, until, times, at)
    faults: dict[Hashable, list[Fault]] = {}
    for fault in times.faults:
        faults.setdefault(fault.chassis, []).append(fault)
    spans = (amounts.hours, amounts.standby, amounts.unlogged)
    counted, standby, unlogged = (np.round(one, 6).tolist() for one in spans)
    hours = [
        FittingHours(
            fitting, counted[n], standby[n], unlogged[n], round(float(amounts.starts[n])),
            (
                *_fitting_remarks(fitting, since[n], until[n], times, faults.get(fitting.chassis, []), *cuts[n]),
                *_untimed_remarks(fitting, *days[n]),
            ),
            cuts[n][1] or any(days[n]),
        )
        for n, fitting in enumerate(flat)
    ]  # fmt: skip
    answers, place = [], 0
    for tube, fittings in zip(tubes, begun, strict=True):
        answers.append(_account(tube, tuple(hours[place : place + len(fittings)]), at))
        place += len(fittings)
    return answers


def hours_on_days(tube: TubeFact, times: RunningTimes, days: Sequence[date]) -> list[float]:
    """A tube's filament hours at the start of each day, to set its tests against. ``tube_hours`` tells the doubts."""
    moments = np.array([axis(day) for day in days], dtype=np.int64)
    total = np.full(len(days), _earlier(tube))
    for fitting in tube.fittings:
        since = axis(fitting.since, fitting.since_at)
        until = np.minimum(moments, _end(fitting, int(moments.max(initial=0))))
        number = times.numbers.get(fitting.chassis, -1)
        first = np.full(len(days), number * SPAN + since, dtype=np.int64)
        total += times.between(first, np.maximum(number * SPAN + until, first)).hours
    for correction in tube.corrections:
        total += np.where(moments >= axis(correction.day), correction.hours, 0.0)
    return [round(float(one), 6) for one in total]


def _earlier(tube: TubeFact) -> float:
    return float(tube.hours or 0.0) if tube.standing != UNKNOWN else 0.0


def _end(fitting: FittingFact, at: int) -> int:
    return min(at, axis(fitting.until, fitting.until_at)) if fitting.until else at


def _fitting_remarks(
    fitting: FittingFact, since: int, until: int, times: RunningTimes, faults: Sequence[Fault], on: bool, shared: bool
) -> tuple[str, ...]:
    if until < since:
        if fitting.until == fitting.since and fitting.until_at is None:
            return (f"Put in on {show(since)} and taken out that day without a time: not counted.",)
        return (f"Taken out ({show(until)}) before it was put in ({show(since)}): not counted.",)
    if until == since:
        if fitting.since_at is not None and fitting.until_at is not None:
            return (f"Put in and taken out in one minute, {show(since)}: nothing ran in it.",)
        return (f"In and out on {show(since)} without times: hours of that day are not counted.",)
    told = []
    if fitting.chassis not in times.numbers:
        last = show(until) if fitting.until else str(day_of(until - 1))  # still in: up to the end of that day
        told.append(f"From {show(since)} to {last} the set has no run and no meter reading on record.")
    if on:
        told.append("Put in or taken out while the log has the set running.")
    if shared:
        told.append("Put in or taken out within a time of which only the sum of hours is known: shared evenly by time.")
    return (
        *told,
        *(fault.text for fault in faults if fault.since < until and max(fault.until, fault.since + 1) > since),
    )


def _hours_of_untimed_days(
    fittings: Sequence[FittingFact], until: Sequence[int], times: RunningTimes, at: int
) -> list[tuple[float, float]]:
    """What the log has on the day a tube was put in, and on that it was taken out; 0 where there is a time of day.

    ``until``: when each fitting ended; of the first day only hours that the fitting got are told, if it got any.
    """
    first, last, ends = [], [], []
    for fitting, end in zip(fittings, until, strict=True):
        begun = axis(fitting.since)
        first.append(begun if fitting.since_at is None else at)
        ends.append(end if end > begun else at)
        gone = axis(fitting.until) if fitting.until and fitting.until_at is None else at
        last.append(min(gone, at))
    chassis = [fitting.chassis for fitting in fittings]
    days = (_day_of_log(chassis, first, ends, times), _day_of_log(chassis, last, [at] * len(last), times))
    return list(zip(*days, strict=True))


def _day_of_log(
    chassis: Sequence[Hashable], since: Sequence[int], ends: Sequence[int], times: RunningTimes
) -> list[float]:
    """Hours that the log has of each chassis in the day from a moment on, up to an end."""
    stops = [min(one + DAY, end) for one, end in zip(since, ends, strict=True)]
    ran = times.between(times.keys(chassis, since), times.keys(chassis, stops))
    hours: list[float] = np.round(ran.full + ran.standby, 6).tolist()
    return hours


def _untimed_remarks(fitting: FittingFact, first: float, last: float) -> list[str]:
    if fitting.since == fitting.until and first and last:
        return []  # told already: those hours are not counted
    told = []
    if first:
        told.append(f"Fitted on {fitting.since} without a time: the {first:.1f} h of that day went to this tube.")
    if last:
        told.append(
            f"Taken out on {fitting.until} without a time: the {last:.1f} h of that day went to the tube put in after "
            "it, if any, not to this one."
        )
    return told


def _account(tube: TubeFact, fittings: tuple[FittingHours, ...], at: int) -> TubeHours:
    corrections = [one for one in tube.corrections if axis(one.day) < at]
    hours = round(_earlier(tube) + sum(f.hours for f in fittings) + sum(c.hours for c in corrections), 6)
    starts = (tube.starts or 0) + sum(f.starts for f in fittings) + sum(c.starts for c in corrections)
    standby = sum(f.standby for f in fittings)
    told = []
    if tube.standing == UNKNOWN:
        told.append("Hours before it came are not known: counted from then on.")
    elif tube.hours is None:
        told.append(f"Hours before it came are called {tube.standing}, but no figure is given: counted from then on.")
    elif tube.standing == ESTIMATED:
        told.append(f"{tube.hours:g} h before it came are estimated.")
    told += [f"{c.day}: {c.hours:+g} h{_starts(c.starts)}: {c.reason}" for c in corrections]
    if standby:
        told.append(f"{standby:.1f} h at standby with reduced filament are not counted in.")
    if hours < 0 or starts < 0:
        told.append("The account is below nought: a correction takes off more than there was.")
    told += _at_once(fittings, at)
    told += [text for f in fittings for text in f.remarks]
    standing = tube.standing if tube.standing in (KNOWN, ESTIMATED) and tube.hours is not None else UNKNOWN
    known = ESTIMATED if standing == KNOWN and any(f.unsure for f in fittings) else standing
    return TubeHours(tube.tube, hours, standby, starts, known, fittings, tuple(dict.fromkeys(told)), standing)


def _starts(more: int) -> str:
    return f", {more:+d} start{'s' * (abs(more) != 1)}" if more else ""


def _at_once(fittings: Sequence[FittingHours], at: int) -> list[str]:
    """A tube that is in two places at once."""
    spans = sorted(
        ((axis(f.fitting.since, f.fitting.since_at), _end(f.fitting, at), f.fitting.position) for f in fittings),
        key=lambda span: span[:2],
    )
    told = []
    for (_, until, position), (since, other_until, other) in pairwise(spans):
        if since < min(until, other_until):
            told.append(
                f"In two places at once from {show(since)} to {show(min(until, other_until))} "
                f"({position} and {other}): both are counted."
            )
    return told
