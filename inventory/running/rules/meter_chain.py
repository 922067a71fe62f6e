"""Meter readings of a chassis beside its log: hours by the meter, hours on the meter and in no run, what is wrong.

What counts where log and meter both cover a time: **the larger of the two between two readings.** Both lose hours (a
run not written down; a meter that sticks or wears out, as a broadcaster's that stood at 113 051 h against 118 289 h by
the log), neither invents any; and too many hours on a tube harm nobody. So the log gives the moments, and hours that
only the meter has are spread evenly between its readings. Log and meter are told apart in every answer. (Our decision,
no source.)

- Readings closer to the log than one step of the last wheel agree with it.
- A reading without a time of day counts at the start of its day, as a fitting does; beside the log, at that moment of
  its day at which the two agree best.
- More hours than passed between two readings are impossible: one of the two is wrong, and that meter says nothing for
  the time between. A reading below the one before is a roll-over where there was time for it.
- Where there was time for another full turn, that is named, and the fewest turns count.
"""

from collections.abc import Callable, Collection, Hashable, Sequence
from dataclasses import dataclass
from datetime import date, time
from decimal import Decimal
from itertools import pairwise
from math import ceil

from inventory.house.records.moments import HOUR, axis, axis_end, show
from inventory.running.rules.curves import Vector, Whole
from inventory.running.rules.meters import MeterRefused, capacity, difference_of_wheels, log_against_meter, read_wheels
from inventory.running.rules.run_log import Fault

