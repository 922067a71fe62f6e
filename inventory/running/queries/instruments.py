"""Questions about instruments: how well one repeats, how two compare."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Count, Max, Q, QuerySet

from inventory.running.models import Instrument, TubeTest, TypeMinimum
from inventory.running.queries.order import IN_TIME
from inventory.running.rules.deming import DemingLine, DemingRefused, deming
from inventory.running.rules.repeatability import Repeatability, RepeatabilityRefused, repeatability
from inventory.running.rules.schedules import months_after
from tubes.models import TubeType

MOST_DAYS_APART = 31  # a tube ages: readings on two instruments count as of one state of it within a month


def instruments() -> QuerySet[Instrument]:
    """Instruments with the number of their tests and the day of the last."""
    counting = Q(tests__struck="")
    return Instrument.objects.annotate(
        read=Count("tests", filter=counting, distinct=True), last=Max("tests__on", filter=counting)
    ).order_by("name")


@dataclass(frozen=True)
class InstrumentAnswer:
    """An instrument with its repeatability, or why none can be told, and the minimums of types on it."""

    instrument: Instrument
    repeats: Repeatability | None
    why_not: str
    minimums: tuple[TypeMinimum, ...]


def instrument_answer(instrument: Instrument) -> InstrumentAnswer:
    """All about one instrument (two queries)."""
    found, why = None, ""
    try:
        found = repeatability(repeats_on(instrument))
    except RepeatabilityRefused as refusal:
        why = str(refusal)
    minimums = tuple(instrument.minimums.select_related("type").order_by("type__name", "section"))
    return InstrumentAnswer(instrument, found, why, minimums)


def repeats_on(instrument: Instrument) -> list[list[float]]:
    """Readings of one tube in a row: one tube and section, one day, the same settings; two or more."""
    rows = TubeTest.objects.filter(instrument=instrument, struck="", reading__isnull=False)
    groups: dict[tuple[object, ...], list[float]] = {}
    for tube, section, on, settings, volts, reading in rows.order_by(*IN_TIME).values_list(
        "tube", "section", "on", "settings", "filament_v", "reading"
    ):
        groups.setdefault((tube, section, on, settings, volts), []).append(reading)
    return [group for group in groups.values() if len(group) > 1]


@dataclass(frozen=True)
class PairRead:
    """A tube read on both: its tag, section, both readings and how many days lay between them."""

    tag: str
    section: str
    here: float
    there: float
    days: int


@dataclass(frozen=True)
class Comparison:
    """Two instruments on tubes of one type; each section of a double tube counts as one. It rewrites no reading."""

    here: Instrument
    there: Instrument
    type: TubeType
    pairs: tuple[PairRead, ...]
    too_far_apart: int
    line: DemingLine | None
    why_not: str


def compare(answer: InstrumentAnswer, there: Instrument, kind: TubeType) -> Comparison:
    """The Deming line of the tubes of a type that were read on an instrument and on another one (two queries)."""
    here = answer.instrument
    rows = TubeTest.objects.filter(
        instrument__in=[here, there], tube__type=kind, struck="", reading__isnull=False
    ).select_related("tube__item")
    by_tube: dict[tuple[int, str], dict[int, list[TubeTest]]] = {}
    for row in rows.order_by(*IN_TIME):
        by_tube.setdefault((row.tube_id, row.section), {}).setdefault(row.instrument_id, []).append(row)
    both = [_nearest(one[here.pk], one[there.pk]) for one in by_tube.values() if len(one) == 2]
    pairs = tuple(pair for pair in both if pair.days <= MOST_DAYS_APART)
    line, why = None, ""
    try:
        line = deming([(pair.here, pair.there) for pair in pairs], _ratio(answer.repeats, there))
    except DemingRefused as refusal:
        why = str(refusal)
    return Comparison(here, there, kind, pairs, len(both) - len(pairs), line, why)


def _nearest(here: Sequence[TubeTest], there: Sequence[TubeTest]) -> PairRead:
    """The two readings of a tube that lie closest in time, the latest of those."""
    one, other = min(((a, b) for a in here for b in there), key=lambda ab: (_days(*ab), -ab[0].on.toordinal()))
    return PairRead(one.tube.tag, one.section, one.reading or 0.0, other.reading or 0.0, _days(one, other))


def _days(one: TubeTest, other: TubeTest) -> int:
    return abs((one.on - other.on).days)


def _ratio(here: Repeatability | None, there: Instrument) -> float | None:
    """How much worse the second repeats than the first, squared; None where one of the two was never measured."""
    if here is None:
        return None
    try:
        other = repeatability(repeats_on(there))
    except RepeatabilityRefused:
        return None
    return (other.s / here.s) ** 2 if here.s > 0 and other.s > 0 else None


def calibrations_due(on: date) -> list[tuple[Instrument, date]]:
    """Instruments whose calibration has run out, with the day on which it did."""
    rows = Instrument.objects.filter(calibrated_on__isnull=False, calibrate_months__isnull=False)
    ends = [(row, months_after(row.calibrated_on, row.calibrate_months)) for row in rows]  # type: ignore[arg-type]
    return [(row, end) for row, end in ends if end <= on]
