"""Questions about the trend of a tube: its tests on one instrument in their order, with the hours between."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from inventory.holdings.models import Tube
from inventory.running.models import Instrument, TubeTest
from inventory.running.queries.hours import TubeRecords, tube_records
from inventory.running.queries.test_points import with_points
from inventory.running.queries.verdicts import TestLine, judged, tests_of
from inventory.running.rules.hours import RunningTimes, TubeFact, hours_on_days
from inventory.running.rules.test_point import TestPoint
from inventory.running.rules.trend import Trend, TrendPoint, trend
from inventory.sets.models import Fitting
from tubes.queries.judging import limits


@dataclass(frozen=True)
class TrendLine:
    """A tube's readings of one instrument and section against hours, or days."""

    trend: Trend
    unit: str
    minimum: float | None
    tests: tuple[TubeTest, ...]
    fittings: tuple[Fitting, ...]
    point: TestPoint | None = None  # of a handbook, beside the last reading where no minimum is known

    def as_dict(self) -> dict[str, object]:
        return self.trend.as_dict() | {"handbook_test_point": self.point.as_dict() if self.point else None}


def trends_of(lines: Sequence[TestLine], records: TubeRecords) -> tuple[TrendLine, ...]:
    """A trend for each instrument and section on which it was read, those with most readings first."""
    groups: dict[tuple[int, str], list[TestLine]] = {}
    for line in reversed(lines):
        if line.verdict and line.test.reading is not None:
            groups.setdefault((line.test.instrument_id, line.test.section), []).append(line)
    found = [_trend_line(group, records) for group in groups.values()]
    return tuple(sorted(found, key=lambda one: (-len(one.tests), -one.tests[-1].on.toordinal(), one.trend.section)))


def _trend_line(group: Sequence[TestLine], records: TubeRecords) -> TrendLine:
    (tube,), (fact,), times = records.tubes, records.facts, records.times
    fittings = records.fittings.get(tube.pk, [])
    tests = [line.test for line in group]
    days = [test.on for test in tests]
    known = _in_no_set(fact, fittings, days) or _logged(fittings, times, days)
    hours = hours_on_days(fact, times, days) if known else [None] * len(days)
    points = [
        TrendPoint(test.on, float(test.reading or 0.0), ran, test.instrument.name, test.section, test.set_to)
        for test, ran in zip(tests, hours, strict=True)
    ]
    last = group[-1].verdict
    minimum = last.limit if last else None
    shown = tuple(f for f in fittings if f.since <= days[-1] and (f.until is None or f.until >= days[0]))
    line = trend(tube.tag, points, minimum)
    return TrendLine(line, tests[0].instrument.unit, minimum, tuple(tests), shown, group[-1].point)


def _in_no_set(fact: TubeFact, fittings: Sequence[Fitting], days: Sequence[date]) -> bool:
    """Whether it lay on the shelf between the first and the last test: by the record it did not run."""
    return not fact.corrections and not _during(fittings, days)


def _during(fittings: Sequence[Fitting], days: Sequence[date]) -> list[Fitting]:
    return [f for f in fittings if f.since < days[-1] and (f.until is None or f.until > days[0])]


def _logged(fittings: Sequence[Fitting], times: RunningTimes, days: Sequence[date]) -> bool:
    """Whether every set it was in between the first and the last test has a log or a meter: else hours are unknown."""
    during = _during(fittings, days)
    return bool(during) and all(f.chassis_id in times.numbers for f in during)


def trend_line(
    tube: Tube, on: date, instrument: Instrument | None = None, section: str | None = None
) -> TrendLine | None:
    """The readings of a tube on one instrument and section: those asked for, else those with most readings."""
    tests = tests_of(tube, on)
    if instrument:
        tests = tests.filter(instrument=instrument)
    if section is not None:
        tests = tests.filter(section=section)
    rows = limits()
    found = trends_of(with_points(judged(tests, rows)), tube_records([tube], rows))
    return found[0] if found else None


def tube_trend(tube: Tube, on: date, instrument: Instrument | None = None, section: str | None = None) -> Trend | None:
    """The trend of a tube: see ``trend_line``."""
    found = trend_line(tube, on, instrument, section)
    return found.trend if found else None
