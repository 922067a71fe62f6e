"""Questions about running time: of a set, of tubes. Rows become frozen facts, the rule does the sums."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Count, F, QuerySet

from inventory.holdings.models import Tube
from inventory.house.records.moments import DAY, HOUR, axis, axis_end
from inventory.running.models import EarlierHours, HoursCorrection, Meter, MeterReading, Run
from inventory.running.queries.order import IN_TIME, LATEST_FIRST
from inventory.running.rules import hours as rule
from inventory.running.rules.hours import RunningTimes, TubeFact, running_times
from inventory.running.rules.meter_chain import BACKWARD, COUNTER, IMPOSSIBLE, MeterAccount, MeterFact, ReadingFact
from inventory.running.rules.meters import MeterRefused, read_wheels
from inventory.running.rules.run_log import OVERFULL, OVERLAP, Fault, RunFact
from inventory.running.rules.words import DIFFERENCE_PCT
from inventory.sets.models import Chassis, Fitting
from tubes.queries.judging import limits
from tubes.rules.limits import Limit, Limits

FOREVER = axis(date(1900, 1, 1))
DOUBTED = (BACKWARD, IMPOSSIBLE, COUNTER)  # faults that are asked about when a reading is entered


def times_of(chassis: Collection[int] | None = None, bounds: Limits | None = None) -> RunningTimes:
    """The running time of some chassis by their keys, or of all (None); three queries and one for the limits.

    ``bounds``: the limits, where the caller has them already.
    """
    bounds = limits() if bounds is None else bounds
    runs, meters = Run.objects.filter(struck=""), Meter.objects.order_by("chassis_id", "since", "pk")
    readings = MeterReading.objects.filter(struck="").order_by(*IN_TIME)
    if chassis is not None:
        keys = list(chassis)
        runs, meters = runs.filter(chassis__in=keys), meters.filter(chassis__in=keys)
        readings = readings.filter(meter__chassis__in=keys)
    columns = ("chassis_id", "on", "on_at", "off", "off_at", "hours", "starts", "filament")
    rows = runs.order_by().values_list(*columns).iterator(chunk_size=20_000)
    facts = [
        RunFact(key, on, on_at, off, off_at, hours, starts, filament == Run.STANDBY)
        for key, on, on_at, off, off_at, hours, starts, filament in rows
    ]
    return running_times(facts, _meter_facts(meters, readings), difference_pct=bounds[DIFFERENCE_PCT])


def _meter_facts(meters: Iterable[Meter], readings: Iterable[MeterReading]) -> list[MeterFact]:
    read: dict[int, list[ReadingFact]] = {}
    for row in readings:
        read.setdefault(row.meter_id, []).append(ReadingFact(row.on, row.wheels, row.at, row.starts))
    return [_meter_fact(meter, read.get(meter.pk, [])) for meter in meters]


def _meter_fact(meter: Meter, readings: Sequence[ReadingFact]) -> MeterFact:
    name = f"meter {meter.serial}" if meter.serial else "the meter"
    return MeterFact(meter.chassis_id, meter.digits, meter.decimals, tuple(readings), name)


@dataclass(frozen=True)
class Doubt:
    """What speaks against a meter reading: it cannot be, or it is not likely. Empty: nothing."""

    impossible: str = ""
    unlikely: str = ""


def reading_doubt(meter: Meter, new: MeterReading) -> Doubt:
    """Whether a reading fits the wheels and the readings around it (two queries)."""
    try:
        read_wheels(new.wheels, meter.digits, meter.decimals)
    except MeterRefused as refusal:
        return Doubt(impossible=f"{str(refusal)[0].upper()}{str(refusal)[1:]}.")
    rows = MeterReading.objects.filter(meter=meter, struck="").exclude(pk=new.pk).order_by(*IN_TIME)
    others = [ReadingFact(row.on, row.wheels, row.at, row.starts) for row in rows] if meter.pk else []
    mine = ReadingFact(new.on, new.wheels, new.at, new.starts)
    pct = limits()[DIFFERENCE_PCT]
    known = {fault.text for fault in _wrong(meter, others, pct)}
    told = [fault.text for fault in _wrong(meter, [*others, mine], pct) if fault.text not in known]
    return Doubt(unlikely=" ".join(told))


def _wrong(meter: Meter, readings: Sequence[ReadingFact], pct: float) -> list[Fault]:
    """Faults of one meter's readings by themselves; without a log nothing is compared with one."""
    times = running_times([], [_meter_fact(meter, readings)], difference_pct=pct)
    return [fault for fault in times.faults if fault.kind in DOUBTED]


