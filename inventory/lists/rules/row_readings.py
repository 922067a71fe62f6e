"""The readings of a row: each column of readings by itself, with the instrument and the minimum that belong to it.

Two testers do not compare, so readings of two columns are never set on one scale: each has the instrument that its
heading names, or that of the instrument column beside it, or else the heading itself. Of two figures parted by a
stroke the second is a minimum only where the heading says so, or where it is lower and stands for one single tube;
the sections of a double tube and a pair of tubes are written the same way. Common practice, no source.
"""

import re
from dataclasses import replace
from decimal import Decimal

from inventory.holdings.rules.cells import Remark, says_ditto, says_nothing, says_unknown, shown
from inventory.holdings.rules.readings import UNKNOWN, UNREAD, WORD, TestReading, read_reading, without_units
from inventory.lists.rules import fields as f
from inventory.lists.rules.heading_text import says_minimum
from inventory.lists.rules.reading_lists import Each, one_each
from inventory.lists.rules.row_cells import Column, RowCells
from inventory.lists.rules.row_result import ColumnReading
from inventory.lists.rules.states import read_state

ALIKE = Decimal("0.85")  # how near two readings of a pair are at least; a minimum is lower as a rule
#: Words of a heading that name no instrument.
_WORDS = frozenset(
    "test tested prufung prüfung pruefung messung reading readings gm em emission messwert wert steilheit mesure "
    "mesures meting meetwaarde measured pente "
    "transconductance mutual conductance steilheid section sect system half tube min minimum reject limit on at by "
    "with auf mit avec met no nr".split()
)
_COUNTERS = re.compile(r"[0-9]{1,2}|[a-z]|i{1,3}", re.IGNORECASE)  # Reading 1, Gm B: a section or a turn

_MODEL = re.compile(r"(?<!\S)(?=\S*[0-9])(?=(?:\S*[^\W\d_]){2})\S+")  # QX-7, 412C/D: a single column may name it too


def instrument_of_heading(heading: str) -> str:
    """The instrument that a heading of readings names: what is left of it without words of reading and units."""
    words = [word.strip(" ,;:/-.#") for word in re.split(r"[()\[\]{}\s]+", without_units(heading))]
    words = [word for word in words if word]
    while words and (words[0].casefold() in _WORDS or _COUNTERS.fullmatch(words[0])):
        del words[0]
    while words and words[-1].casefold() in _WORDS:
        del words[-1]
    return " ".join(words) if any(sum(map(str.isalpha, word)) > 1 for word in words) else ""


def read_readings(row: RowCells, count: int, double: bool) -> tuple[ColumnReading, ...]:
    """Every reading of a row; remarks go to the row. ``count`` things; ``double``: each is a tube of two sections."""
    columns = row.columns(f.READING)
    minima, testers = row.columns(f.MINIMUM), row.columns(f.INSTRUMENT)
    owned = _owned(columns, minima)
    found = []
    for column in columns:
        least, claimed = owned.get(column.index, (None, ()))
        if least and least.cell and len(claimed) > 1:
            row.remark_at(least, _whose(column, claimed))
        instrument = _instrument(row, column, columns, testers)
        listed = _listed(row, column, instrument, count, double, bool(least and least.cell))
        if listed and listed.readings:
            minimum = _minimum(row, column, least, instrument, listed.readings[:1])
            name = least.name if least and minimum else ""
            told = (column.name, listed.readings, minimum, name, False, listed.whose, listed.states)
            found.append(ColumnReading(*told))
            continue
        reading = _read(row, column, instrument, count, double, bool(least and least.cell))
        minimum = _minimum(row, column, least, instrument, reading)
        if (reading and reading[0].kind != UNKNOWN) or minimum:
            name = least.name if least and minimum else ""
            asks = bool(reading) and reading[0].kind == UNREAD and "/" in column.cell
            found.append(ColumnReading(column.name, reading, minimum, name, asks))
    having = {least.index for least, _ in owned.values()}
    for least in minima if len(columns) > 1 else ():
        if least.cell and least.index not in having:
            row.kept.append((least.name, least.cell))
            row.remark_at(least, _LEFT_OVER)
    if not columns and minima and minima[0].cell:
        minimum = _minimum(row, None, minima[0], _tester(row, testers[0]) if testers else "", ())
        if minimum:
            found.append(ColumnReading("", (), minimum, minima[0].name))
    for one in found:
        if count > 1 and not one.whose and len(one.readings) == 1 and (one.readings[0].value or one.asks):
            reason = f"one reading for {count} things: kept with each as said of the row"
            row.remark_at(_column(columns, one), Remark(reason, "enter each one's own reading"))
    return tuple(found)


