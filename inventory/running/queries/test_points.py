"""Readings beside the test points of a handbook, where no minimum is known for them."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from inventory.running.models import TubeTest
from inventory.running.queries.verdicts import TestLine
from inventory.running.rules.test_point import FAR_POINTS, SCALES, other_unit, test_point
from tubes.queries.handbook import handbook, handbook_of
from tubes.queries.judging import court
from tubes.rules.handbook import BookRow


def with_points(lines: Iterable[TestLine]) -> list[TestLine]:
    """The lines with the test point of a handbook where nothing else says what the instrument should read.

    The queries of ``court`` and of the handbook, once, where there is such a line.
    """
    lines = list(lines)
    open_ = {
        line.test.tube.type.name
        for line in lines
        if line.verdict and line.verdict.limit is None and line.test.reading is not None and line.test.tube.type
        and line.test.instrument.scale in SCALES
    }  # fmt: skip
    if not open_:
        return lines
    judges, book = court(), handbook()
    rows = {name: handbook_of(name, judges, book).rows for name in open_}
    return [_with_point(line, rows) for line in lines]


def far_from_point(new: TubeTest) -> str:
    """Why a reading is hardly what the pointer showed, by the handbook's test point: far above it, or a thousandth.

    Empty: nothing speaks against it, no row tells, or it stands so on record already (the queries of ``court``).
    """
    kind, scale = new.tube.type, new.instrument.scale
    if not new.reading or kind is None or scale not in SCALES:
        return ""
    if new.pk and TubeTest.objects.filter(pk=new.pk, reading=new.reading).exists():
        return ""
    found = test_point(handbook_of(kind.name).rows, scale, new.section, new.reading)
    if found is None:
        return ""
    times = new.reading / found.figure
    other = other_unit(scale, times)
    if times <= FAR_POINTS and not other:
        return ""
    meant = f" It looks like {other}; this instrument reads in {new.instrument.unit}." if other else ""
    beside = f"{times:.0f} times" if times > 1 else f"{times:.1g} of"
    return f"{new.reading_text} is {beside} the handbook's test point of {found.row}, {found.figure:g}.{meant}"


def _with_point(line: TestLine, rows: Mapping[str, Sequence[BookRow]]) -> TestLine:
    test, kind = line.test, line.test.tube.type
    if line.verdict is None or line.verdict.limit is not None or test.reading is None or kind is None:
        return line
    found = test_point(rows.get(kind.name, ()), test.instrument.scale, test.section, test.reading)
    return replace(line, point=found) if found else line