@dataclass(frozen=True)
class SetHours:
    """What a set ran up to a day: at full filament (``unlogged`` of it on the meter and in no run), at standby."""

    chassis: Chassis
    hours: float
    unlogged: float
    standby: float
    starts: int
    accounts: tuple[MeterAccount, ...]
    faults: tuple[Fault, ...]

    @property
    def flagged(self) -> tuple[MeterAccount, ...]:
        return tuple(account for account in self.accounts if account.flagged)


def set_hours(sets: Iterable[Chassis], on: date) -> list[SetHours]:
    """What each of these sets ran up to the end of a day (four queries, however many sets)."""
    sets = list(sets)
    times = times_of([one.pk for one in sets])
    return _set_hours(sets, times, on)


def _set_hours(sets: Sequence[Chassis], times: RunningTimes, on: date) -> list[SetHours]:
    keys = [one.pk for one in sets]
    ran = times.between(times.keys(keys, [FOREVER] * len(keys)), times.keys(keys, [axis_end(on)] * len(keys)))
    accounts: dict[Any, list[MeterAccount]] = {}
    for account in times.accounts:
        accounts.setdefault(account.chassis, []).append(account)
    faults: dict[Any, list[Fault]] = {}
    for fault in times.faults:
        faults.setdefault(fault.chassis, []).append(fault)
    return [
        SetHours(
            one, float(ran.hours[n]), float(ran.unlogged[n]), float(ran.standby[n]), round(float(ran.starts[n])),
            tuple(accounts.get(one.pk, ())), tuple(faults.get(one.pk, ())),
        )
        for n, one in enumerate(sets)
    ]  # fmt: skip


@dataclass(frozen=True)
class CurvePoint:
    """Hours of a set up to the end of a day: that count, and by the log alone."""

    day: date
    hours: float
    log: float


@dataclass(frozen=True)
class RunsOf:
    """What was run on a day, or in a month or a year where there are many runs. ``standby``: hours of it at standby."""

    day: date
    words: str
    runs: int
    hours: float
    standby: float


@dataclass(frozen=True)
class ChassisLog:
    """All about the running time of one set. Its meters, the latest first, each with the number of its readings.

    ``runs``: what was run when, by the log. ``limit``: from where log and meter are told apart, and on whose word.
    """

    ran: SetHours
    meters: tuple[Meter, ...]
    curve: tuple[CurvePoint, ...]
    runs: tuple[RunsOf, ...]
    limit: Limit


CURVE_STEPS = 60
MOST_BARS = 120  # days with runs that are shown each by itself; then months, then years


def chassis_log(chassis: Chassis, on: date) -> ChassisLog:
    """The log of one set up to the end of a day."""
    bounds = limits()
    times = times_of([chassis.pk], bounds)
    meters = tuple(chassis.meters.annotate(read=Count("readings")).order_by("-since", "-pk"))
    (ran,) = _set_hours([chassis], times, on)
    return ChassisLog(ran, meters, _curve(chassis, times, on), _runs_of(chassis, on), bounds.row(DIFFERENCE_PCT))


def _runs_of(chassis: Chassis, on: date) -> tuple[RunsOf, ...]:
    """What was run on each day by the log; by month, or by year, where that is too much to be seen."""
    rows = [row for row in chassis.runs.filter(struck="", on__lte=on).order_by("on") if row.ran_h is not None]
    starts = {}
    for shape in ("%Y-%m-%d", "%Y-%m", "%Y"):
        starts = {row.on.strftime(shape): row.on for row in reversed(rows)}
        if len(starts) <= MOST_BARS:
            break
    groups: dict[str, list[Run]] = {words: [] for words in reversed(starts)}
    for row in rows:
        groups[row.on.strftime(shape)].append(row)
    return tuple(RunsOf(starts[words], words, len(some), *_counted(some)) for words, some in groups.items())