def _listed(
    row: RowCells, column: Column, instrument: str, count: int, double: bool, least_beside: bool
) -> Each | None:
    """The readings of a cell that holds one for each of the things, or of one double tube one for each section."""
    if not column.cell or (count < 2 and not double):
        return None

    def parted(reading: TestReading) -> tuple[TestReading, ...]:
        return _two(reading, column.heading, 1, double, least_beside)[0]

    found = one_each(column.cell, column.heading, instrument, count if count > 1 else 2, parted)
    if found is None or isinstance(found, Remark):
        return None
    if count < 2:
        row.remark_at(column, Remark(f"{shown(column.cell)} read as the readings of two sections", "correct it if not"))
        return replace(found, whose=(0,) * len(found.whose), states=())
    told = [found.remark, next((one.remark for one in found.readings if one.remark), None)]
    for remark in told:
        row.remark_at(column, remark)
    return found


def _column(columns: tuple[Column, ...], found: ColumnReading) -> Column:
    return next(column for column in columns if column.name == found.heading)


def _named_by(one: Column, columns: tuple[Column, ...]) -> Column | None:
    """The column of readings whose heading names the instrument that a heading of minima names."""
    name = instrument_of_heading(one.heading).casefold()
    found = [column for column in columns if name and instrument_of_heading(column.heading).casefold() == name]
    return found[0] if len(found) == 1 else None


def _owned(columns: tuple[Column, ...], minima: tuple[Column, ...]) -> dict[int, tuple[Column, tuple[Column, ...]]]:
    """By the index of a column of readings: its column of minima, and the columns of readings that might have it.

    A minimum goes to the instrument that its heading names, else to the nearest reading to its left that has none
    yet, else to its right. Each reading has one.
    """
    found: dict[int, tuple[Column, tuple[Column, ...]]] = {}
    unnamed = []
    for at, one in enumerate(minima):
        named = _named_by(one, columns)
        if named is None:
            unnamed.append(at)
        else:
            found.setdefault(named.index, (one, (named,)))
    before_them = bool(columns) and bool(minima) and minima[0].index < columns[0].index
    for at in unnamed if before_them else reversed(unnamed):
        one = minima[at]
        free = [column for column in columns if column.index not in found]
        after = minima[at - 1].index if at else -1
        before = minima[at + 1].index if at + 1 < len(minima) else None
        near = [column for column in free if after < column.index and (before is None or column.index < before)]
        left = [column for column in near or free if column.index < one.index]
        claimed = left or near or free
        if claimed:
            found[(left[-1] if left else claimed[0]).index] = one, tuple(claimed)
    return found


_LEFT_OVER = Remark(
    "every reading has its minimum already: kept as text",
    "name the instrument in its heading, or give each reading a minimum of its own",
)


def _whose(column: Column, claimed: tuple[Column, ...]) -> Remark:
    """What is said where the minimum goes to the reading beside it, and another might be meant."""
    others = ", ".join(one.name for one in claimed if one is not column)
    reason = f"which reading this is the minimum of is not said: taken as that of {column.name}, not of {others}"
    return Remark(reason, "name the instrument in its heading, or give each reading a minimum of its own")


def _instrument(row: RowCells, column: Column, columns: tuple[Column, ...], testers: tuple[Column, ...]) -> str:
    named = instrument_of_heading(column.heading)
    if named and (len(columns) > 1 or (not testers and _MODEL.search(named[:80]))):
        return named
    if len(testers) == 1:
        return _tester(row, testers[0]) or (column.name if len(columns) > 1 else "")
    if testers and columns:
        before = testers[0].index < columns[0].index  # the list names the tester first, or the reading
        beside = [one for one in testers if (one.index < column.index) == before]
        nearest = (beside[-1] if before else beside[0]) if beside else None
        if nearest and (told := _tester(row, nearest)):
            return told
    return column.name if len(columns) > 1 else ""


