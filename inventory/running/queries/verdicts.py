"""Questions about single tests: the verdict of each, the minimum for it, whether a reading is far off."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import QuerySet, Window
from django.db.models.functions import RowNumber

from inventory.holdings.models import Tube
from inventory.house.keys import in_parts
from inventory.running.models import TubeTest, TypeMinimum
from inventory.running.queries.order import IN_TIME, LATEST_FIRST
from inventory.running.rules.gas import reads_current
from inventory.running.rules.settings import differ
from inventory.running.rules.test_point import TestPoint
from inventory.running.rules.verdicts import (
    Activity,
    Reading,
    Verdict,
    activity,
    judge,
)
from tubes.queries.judging import double_families, limits
from tubes.queries.mercury import glowing_among
from tubes.rules.family import number_of
from tubes.rules.figures import RECTIFIERS, REGULATORS
from tubes.rules.limits import Limits

GRIDLESS = RECTIFIERS | REGULATORS | {"duodiode"}

Key = tuple[int, int, str]  # tube, instrument, section


@dataclass(frozen=True)
class TestLine:
    """A test with its verdict; a struck test has none. ``double``: its type has two sections, and one was named."""

    __test__ = False  # no test case, whatever its name says

    test: TubeTest
    verdict: Verdict | None
    activity: Activity | None
    double: bool = False
    point: TestPoint | None = None  # of a handbook, where no minimum is known for it on this instrument

    @property
    def word(self) -> str:
        return self.verdict.verdict if self.verdict else ""

    def as_dict(self) -> dict[str, Any]:
        test = self.test
        return {
            "tag": test.tube.tag,
            "on": test.on.isoformat(),
            "instrument": test.instrument.name,
            "unit": test.instrument.unit,
            "section": test.section,
            "settings": test.settings,
            "shorts": test.shorts,
            "reading_text": test.reading_text,
            "reading": test.reading,
            "minimum": self.verdict.limit if self.verdict else test.minimum,
            "gas": test.gas,
            "by": test.by_whom,
            "struck": test.struck,
            "verdict": self.verdict.verdict if self.verdict else None,
            "percent_of_first": self.verdict.percent_of_first if self.verdict else None,
            "reasons": list(self.verdict.reasons) if self.verdict else [],
            "handbook_test_point": self.point.as_dict() if self.point else None,
        }


def test_list() -> QuerySet[TubeTest]:
    """Every test, the latest first."""
    return TubeTest.objects.select_related("tube__item", "tube__type", "instrument").order_by(*LATEST_FIRST)


test_list.__test__ = False  # type: ignore[attr-defined]


def with_tubes(tests: QuerySet[TubeTest]) -> list[TubeTest]:
    """Some tests in their order, those of one tube with one and the same tube: many are read in half the time.

    Two queries, one more for each further ``AT_ONCE`` tubes; one where there is no test.
    """
    found = list(tests.select_related(None).select_related("instrument"))
    named = Tube.objects.select_related("item", "type")
    tubes = {one.pk: one for some in in_parts(test.tube_id for test in found) for one in named.filter(pk__in=some)}
    for test in found:
        test.tube = tubes[test.tube_id]
    return found


def judged(tests: Iterable[TubeTest], rows: Limits | None = None) -> list[TestLine]:
    """The verdict of each of these tests (a fixed number of queries, one more for each further ``AT_ONCE`` tubes).

    ``rows``: the limits, if at hand.
    """
    tests = list(tests)
    firsts = _firsts({test.tube_id for test in tests})
    beside = _Beside(_minimums(tests), firsts, *_of_gas(tests), _doubles(tests))
    rows = limits() if rows is None else rows
    return [_line(test, beside, rows) for test in tests]


@dataclass(frozen=True)
class _Beside:
    """What some tests are judged by: minimums, first readings, types filled with gas, instruments reading a current.

    ``doubles``: family numbers of tubes of two sections.
    """

    minimums: dict[tuple[int, int, str], TypeMinimum]
    firsts: dict[Key, TubeTest]
    filled: dict[str, str]
    in_current: set[int]
    doubles: frozenset[str] = frozenset()


def _doubles(tests: Sequence[TubeTest]) -> frozenset[str]:
    """Family numbers of double tubes; none where no section was named (queries of ``double_families``, else none)."""
    return double_families() if any(test.section and test.tube.type for test in tests) else frozenset()


def _of_gas(tests: Sequence[TubeTest]) -> tuple[dict[str, str], set[int]]:
    """With what types are filled, and on which instruments gas is read as a current, where gas was written."""
    read = [test for test in tests if test.gas]
    filled = glowing_among(test.tube.type.name for test in read if test.tube.type)
    rows = TubeTest.objects.filter(instrument__in={test.instrument_id for test in read}, struck="").exclude(gas="")
    written: dict[int, list[str]] = {}
    for instrument, gas in rows.values_list("instrument", "gas").order_by().distinct():
        written.setdefault(instrument, []).append(gas)
    return filled, {instrument for instrument, gas in written.items() if reads_current(gas)}


def _line(test: TubeTest, beside: _Beside, rows: Limits) -> TestLine:
    if test.struck:
        return TestLine(test, None, None)
    minimums, firsts = beside.minimums, beside.firsts
    of_type = minimum_for(test.tube, test.instrument_id, test.section, minimums)
    first = firsts.get((test.tube_id, test.instrument_id, test.section))
    earlier = first if first is not None and first.pk != test.pk else None
    reading = Reading(
        figure=test.reading,
        shorted={TubeTest.FOUND: True, TubeTest.NONE_FOUND: False}.get(test.shorts),
        minimum=test.minimum,
        type_minimum=of_type.minimum if of_type else None,
        first=earlier.reading if earlier else None,
        minimum_source=of_type.source if of_type and test.minimum is None else "",
        gas=test.gas,
        leakage=test.shorts_words,
        noisy={TubeTest.FOUND: True, TubeTest.NONE_FOUND: False}.get(test.noise),
        filled=beside.filled.get(test.tube.type.name, "") if test.tube.type else "",
        gas_in_current=test.instrument_id in beside.in_current,
        first_set_otherwise=earlier is not None and differ((earlier.set_to, test.set_to)),
    )
    act = None
    if test.reading and test.reduced is not None:
        act = activity(test.reading, test.reduced, rows)
    kind = test.tube.type
    double = bool(test.section and kind and number_of(kind.name) in beside.doubles)
    return TestLine(test, judge(reading, rows), act, double)


def _minimums(tests: Sequence[TubeTest]) -> dict[tuple[int, int, str], TypeMinimum]:
    types = {test.tube.type_id for test in tests} - {None}
    found = TypeMinimum.objects.filter(type__in=types, instrument__in={test.instrument_id for test in tests})
    return {(row.type_id, row.instrument_id, row.section): row for row in found}


def minimum_for(
    tube: Tube, instrument: int, section: str, minimums: dict[tuple[int, int, str], TypeMinimum]
) -> TypeMinimum | None:
    """The reject limit of a tube's type on an instrument: of that section, or of every section."""
    if tube.type_id is None:
        return None
    return minimums.get((tube.type_id, instrument, section)) or minimums.get((tube.type_id, instrument, ""))