BAD_READING, BACKWARD, IMPOSSIBLE, TURNS, UNLOGGED, APART, GAP, TWO_METERS, COUNTER = (
    "reading not understood", "reading runs backwards", "more hours than passed", "perhaps another turn",
    "on the meter, in no run", "log and meter apart", "no meter", "two meters at once", "start counter runs backwards",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class ReadingFact:
    """What a meter showed, as written; ``starts``: its start counter, where it has one."""

    day: date
    wheels: str
    at: time | None = None
    starts: int | None = None


@dataclass(frozen=True, slots=True)
class MeterFact:
    """One meter in one chassis, its wheels and its readings in the order of entry. A changed meter is another one."""

    chassis: Hashable
    digits: int
    decimals: int
    readings: tuple[ReadingFact, ...]
    name: str = "the meter"


@dataclass(frozen=True, slots=True)
class MeterAccount:
    """Hours of one meter between its first and last reading beside the log of the same time (standby included).

    ``short_h``, ``percent``: how far they are apart, see ``log_against_meter``; ``flagged``: above the limit.
    """

    chassis: Hashable
    name: str
    since: int
    until: int
    meter_h: float
    log_h: float
    short_h: float
    percent: float
    flagged: bool


@dataclass(frozen=True, slots=True)
class Excess:
    """Something that only the meter has, between two readings: seconds, or starts."""

    chassis: Hashable
    since: int
    until: int
    amount: float


@dataclass(slots=True)
class Chains:
    """What the meters of all chassis say."""

    seconds: list[Excess]
    starts: list[Excess]
    accounts: list[MeterAccount]
    faults: list[Fault]


@dataclass(frozen=True, slots=True)
class _Read:
    """A reading understood: earliest and latest moment, hours, starts."""

    first: int
    last: int
    hours: Decimal
    starts: int | None


@dataclass(frozen=True, slots=True)
class _Link:
    """From one reading to the next: seconds by the meter (None: it says nothing), starts by its counter."""

    since: int
    until: int
    seconds: float | None
    starts: float | None


LogAt = Callable[[Sequence[Hashable], Sequence[int]], tuple[Vector, Whole]]


def read_chains(meters: Sequence[MeterFact], log_at: LogAt, logged: Collection[Hashable], pct: float) -> Chains:
    """Every meter beside the log.

    ``log_at(chassis, moments)``: seconds and starts by the log up to each moment, for two lists of one length.
    ``logged``: the chassis that have a log. ``pct``: difference from which log and meter are told apart.
    """
    chains = Chains([], [], [], [])
    read = [(meter, _understood(meter, chains.faults)) for meter in meters]
    read = [(meter, readings) for meter, readings in read if readings]
    asked = [(meter.chassis, at) for meter, readings in read for one in readings for at in (one.first, one.last)]
    seconds, counts = log_at([chassis for chassis, _ in asked], [at for _, at in asked])
    ends: dict[Hashable, list[tuple[int, int]]] = {}
    place = 0
    for meter, readings in read:
        ends.setdefault(meter.chassis, []).append((readings[0].first, readings[-1].first))
        links = [_link(meter, a, b, pct, chains.faults) for a, b in pairwise(readings)]
        mine = slice(place, place := place + 2 * len(readings))
        _compare(
            meter, links, _best(seconds[mine], [one.seconds for one in links]), meter.chassis in logged, pct, chains
        )
        for link, count in zip(links, _best(counts[mine], [one.starts for one in links]), strict=True):
            if link.starts is not None and link.starts > count:
                chains.starts.append(_excess(meter.chassis, link, link.starts - count, needs=1))
    chains.faults += _gaps(ends)
    return chains


def _understood(meter: MeterFact, faults: list[Fault]) -> list[_Read]:
    """Readings in order of time, each no later than the next."""
    found: list[_Read] = []
    for fact in sorted(meter.readings, key=lambda one: axis(one.day, one.at)):
        first = axis(fact.day, fact.at)
        try:
            hours = read_wheels(fact.wheels, meter.digits, meter.decimals).hours
        except MeterRefused as refusal:
            faults.append(
                Fault(meter.chassis, BAD_READING, first, first, f"Of {show(first)}, {meter.name}: {refusal}.")
            )
            continue
        found.append(_Read(first, first if fact.at else axis_end(fact.day), hours, fact.starts))
    for place in range(len(found) - 2, -1, -1):
        one = found[place]
        found[place] = _Read(one.first, min(one.last, found[place + 1].last), one.hours, one.starts)
    return found


def _link(meter: MeterFact, old: _Read, new: _Read, pct: float, faults: list[Fault]) -> _Link:
    """The difference of two readings, if it can be: a meter may run fast by ``pct``."""
    end, step = capacity(meter.digits, meter.decimals), Decimal(1).scaleb(-meter.decimals)
    delta, passed = difference_of_wheels(old.hours, new.hours, end), Decimal(new.last - old.first) / HOUR
    span = f"From {show(old.first)} to {show(new.first)}, {meter.name}"
    seconds: float | None = float(delta.hours * HOUR)
    if delta.hours > passed * (1 + Decimal(pct) / 100) + step:
        kind, words = IMPOSSIBLE, f"{delta.hours:f} h in {passed:.1f} h"
        if delta.rolled_over:
            kind, words = BACKWARD, f"{old.hours:f} h, then {new.hours:f} h, and no time for a full turn"
        text = f"{span}: {words}. One of the two readings is wrong; the meter does not count for this time."
        faults.append(Fault(meter.chassis, kind, old.first, new.first, text))
        seconds = None
    elif delta.hours + end <= passed:
        more = int((passed - delta.hours) // end)
        text = (
            f"{span}: {delta.hours:f} h, or up to {more} full turn{'s' * (more > 1)} of {end} h more. The least counts."
        )
        faults.append(Fault(meter.chassis, TURNS, old.first, new.first, text))
    return _Link(old.first, new.first, seconds, _counted(meter, span, old, new, faults))


def _counted(meter: MeterFact, span: str, old: _Read, new: _Read, faults: list[Fault]) -> float | None:
    if old.starts is None or new.starts is None:
        return None
    if new.starts < old.starts:
        text = f"{span}: start counter {old.starts}, then {new.starts}. The counter does not count for this time."
        faults.append(Fault(meter.chassis, COUNTER, old.first, new.first, text))
        return None
    return float(new.starts - old.starts)


def _best(bounds: Vector | Whole, deltas: Sequence[float | None]) -> list[float]:
    """What the log has in each link when every reading lies where, within its day, log and meter agree best.

    ``bounds``: the log at the earliest and the latest moment of each reading, in turn. Going through the readings in
    order and moving as little as each day allows is the least total disagreement.
    """
    flat = [float(one) for one in bounds]
    place, logged = flat[0], []
    for low, high, delta in zip(flat[2::2], flat[3::2], deltas, strict=True):
        after = low if delta is None else min(max(place + delta, low), high)
        logged.append(max(after - place, 0.0))
        place = after
    return logged


def _excess(chassis: Hashable, link: _Link, amount: float, needs: int) -> Excess:
    """Spread over the link, or over the seconds that it needs where the link is shorter."""
    return Excess(chassis, link.since, max(link.until, link.since + needs), amount)


def _compare(
    meter: MeterFact, links: Sequence[_Link], logged: Sequence[float], has_log: bool, pct: float, chains: Chains
) -> None:
    """Excess of the meter over the log, link by link, and the two totals side by side."""
    step, meter_s, log_s = float(HOUR / 10**meter.decimals), 0.0, 0.0
    for link, log in zip(links, logged, strict=True):
        if link.seconds is None:
            continue
        meter_s, log_s = meter_s + link.seconds, log_s + log
        over = link.seconds - log
        if over <= step:
            continue
        chains.seconds.append(_excess(meter.chassis, link, over, needs=ceil(over)))
        if has_log and log_against_meter(log, link.seconds, pct).flagged:
            text = (
                f"From {show(link.since)} to {show(link.until)} {over / HOUR:.{meter.decimals}f} h are on {meter.name} "
                "and in no run: spread evenly over that time."
            )
            chains.faults.append(Fault(meter.chassis, UNLOGGED, link.since, link.until, text))
    if not links:
        return
    since, until = links[0].since, links[-1].until
    apart = log_against_meter(log_s / HOUR, meter_s / HOUR, pct)
    account = MeterAccount(
        meter.chassis,
        meter.name,
        since,
        until,
        meter_s / HOUR,
        log_s / HOUR,
        apart.short_h,
        apart.percent,
        has_log and apart.flagged,
    )
    chains.accounts.append(account)
    if account.flagged:
        chains.faults.append(Fault(meter.chassis, APART, since, until, apart_text(account)))


def apart_text(account: MeterAccount) -> str:
    """Log and meter side by side, for people."""
    why = "the meter lags or stood still" if account.short_h > 0 else "runs were not written down"
    return (
        f"From {show(account.since)} to {show(account.until)}: {account.log_h:.1f} h by the log, "
        f"{account.meter_h:.1f} h by {account.name}, {abs(account.short_h):.1f} h or {account.percent:.1f} % apart "
        f"({why}, as it seems)."
    )


def _gaps(ends: dict[Hashable, list[tuple[int, int]]]) -> list[Fault]:
    """Times between one meter and the next in which only the log counts, or in which two were read at once."""
    faults = []
    for chassis, spans in ends.items():
        spans.sort()
        for (_, until), (since, _) in pairwise(spans):
            if since > until:
                text = f"From {show(until)} to {show(since)} no meter was read: the log alone counts."
                faults.append(Fault(chassis, GAP, until, since, text))
            elif since < until:
                text = (
                    f"From {show(since)} to {show(until)} two meters were read: hours that only they have count twice."
                )
                faults.append(Fault(chassis, TWO_METERS, since, until, text))
    return faults
