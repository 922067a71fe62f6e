"""The sheet of a workbook that is wanted, as lines: XLSX and ODS piece by piece, XLS and XLSB by a library."""

import pickle
import shutil
import subprocess
import sys
import tempfile
import zipfile
from collections.abc import Iterator
from datetime import date, time, timedelta
from functools import partial
from pathlib import Path
from typing import IO, Any

from inventory.lists.actions.sheet_ods import CONTENT, ods_sheets
from inventory.lists.actions.sheet_parts import DAMAGED, UNPACKED, Package, Rows, Sheet, cell_text
from inventory.lists.actions.sheet_xlsx import BOOK, xlsx_sheets
from inventory.lists.rules.records import FileRefused, Line

BINARY = "xl/workbook.bin"
OLD_UNPACKED = 30_000_000  # bytes of XLS or XLSB, which the library takes in whole
OLD_MEMORY, OLD_SECONDS = 1_000_000_000, 60  # of the process that it runs in


def sheet_lines(file: IO[bytes], wanted: str, *, zipped: bool) -> tuple[str, Iterator[Line], list[str]]:
    """(name, lines, other filled sheets) of the sheet that is wanted, or of the only filled one.

    Raises FileRefused for a damaged file, for one beyond the bounds, and where no filled sheet is plainly meant.
    """
    if not zipped:
        return _read(_by_the_library(file, file.seek(0, 2)), wanted)
    try:
        with zipfile.ZipFile(file) as packed:
            package = Package(packed, file.seek(0, 2))
            if CONTENT in package.names:
                return _read(ods_sheets(package), wanted)
            if BOOK in package.names:
                return _read(xlsx_sheets(package), wanted)
            size = sum(entry.file_size for entry in packed.infolist())
            if BINARY not in package.names:
                raise FileRefused("The file is packed, but no spreadsheet is in it; save the list as XLSX, ODS or CSV.")
    except FileRefused:
        raise
    except Exception as fault:  # packing methods have faults of their own
        raise FileRefused(DAMAGED) from fault
    return _read(_by_the_library(file, size), wanted)


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


def _by_the_library(file: IO[bytes], size: int) -> list[Sheet]:
    """The filled sheets of a workbook of ``size`` bytes, unpacked."""
    if size > OLD_UNPACKED:
        told = f"The spreadsheet is XLS or XLSB and larger than {OLD_UNPACKED // 1_000_000} MB unpacked"
        raise FileRefused(f"{told}; save it as XLSX or CSV.")
    with _read_apart(file, "") as said:
        filled: list[tuple[str, int]] = _told(said)[1]

    def read(at: int, only_whether: bool) -> Rows | None:
        rows = Rows()
        if only_whether:
            return rows
        left = filled[at][1]
        with _read_apart(file, str(at)) as said:
            _told(said)
            while row := _told(said):
                if cells := _cells(left, row[1]):
                    rows.add(row[0], cells)
        return rows if rows.filled else None

    return [(name, partial(read, at)) for at, (name, _) in enumerate(filled)]


def _cells(left: int, row: list[Any]) -> list[tuple[int, str, bool, str]]:
    told = [(left + at, cell_text(cell), isinstance(cell, date | time | timedelta)) for at, cell in enumerate(row)]
    return [(at, text, is_day, "") for at, text, is_day in told if text]


def _read_apart(file: IO[bytes], chosen: str) -> IO[bytes]:
    """What the process that can be spared tells of the file. Raises FileRefused where it came to its bounds."""
    said: IO[bytes] = tempfile.TemporaryFile()  # noqa: SIM115 - goes with what is read of it
    with tempfile.TemporaryFile() as given:
        file.seek(0)
        shutil.copyfileobj(file, given)
        given.seek(0)
        bounds = [str(OLD_MEMORY), str(OLD_SECONDS), str(UNPACKED)]
        command = [sys.executable, "-P", str(Path(__file__).with_name("old_sheets.py")), *bounds, chosen]
        try:
            ended = subprocess.run(
                command, stdin=given, stdout=said, stderr=subprocess.DEVNULL, timeout=2 * OLD_SECONDS, check=False
            ).returncode
        except (subprocess.TimeoutExpired, OSError):
            ended = -1
    if ended:
        said.close()
        told = f"The spreadsheet cannot be read within {OLD_MEMORY // 1_000_000} MB of memory and {OLD_SECONDS} seconds"
        raise FileRefused(f"{told}; delete what stands far off the list, or save it as XLSX or CSV.")
    said.seek(0)
    return said


def _told(said: IO[bytes]) -> Any:
    """The next that the process tells. Raises FileRefused where that is a fault."""
    what = pickle.load(said)
    if what and what[0] is False:
        raise FileRefused(f"The spreadsheet cannot be read ({what[1]}); save it again as XLSX, ODS or CSV.")
    return what
