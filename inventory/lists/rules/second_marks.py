"""Columns of VT and CV numbers beside the column of types, or alone: the first filled one of a row names its tube.

A service's number written without its letters (231 under VT) is read with them. Common practice, no source.
"""

import re

from inventory.holdings.rules.cells import Remark, shown
from inventory.lists.rules import fields as f
from inventory.lists.rules.heading_text import service_letters
from inventory.lists.rules.row_cells import RowCells
from tubes.rules.stamp import StampAnswer, StampTables, read_stamp

_BARE = re.compile(r"[0-9]{1,4}[A-Za-z]?")


def by_service(row: RowCells, tables: StampTables) -> str:
    """The mark of a row; a bare number under the heading of a service's numbers gets their letters."""
    text = row.text(f.MARK)
    whole = _with_letters(text, row.heading(f.MARK), tables)
    if whole != text:
        reason = f"read as {whole} by the heading {row.heading(f.MARK)}"
        row.remark(f.MARK, Remark(reason, "correct the mark if it is another number"))
    return whole


def beside_the_mark(row: RowCells, stamp: StampAnswer, tables: StampTables) -> None:
    """Say where another number of the same row names another tube; neither is corrected."""
    here = _types(stamp)
    for heading, text in row.more_marks:
        whole = _with_letters(text, heading, tables)
        there = _types(read_stamp(whole, tables))
        if here and there and not any(one == other or tables.linked(one, other) for one in here for other in there):
            reason = f"{heading}: {shown(whole)} is {' or '.join(sorted(there))}, the mark {' or '.join(sorted(here))}"
            row.remark(f.MARK, Remark(f"{reason}: the mark is taken", "look at the tube and correct one of them"))


def _with_letters(text: str, heading: str, tables: StampTables) -> str:
    letters = service_letters(heading)
    if not letters or not _BARE.fullmatch(text):
        return text
    whole = f"{letters}-{text.upper()}" if letters == "VT" else f"{letters}{text.upper()}"
    return whole if _types(read_stamp(whole, tables)) else text


def _types(stamp: StampAnswer) -> set[str]:
    return {reading.type for reading in stamp.readings if reading.type}