def _firsts(tubes: Iterable[int]) -> dict[Key, TubeTest]:
    """The first reading of each tube on each instrument and section: its hundred per cent."""
    place = Window(RowNumber(), partition_by=["tube", "instrument", "section"], order_by=IN_TIME)
    read = TubeTest.objects.filter(struck="", reading__isnull=False)
    read = read.only("tube", "instrument", "section", "reading", "settings", "filament_v")
    rows = (row for some in in_parts(tubes) for row in read.filter(tube__in=some).annotate(place=place).filter(place=1))
    return {(row.tube_id, row.instrument_id, row.section): row for row in rows}


FAR_TIMES, FAR_MINIMUMS = 3, 10  # from there a reading is asked about once; our choice, no source


def reading_far_off(new: TubeTest) -> str:
    """Why a reading is hardly what the pointer showed: far above the tube's last one there, or above its minimum.

    Empty: nothing speaks against it, or it stands so on record already. At most three queries.
    """
    if not new.reading:
        return ""
    alike = TubeTest.objects.filter(tube=new.tube, instrument=new.instrument, section=new.section, struck="")
    if new.pk and alike.filter(pk=new.pk, reading=new.reading).exists():
        return ""
    earlier = alike.exclude(pk=new.pk).filter(on__lte=new.on, reading__isnull=False).order_by(*LATEST_FIRST).first()
    if earlier and earlier.reading and new.reading > FAR_TIMES * earlier.reading:
        return f"{new.reading_text} is more than {FAR_TIMES} times its {earlier.reading_text} of {earlier.on}."
    of_type = minimum_for(new.tube, new.instrument_id, new.section, _minimums([new]))
    least = new.minimum if new.minimum is not None else of_type.minimum if of_type else None
    if least and new.reading > FAR_MINIMUMS * least:
        return f"{new.reading_text} is more than {FAR_MINIMUMS} times its minimum, {least:g}."
    return ""


def tests_of(tube: Tube, on: date) -> QuerySet[TubeTest]:
    tests = TubeTest.objects.filter(tube=tube, on__lte=on).select_related("instrument", "tube__type", "tube__item")
    return tests.order_by(*LATEST_FIRST)


def latest_readings(items: Iterable[Any]) -> dict[int, str]:
    """The last reading of some tubes in words, for their labels: reading / minimum, unit, instrument, day."""
    rows = TubeTest.objects.filter(struck="", reading__isnull=False).select_related("instrument", "tube__type")
    parts = in_parts(item.pk for item in items)
    tests = [test for some in parts for test in rows.filter(tube__in=some).order_by(*IN_TIME)]
    minimums = _minimums(tests)
    words: dict[int, dict[str, str]] = {}
    last: dict[int, TubeTest] = {}
    for test in tests:
        before = last.get(test.tube_id)
        if before is None or (before.on, before.instrument_id) != (test.on, test.instrument_id):
            words[test.tube_id] = {}
        last[test.tube_id] = test
        of_type = minimum_for(test.tube, test.instrument_id, test.section, minimums)
        least = test.minimum if test.minimum is not None else of_type.minimum if of_type else None
        figure = test.reading_text if least is None else f"{test.reading_text} / min {least:g}"
        words[test.tube_id][test.section] = f"{test.section}: {figure}" if test.section else figure
    return {
        key: ", ".join(
            (f"{'; '.join(words[key].values())} {test.unit_beside}".strip(), str(test.instrument), f"{test.on}")
        )
        for key, test in last.items()
    }
