"""One row of a keeper's list -> what to write, or why not. Nothing is invented: what is not plain gets a remark."""

from collections.abc import Sequence
from dataclasses import replace

from inventory.holdings.rules import fields as f
from inventory.holdings.rules import quantities
from inventory.holdings.rules.cells import Remark, says_ditto
from inventory.holdings.rules.dates import DateReading, read_date
from inventory.holdings.rules.hazards import Hazard, find_hazards
from inventory.holdings.rules.kinds import kind_of_word, propose_kind
from inventory.holdings.rules.lines import not_an_item
from inventory.holdings.rules.marks import MarkReading, read_mark
from inventory.holdings.rules.prices import PriceReading, read_price
from inventory.holdings.rules.quantities import Quantity, read_quantity
from inventory.holdings.rules.readings import TestReading, read_reading
from inventory.holdings.rules.row_cells import IDENTITY, RowCells
from inventory.holdings.rules.row_counts import Counted, count
from inventory.holdings.rules.row_parts import TextPart, read_mate, read_place, read_serial, year_made
from inventory.holdings.rules.row_result import (
    HELD,
    NOT_AN_ITEM,
    REFUSED,
    REMARKED,
    WRITTEN,
    Context,
    Group,
    RowReading,
    RowRemark,
)

__all__ = [
    "HELD",
    "NOT_AN_ITEM",
    "REFUSED",
    "REMARKED",
    "WRITTEN",
    "Context",
    "Group",
    "RowReading",
    "RowRemark",
    "read_row",
]


def read_row(cells: Sequence[str], mapping: Sequence[str], context: Context) -> RowReading:
    """Read a row of any content; never raises. `mapping` names the field of each column (see ``fields``)."""
    if why := not_an_item(cells, mapping, context.headings):
        return RowReading(NOT_AN_ITEM, why)
    row = RowCells(cells, mapping, context.headings)
    row.more_columns()
    what = row.text(f.MARK) or row.text(f.MODEL)
    if refused := _damaged(row, context) or (None if what else _nameless(row)):
        return refused
    mark = read_mark(what, context.tables)
    serial = read_serial(row.text(f.SERIAL))
    if len(serial.values) > 1 and serial.remark:
        row.remark(f.SERIAL, serial.remark)
        return RowReading(
            REFUSED, serial.remark.reason, remarks=tuple(row.remarks), mark=mark.text, kept=tuple(row.kept)
        )
    kind = _kind(row, what, mark, serial.value, context)
    if kind == f.TUBES and mark.refused:
        row.remark(f.MARK if row.text(f.MARK) else f.MODEL, mark.refused)
        return RowReading(REFUSED, mark.refused.reason, kind, tuple(row.remarks), mark.text, kept=tuple(row.kept))
    if kind != f.TUBES and mark.refused and mark.refused.reason.startswith("two types"):
        row.remark(f.MODEL, Remark(f"{mark.refused.reason}, kept as text", "give each its own row if they are tubes"))
    return _read(row, kind, what, mark, serial, context)


def _damaged(row: RowCells, context: Context) -> RowReading | None:
    """A row whose number, model or serial a spreadsheet has rewritten."""
    for field in IDENTITY:
        seen = row.damaged.get(field)
        if seen is None or seen.remark is None:
            continue
        remark = seen.remark
        if field != f.SERIAL and (said := read_mark(seen.text, context.tables).stamp.refused):
            remark = Remark(said, remark.action)  # names what the number may have been; none is taken
        row.remark(field, remark)
        return RowReading(REFUSED, remark.reason, remarks=tuple(row.remarks), kept=tuple(row.kept))
    return None


def _nameless(row: RowCells) -> RowReading:
    remark = Remark("nothing in the row says what it is", "add the type or the model, or leave the row out")
    row.remark(f.MARK if row.has(f.MARK) or not row.has(f.MODEL) else f.MODEL, remark)
    return RowReading(REFUSED, remark.reason, remarks=tuple(row.remarks), kept=tuple(row.kept))


def _kind(row: RowCells, what: str, mark: MarkReading, serial: str, context: Context) -> str:
    if context.kind:
        return context.kind
    word = row.text(f.KIND)
    if word and (kind := kind_of_word(word)):
        return kind
    notes = f"{word} {row.text(f.NOTE)} {row.text(f.CONDITION)}"
    tube_column = bool(row.text(f.MARK))
    kind, remark = propose_kind(what, mark.stamp, tube_column=tube_column, serial=serial, notes=notes)
    row.remark(f.MARK if tube_column else f.MODEL, remark)
    return kind


