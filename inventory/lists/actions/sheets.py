"""The sheet of a workbook that is wanted, as lines: XLSX and ODS piece by piece, XLS and XLSB by a library."""

import zipfile
from collections.abc import Iterator
from datetime import date, time, timedelta
from functools import partial
from typing import IO, Any

from python_calamine import CalamineError, CalamineWorkbook

from inventory.lists.actions.sheet_ods import CONTENT, ods_sheets
from inventory.lists.actions.sheet_parts import DAMAGED, Package, Rows, Sheet, cell_text
from inventory.lists.actions.sheet_xlsx import BOOK, xlsx_sheets
from inventory.lists.rules.records import FileRefused, Line

BINARY = "xl/workbook.bin"


def sheet_lines(file: IO[bytes], wanted: str, *, zipped: bool) -> tuple[str, Iterator[Line], list[str]]:
    """(name, lines, other filled sheets) of the sheet that is wanted, or of the only filled one.

    Raises FileRefused for a damaged file, for one beyond the bounds, and where no filled sheet is plainly meant.
    """
    if not zipped:
        return _read(_by_the_library(file), wanted)
    try:
        with zipfile.ZipFile(file) as packed:
            package = Package(packed)
            if CONTENT in package.names:
                return _read(ods_sheets(package), wanted)
            if BOOK in package.names:
                return _read(xlsx_sheets(package), wanted)
            if BINARY not in package.names:
                raise FileRefused("The file is packed, but no spreadsheet is in it; save the list as XLSX, ODS or CSV.")
    except FileRefused:
        raise
    except Exception as fault:  # packing methods have faults of their own
        raise FileRefused(DAMAGED) from fault
    return _read(_by_the_library(file), wanted)


def _read(sheets: list[Sheet], wanted: str) -> tuple[str, Iterator[Line], list[str]]:
    filled = [(name, read) for name, read in sheets if read(True) is not None]
    if not filled:
        raise FileRefused("The spreadsheet has no filled sheet.")
    name, read = _chosen(filled, wanted)
    rows = read(False)
    if rows is None:
        raise FileRefused(DAMAGED)
    return name, rows.lines(), [one for one, _ in filled if one != name]


def _chosen(found: list[Sheet], wanted: str) -> Sheet:
    """The sheet that is wanted, or the only filled one. Raises FileRefused where that is not told."""
    names = ", ".join(repr(name) for name, _ in found)[:400]
    if wanted:
        for sheet in found:
            if sheet[0].strip().casefold() == wanted.strip().casefold():
                return sheet
        raise FileRefused(f"There is no filled sheet {wanted!r}; there are: {names}.", field="sheet")
    if len(found) > 1:
        told = f"The workbook has {len(found)} filled sheets: {names}."
        raise FileRefused(f"{told} Say which one, and take in each by itself.", field="sheet")
    return found[0]


# --- XLS and XLSB ------------------------------------------------------------------------------------------------


def _by_the_library(file: IO[bytes]) -> list[Sheet]:
    file.seek(0)
    try:
        book = CalamineWorkbook.from_filelike(file)  # type: ignore[arg-type]
        pages = [(name, book.get_sheet_by_index(at)) for at, name in enumerate(book.sheet_names)]
    except (CalamineError, OSError, ValueError) as fault:
        told = " ".join(str(fault).split())[:120]
        raise FileRefused(f"The spreadsheet cannot be read ({told}); save it again as XLSX, ODS or CSV.") from fault
    except BaseException as fault:  # a reader in another language may stop in a way of its own
        if type(fault).__name__ != "PanicException":
            raise
        raise FileRefused(DAMAGED) from fault
    return [(name, partial(_rows_of, page)) for name, page in pages if page.height and page.width]


def _rows_of(page: Any, only_whether: bool) -> Rows | None:
    rows = Rows()
    if only_whether:
        return rows
    left = page.start[1] if page.start else 0
    for number, row in enumerate(page.iter_rows(), 1):
        told = [(left + at, cell_text(cell), isinstance(cell, date | time | timedelta)) for at, cell in enumerate(row)]
        if cells := [(at, text, is_day, "") for at, text, is_day in told if text]:
            rows.add(number, cells)
    return rows if rows.filled else None
