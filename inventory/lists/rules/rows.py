"""One row of a keeper's list -> what to write, or why not. Nothing is invented: what is not plain gets a remark."""

import re
from collections.abc import Sequence
from dataclasses import replace

from inventory.holdings.rules.cells import Remark, row_text
from inventory.holdings.rules.part_text import kind_named, sorts_in
from inventory.lists.rules import fields as f
from inventory.lists.rules import quantities
from inventory.lists.rules.heading_text import fold_heading
from inventory.lists.rules.heading_words import PART_WORDS
from inventory.lists.rules.kinds import kind_of_word, propose_kind, sort_of_part
from inventory.lists.rules.marks import MarkReading, read_mark
from inventory.lists.rules.not_items import not_an_item
from inventory.lists.rules.odd_marks import changed, perhaps, split_of
from inventory.lists.rules.row_cells import IDENTITY, RowCells
from inventory.lists.rules.row_counts import count
from inventory.lists.rules.row_filled import filled, whole
from inventory.lists.rules.row_parts import SECTIONS, TextPart, read_serial
from inventory.lists.rules.row_result import (
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
from inventory.lists.rules.row_wants import WANT, Want, find_want
from inventory.lists.rules.second_marks import beside_the_mark, by_service
from inventory.lists.rules.whereabouts import find_away, find_lender

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

#: As spreadsheets and programs write an answer of true or false; words in small letters are the keeper's own.
_TRUTH = re.compile(
    "TRUE|FALSE|True|False|WAHR|FALSCH|Wahr|Falsch|VRAI|FAUX|Vrai|Faux|WAAR|ONWAAR|VERO|FALSO|VERDADERO|ИСТИНА|ЛОЖЬ"
)
_NONE = Remark("none there: no thing is written", "nothing, if it is so; give the count if some are here")


def read_row(
    cells: Sequence[str], mapping: Sequence[str], context: Context, verbatim: frozenset[int] = frozenset(),
    counted: int | None = None,
) -> RowReading:  # fmt: skip
    """Read a row of any content; never raises. `mapping` names the field of each column (see ``fields``).

    `verbatim` are the columns whose cell is marked as text: it is not looked at for what a spreadsheet does.
    `counted`: how many there are, where somebody counted them since; the cells are not asked for it then.
    """
    if why := not_an_item(cells, mapping, context.headings):
        return RowReading(NOT_AN_ITEM, why)
    row = RowCells(cells, mapping, context.headings, verbatim, own=context.own)
    row.more_columns()
    what = by_service(row, context.tables) or row.text(f.MODEL) or _sort_with_value(row)
    if refused := _damaged(row, context) or (None if what else _nameless(row)):
        return refused
    mark = read_mark(what, context.tables)
    beside_the_mark(row, mark.stamp, context.tables)
    if several := _sections(row, what, mark, context):
        mark = replace(mark, text=several, count=None)
    what = mark.text
    serial = whole(row.text(f.SERIAL)) if context.own else read_serial(row.text(f.SERIAL))
    if len(serial.values) > 1 and serial.remark:
        row.remark(f.SERIAL, serial.remark)
        return RowReading(
            REFUSED, serial.remark.reason, remarks=tuple(row.remarks), mark=mark.text, kept=tuple(row.kept)
        )
    kind = _kind(row, what, mark, serial.value or row.lost_serial, context)
    split = None
    if kind == f.TUBES and not context.own:
        split = split_of(mark.text, row.text(f.QUANTITY), context.tables)
    if split:
        mark = replace(mark, refused=None, choices=(), remark=None, count=None)
        return replace(_read(row, kind, what, mark, serial, context, split.total), split=split)
    if kind == f.TUBES and mark.refused:
        row.remark(f.MARK if row.text(f.MARK) else f.MODEL, mark.refused)
        return RowReading(REFUSED, mark.refused.reason, kind, tuple(row.remarks), mark.text, kept=tuple(row.kept))
    if kind != f.TUBES and mark.refused and mark.two:
        row.remark(f.MODEL, Remark(f"{mark.refused.reason}, kept as text", "give each its own row if they are tubes"))
    if several and kind == f.PARTS:
        row.remark(f.MODEL, SECTIONS)
    return _read(row, kind, what, mark, serial, context, counted)


def _sections(row: RowCells, what: str, mark: MarkReading, context: Context) -> str:
    """What a part is, whole, where a count stands before its value and the list has a column of counts: ``3 x .1 mfd``
    can be three sections in one can. Empty for anything else.
    """
    if context.own or not mark.count or mark.stamp.readings or not row.written(f.QUANTITY).strip():
        return ""
    return what if sorts_in(what) & {"value"} else ""


def _damaged(row: RowCells, context: Context) -> RowReading | None:
    """A row whose number, model or serial a spreadsheet has rewritten."""
    for field in () if context.own else (f.MARK, f.MODEL):
        if _TRUTH.fullmatch(row.text(field)):
            truth = row.text(field)
            reason = f"{truth}: a spreadsheet's answer of true or false stands here, the original is lost"
            row.remark(field, Remark(reason, "look at the thing or an older list and write it again"))
            return RowReading(REFUSED, reason, remarks=tuple(row.remarks), kept=tuple(row.kept))
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


def _sort_with_value(row: RowCells) -> str:
    """What a part is where a list says it by a kind and a value alone: relay, 28 V; oil can, 10 mfd."""
    sort, value = sort_of_part(row.text(f.KIND)), row.text(f.VALUE)
    return sort if value and (kind_named(sort) or "value" in sorts_in(value)) else ""


def _nameless(row: RowCells) -> RowReading:
    remark = Remark("nothing in the row says what it is", "add the type or the model, or leave the row out")
    found = row_text(cell for _, cell in row.cells)
    row.remarks.append(RowRemark("row", found, remark.reason, remark.action))
    return RowReading(REFUSED, remark.reason, remarks=tuple(row.remarks), kept=tuple(row.kept))


def _kind(row: RowCells, what: str, mark: MarkReading, serial: str, context: Context) -> str:
    if context.kind:
        return context.kind
    word = row.text(f.KIND)
    if word and (kind := kind_of_word(word)):
        return kind
    if word and what == word and not row.text(f.MARK) and "value" in sorts_in(row.text(f.VALUE)):
        return f.PARTS  # nothing but a part has a capacitance or a resistance for its value
    notes = f"{word} {row.text(f.NOTE)} {row.text(f.CONDITION)}"
    tube_column = bool(row.text(f.MARK))
    kind, remark = propose_kind(what, mark.stamp, tube_column=tube_column, serial=serial, notes=notes)
    if kind == f.OTHERS and fold_heading(row.heading(f.MODEL)) in PART_WORDS:
        heading = row.heading(f.MODEL)
        kind, remark = f.PARTS, Remark(f"taken for parts by the heading {heading}", "correct the kind if it is not")
    row.remark(f.MARK if tube_column else f.MODEL, remark)
    return kind


def _read(
    row: RowCells, kind: str, what: str, mark: MarkReading, serial: TextPart, context: Context, found_now: int | None
) -> RowReading:
    tube = kind == f.TUBES
    if tube:
        row.remark(f.MARK if row.text(f.MARK) else f.MODEL, mark.remark)
    row.remark(f.SERIAL, serial.remark)
    counted = count(row, kind, serial.value, mark.count, own=context.own, counted=found_now)
    if counted.quantity.kind == quantities.REFUSED:
        why = counted.quantity.remark.reason if counted.quantity.remark else "the count cannot be read"
        return RowReading(REFUSED, why, kind, tuple(row.remarks), mark.text, kept=tuple(row.kept))
    away = None if context.own else find_away(row)
    lender = "" if context.own or away else find_lender(row)
    found = filled(row, kind, what, mark.stamp, counted, serial, context, away, lender)
    want = None if context.own else find_want(row, mark.stamp.leftover, counted.quantity, serial.value)
    if not context.own and (none := _none_here(row, found, want)):
        return replace(none, mark=mark.text, stamp=mark.stamp) if tube else none
    asked = tube and bool(mark.choices)
    beside = want.words if want else ""
    return replace(
        found,
        outcome=HELD if asked or beside else REMARKED if row.remarks else WRITTEN,
        why=mark.remark.reason if asked and mark.remark else beside,
        mark=mark.text if tube or row.text(f.MARK) else "",
        stamp=mark.stamp if tube else None,
        choices=mark.choices if asked else (),
        beside=beside,
        beside_in=want.field if want and beside else "",
        not_known=mark.not_known if tube else "",
        glued=mark.glued if tube else "",
        perhaps=perhaps(mark.text, context.tables) if tube else (),
        changed=changed(mark.text) if tube and not context.own else "",
        away=away,
        remarks=tuple(row.remarks),
        kept=tuple(row.kept),
    )


def _none_here(row: RowCells, found: RowReading, want: Want | None) -> RowReading | None:
    """A row of which nothing is owned: a want, or a count of none. None where there is something to write."""
    count = found.quantity
    none = count is not None and count.figure == 0 and not count.duds and not count.to_count
    if not none and (want is None or want.beside):
        return None
    field, remark = (want.field, want.remark) if want else (f.QUANTITY, _NONE)
    row.remark(field, remark)
    told = replace(row.remarks[-1], code=WANT if want else "")
    return replace(found, outcome=NOT_AN_ITEM, why=remark.reason, groups=(), remarks=(told,))