def _counted(runs: Sequence[Run]) -> tuple[float, float]:
    """Hours by the log of some runs of a set, standby among them, and those at standby: time run twice counts once."""
    facts = [
        RunFact(0, row.on, row.on_at, row.off, row.off_at, row.hours, row.starts, row.filament == Run.STANDBY)
        for row in runs
    ]
    times = running_times(facts, difference_pct=0.0)
    end = times.keys([0], [max(axis_end(row.off or row.on) for row in runs) + 2 * DAY])
    return float(times.log.all(end)[0]) / HOUR, float(times.log.standby(end)[0]) / HOUR


def run_doubts(run: Run) -> list[str]:
    """What is odd about a run beside the other runs of its set: time that is written twice, the same hours again."""
    rows = Run.objects.filter(struck="", chassis=run.chassis)
    start, stop = axis(run.on), axis_end(run.off or run.on)
    faults = [fault for fault in times_of([run.chassis_id]).faults if fault.kind in (OVERLAP, OVERFULL)]
    told = [fault.text for fault in faults if fault.since < stop + DAY and fault.until > start]
    alike = rows.filter(on=run.on, off=run.off, on_at=run.on_at, off_at=run.off_at, hours=run.hours)
    if run.hours is not None and run.on_at is None and alike.exclude(pk=run.pk).exists():
        told.append(
            f"{run.hours:g} h on {run.on} were written before, too, and both count: strike one out if it was one run."
        )
    return told


def meter_readings(chassis: Chassis) -> QuerySet[MeterReading]:
    """The readings of all meters that were in a set, the latest first, struck ones among them."""
    return MeterReading.objects.filter(meter__chassis=chassis).select_related("meter").order_by(*LATEST_FIRST)


def _curve(chassis: Chassis, times: RunningTimes, on: date) -> tuple[CurvePoint, ...]:
    first = log_rows(chassis).filter(struck="").order_by("on").values_list("on", flat=True).first()
    read = MeterReading.objects.filter(meter__chassis=chassis, struck="").order_by("on").values_list("on", flat=True)
    begins = [day for day in (first, read.first()) if day]
    if not begins or (whole := (on - min(begins)).days) < 1:
        return ()
    steps = range(CURVE_STEPS + 1)
    days = [date.fromordinal(min(begins).toordinal() + round(whole * step / CURVE_STEPS)) for step in steps]
    since = times.keys([chassis.pk] * len(days), [FOREVER] * len(days))
    ran = times.between(since, times.keys([chassis.pk] * len(days), [axis_end(day) for day in days]))
    return tuple(
        CurvePoint(day, float(hours), float(log)) for day, hours, log in zip(days, ran.hours, ran.full, strict=True)
    )


def log_rows(chassis: Chassis) -> QuerySet[Run]:
    """The runs of a set, the latest first, struck ones among them."""
    return chassis.runs.order_by("-on", F("on_at").desc(nulls_last=True), "-pk")


def log_differences(on: date) -> list[SetHours]:
    """Sets here whose log and meter are further apart than the limit."""
    sets = metered_sets()
    return apart(sets, times_of([one.pk for one in sets]), on)


def metered_sets() -> list[Chassis]:
    """Sets here with a meter that was read (one query)."""
    metered = MeterReading.objects.filter(struck="").values("meter__chassis")
    return list(Chassis.objects.filter(item__gone_on__isnull=True, pk__in=metered).select_related("model", "item"))


def apart(sets: Sequence[Chassis], times: RunningTimes, on: date) -> list[SetHours]:
    """Those of some sets whose log and meter are further apart than the limit, by times that hold them at least."""
    return [one for one in _set_hours(sets, times, on) if one.flagged]