def tester_alone(row: RowCells) -> str:
    """What the only column of instruments says, whether or not a reading stands beside it; of several none."""
    testers = row.columns(f.INSTRUMENT)
    text = testers[0].text if len(testers) == 1 else ""
    return "" if says_nothing(text) or says_unknown(text) or says_ditto(text) else text


def _tester(row: RowCells, column: Column) -> str:
    text = column.text
    if says_ditto(text):
        row.remark_at(column, Remark("refers to the row above, kept as found", "write the instrument itself"))
        return ""
    return "" if says_nothing(text) or says_unknown(text) else text


def _read(
    row: RowCells, column: Column, instrument: str, count: int, double: bool, least_beside: bool
) -> tuple[TestReading, ...]:
    if not column.cell:
        return ()
    reading = read_reading(column.cell, column.heading, instrument)
    if reading.kind == UNREAD and (several := one_each(column.cell, column.heading, instrument, count, _as_it_is)):
        told = several if isinstance(several, Remark) else reading.remark
        reading = replace(reading, remark=told)
    elif reading.kind in (UNREAD, WORD) and read_state(column.cell).state:
        reading = replace(reading, kind=WORD, remark=None)
    two, remark = _two(reading, column.heading, count, double, least_beside)
    row.remark_at(column, remark)
    if two[0] is reading or len(two) > 1:
        row.remark_at(column, reading.remark)
    return two


def _as_it_is(reading: TestReading) -> tuple[TestReading, ...]:
    return (reading,)


def _two(
    reading: TestReading, heading: str, count: int, double: bool, least_beside: bool
) -> tuple[tuple[TestReading, ...], Remark | None]:
    """Of a reading of two figures: reading and minimum, two readings, or neither, with what is to be asked."""
    first, second = reading.figure, reading.minimum_figure
    if not reading.minimum or reading.told or (says_minimum(heading) and not least_beside):
        return (reading,), None
    pair = count == 2 or double
    known = first is not None and second is not None
    lower = known and second < first  # type: ignore[operator]
    if not pair and lower and not least_beside:
        return (reading,), None
    one = replace(reading, minimum="", minimum_figure=None)
    other = replace(one, value=reading.minimum, figure=second)
    if pair and known and min(first, second) >= ALIKE * max(first, second):  # type: ignore[type-var,operator]
        whose = "two sections" if double and count != 2 else "two tubes"
        reason = f"{shown(reading.text.strip())} read as the readings of {whose}; which is whose is not said"
        return (one, other), Remark(reason, "write reading/minimum into the heading if that is meant")
    reason = f"{shown(reading.text.strip())}: two readings, or a reading and its minimum? kept as found"
    unread = replace(one, kind=UNREAD, value="", figure=None)
    return (unread,), Remark(reason, "say which by the heading, or give each a column of its own")


def _minimum(
    row: RowCells, column: Column | None, least: Column | None, instrument: str, readings: tuple[TestReading, ...]
) -> TestReading | None:
    """The minimum of a column of its own; on the scale of the reading beside it where it names none itself."""
    if least is None or not least.cell:
        return None
    minimum = read_reading(least.cell, least.heading, instrument)
    if minimum.kind != UNKNOWN and not minimum.value:
        row.remark_at(least, minimum.remark)
    elif minimum.value and (not readings or readings[0].minimum or not readings[0].value or minimum.minimum):
        row.remark_at(least, Remark("a minimum without one reading beside it: kept as found", "write reading/minimum"))
    elif readings and minimum.unit and readings[0].unit != minimum.unit:
        reason = "the minimum is on another scale than the reading: kept as found"
        row.remark_at(least, Remark(reason, "give both on one scale"))
    elif readings and minimum.value:
        return replace(minimum, unit=readings[0].unit, tester=readings[0].tester)
    return minimum