def _read(row: RowCells, kind: str, what: str, mark: MarkReading, serial: TextPart, context: Context) -> RowReading:
    tube = kind == f.TUBES
    if tube:
        row.remark(f.MARK if row.text(f.MARK) else f.MODEL, mark.remark)
    row.remark(f.SERIAL, serial.remark)
    counted = count(row, kind, serial.value)
    if counted.quantity.kind == quantities.REFUSED:
        why = counted.quantity.remark.reason if counted.quantity.remark else "the count cannot be read"
        return RowReading(REFUSED, why, kind, tuple(row.remarks), mark.text, kept=tuple(row.kept))
    found = _filled(row, kind, what, counted, serial, context)
    held = tube and bool(mark.choices)
    return replace(
        found,
        outcome=HELD if held else REMARKED if row.remarks else WRITTEN,
        why=mark.remark.reason if held and mark.remark else "",
        mark=mark.text if tube else row.text(f.MARK),
        stamp=mark.stamp if tube else None,
        choices=mark.choices if held else (),
        remarks=tuple(row.remarks),
        kept=tuple(row.kept),
    )


def _filled(row: RowCells, kind: str, what: str, counted: Counted, serial: TextPart, context: Context) -> RowReading:
    """Everything of a row that does not decide whether it is written."""
    mate, place = read_mate(row.text(f.MATE)), read_place(row.text(f.PLACE, " / "))
    row.remark(f.MATE, mate.remark)
    if mate.value and serial.value and mate.value.casefold() != serial.value.casefold():
        reason = f"the mate bears {mate.value}, this one {serial.value}: neither is corrected"
        row.remark(f.MATE, Remark(reason, "compare the plates"))
    row.remark(f.PLACE, place.remark)
    return RowReading(
        WRITTEN,
        kind=kind,
        model=row.text(f.MODEL) or ("" if kind == f.TUBES else what),
        number=row.text(f.NUMBER),
        quantity=counted.quantity,
        groups=counted.groups,
        wanted=_wanted(row),
        condition=counted.condition,
        reading=_reading(row),
        tested_on=_date(row, f.TESTED_ON, context),
        places=place.values,
        place_text=place.text,
        price=_price(row, f.PRICE, context),
        insured=_price(row, f.INSURED, context),
        maker=row.text(f.MAKER),
        date_code=row.text(f.DATE_CODE),
        serial=serial.value,
        mate_serial=mate.value,
        mate_text=mate.text,
        acquired_from=_acquired_from(row),
        acquired_on=_date(row, f.ACQUIRED_ON, context),
        for_set=row.text(f.FOR_SET),
        note=row.text(f.NOTE),
        hazards=_hazards(row),
    )


def _wanted(row: RowCells) -> Quantity | None:
    if not row.written(f.WANTED).strip():
        return None
    wanted = read_quantity(row.written(f.WANTED))
    row.remark(f.WANTED, wanted.remark)
    return wanted


def _reading(row: RowCells) -> TestReading | None:
    """The reading, with the minimum of a column of its own where the reading names none."""
    reading = read_reading(row.written(f.READING), row.heading(f.READING)) if row.written(f.READING) else None
    if reading:
        row.remark(f.READING, reading.remark)
    if not row.written(f.MINIMUM):
        return reading
    minimum = read_reading(row.written(f.MINIMUM), row.heading(f.MINIMUM))
    if not reading or reading.minimum or not reading.value or minimum.minimum or not minimum.value:
        row.kept.append((row.heading(f.MINIMUM) or f.MINIMUM, row.written(f.MINIMUM)))
        row.remark(f.MINIMUM, Remark("a minimum without one reading beside it, kept as text", "write reading/minimum"))
        return reading
    if minimum.unit and reading.unit != minimum.unit:
        row.kept.append((row.heading(f.MINIMUM) or f.MINIMUM, row.written(f.MINIMUM)))
        row.remark(f.MINIMUM, Remark("the minimum is on another scale than the reading", "give both on one scale"))
        return reading
    return replace(reading, minimum=minimum.value, minimum_figure=minimum.figure)


def _date(row: RowCells, field: str, context: Context) -> DateReading | None:
    if not row.written(field).strip():
        return None
    found = read_date(row.written(field), context.today, context.order)
    row.remark(field, found.remark)
    return found


def _price(row: RowCells, field: str, context: Context) -> PriceReading | None:
    if not row.written(field).strip():
        return None
    found = read_price(row.written(field), context.dollar, context.bare, row.heading(field))
    row.remark(field, found.remark)
    return found


def _acquired_from(row: RowCells) -> str:
    text = row.text(f.FROM)
    if says_ditto(text):
        row.remark(f.FROM, Remark("refers to the row above, kept as written", "write the source itself"))
    return text


def _hazards(row: RowCells) -> tuple[Hazard, ...]:
    hazards = find_hazards(row.words(), year_made(row.text(f.DATE_CODE)))
    for hazard in hazards:
        row.remarks.append(
            RowRemark("hazard", hazard.word, f"{hazard.reason}: mark {hazard.name} proposed", hazard.caution)
        )
    return hazards