# --- tubes ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class TubeAccount:
    """A tube with its hours, and where it ran them."""

    tube: Tube
    account: rule.TubeHours
    fittings: tuple[tuple[Fitting, rule.FittingHours], ...]

    def as_dict(self) -> dict[str, Any]:
        return {
            "tag": self.tube.tag,
            "type": self.tube.type.name if self.tube.type else None,
            "hours": self.account.hours,
            "starts": self.account.starts,
            "known": self.account.known,
            "remarks": list(self.account.remarks),
            "fittings": [
                {
                    "chassis": {"model": fitting.chassis.model.name, "serial": fitting.chassis.serial or None},
                    "position": fitting.position.mark,
                    "from": fitting.since.isoformat(),
                    "to": fitting.until.isoformat() if fitting.until else None,
                    "hours": ran.hours,
                }
                for fitting, ran in self.fittings
            ],
        }


def tube_facts(tubes: Sequence[Tube]) -> tuple[list[TubeFact], dict[int, list[Fitting]]]:
    """Facts of some tubes and their fittings by tube, in order of time (three queries)."""
    keys = [tube.pk for tube in tubes]
    fittings: dict[int, list[Fitting]] = {}
    rows = Fitting.objects.filter(tube__in=keys).select_related("chassis__model", "chassis__item", "position")
    for row in rows.order_by("since", "since_at", "pk"):
        fittings.setdefault(row.tube_id, []).append(row)
    corrections: dict[int, list[rule.CorrectionFact]] = {}
    for one in HoursCorrection.objects.filter(tube__in=keys, struck="").order_by("on", "pk"):
        fact = rule.CorrectionFact(one.on, one.hours, one.starts, one.reason)
        corrections.setdefault(one.tube_id, []).append(fact)
    earlier = EarlierHours.objects.in_bulk(keys)
    facts = [_tube_fact(key, earlier.get(key), fittings.get(key, []), corrections.get(key, [])) for key in keys]
    return facts, fittings


def _tube_fact(
    key: int, earlier: EarlierHours | None, fittings: Sequence[Fitting], corrections: Sequence[rule.CorrectionFact]
) -> TubeFact:
    stays = tuple(
        rule.FittingFact(f.chassis_id, f.position.mark, f.since, f.since_at, f.until, f.until_at) for f in fittings
    )
    if earlier is None:
        return TubeFact(key, fittings=stays, corrections=tuple(corrections))
    return TubeFact(key, earlier.standing, earlier.hours, earlier.starts, stays, tuple(corrections))


@dataclass(frozen=True)
class TubeRecords:
    """What the hours of some tubes are worked out from: their facts in order, fittings by tube, sets' running time."""

    tubes: tuple[Tube, ...]
    facts: tuple[TubeFact, ...]
    fittings: dict[int, list[Fitting]]
    times: RunningTimes


def tube_records(tubes: Iterable[Tube], bounds: Limits | None = None) -> TubeRecords:
    """The records of these tubes (six queries, however many tubes, and one for the limits)."""
    tubes = tuple(tubes)
    facts, fittings = tube_facts(tubes)
    times = times_of({fitting.chassis_id for rows in fittings.values() for fitting in rows}, bounds)
    return TubeRecords(tubes, tuple(facts), fittings, times)


def tube_hours(tubes: Iterable[Tube], on: date) -> list[TubeAccount]:
    """The hours of these tubes up to the end of a day (seven queries, however many tubes)."""
    return accounts_of(tube_records(tubes), on)


def accounts_of(records: TubeRecords, on: date) -> list[TubeAccount]:
    """The hours of tubes up to the end of a day (no query)."""
    answers = []
    for tube, account in zip(records.tubes, rule.tube_hours(records.facts, records.times, axis_end(on)), strict=True):
        rows = records.fittings.get(tube.pk, [])
        begun = [row for row in rows if axis(row.since, row.since_at) < axis_end(on)]
        answers.append(TubeAccount(tube, account, tuple(zip(begun, account.fittings, strict=True))))
    return answers
