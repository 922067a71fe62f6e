"""Readings beside the test points of a handbook, where no minimum is known for them."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from inventory.running.queries.verdicts import TestLine
from inventory.running.rules.test_point import SCALES, test_point
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
        if line.verdict and line.verdict.limit is None and line.test.reading and line.test.tube.type
        and line.test.instrument.scale in SCALES
    }  # fmt: skip
    if not open_:
        return lines
    judges, book = court(), handbook()
    rows = {name: handbook_of(name, judges, book).rows for name in open_}
    return [_with_point(line, rows) for line in lines]


def _with_point(line: TestLine, rows: Mapping[str, Sequence[BookRow]]) -> TestLine:
    test, kind = line.test, line.test.tube.type
    if line.verdict is None or line.verdict.limit is not None or not test.reading or kind is None:
        return line
    found = test_point(rows.get(kind.name, ()), test.instrument.scale, test.section, test.reading)
    return replace(line, point=found) if found else line
