"""A keeper's file as rows of text: CSV and its kin in any encoding, XLSX, ODS and XLS. Nothing is worked out."""

import codecs
import hashlib
import io
import re
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from itertools import islice
from typing import IO, Any

from charset_normalizer import from_bytes
from django.conf import settings
from python_calamine import CalamineError, CalamineWorkbook

from inventory.lists.rules.records import MOST_CELLS, Line, guess_delimiter, records, told_delimiter
from inventory.lists.rules.signature import OLD_SHEET, PACKED, SIGNED, encoding_told, signature_fault

SAMPLE = 262_144  # bytes
SAMPLE_LINES = 400
MOST_CELLS_OF_A_SHEET = 12_000_000
#: What keepers' programs wrote before UTF-8; the first is taken where they do not differ.
_OLD = ["cp1252", "cp1250", "cp1251", "cp1253", "cp850", "cp437", "cp866", "koi8_r", "mac_roman", "iso8859_15"]
_NOT_TEXT = {0: None, **{code: 0xFFFD for code in range(1, 32) if chr(code) not in "\t\n\r"}}


class FileRefused(ValueError):
    """The file cannot be taken in as a list; its text says why and how to mend it. ``field``: what is to be mended."""

    def __init__(self, text: str, field: str = "file") -> None:
        super().__init__(text)
        self.field = field


@dataclass
class Table:
    """A file as rows; ``notes``: what a person should know of how it was read.

    ``sheet``: the one that was chosen of several. ``digest`` is of the file, and of the sheet where there are several.
    """

    digest: str
    lines: Iterator[Line]
    notes: list[str] = field(default_factory=list)
    sheet: str = ""


def open_table(file: IO[bytes], name: str = "", sheet: str = "") -> Table:
    """Read a file of any content; ``sheet``: which of a workbook's.

    Raises FileRefused for what is too large, empty, no list, not what its name says, and for a workbook of several
    sheets of which none is chosen: a part of a list is never taken for the whole.
    """
    digest = _digest(file)
    sample = file.read(SIGNED)
    file.seek(0)
    if not sample:
        raise FileRefused("The file is empty.")
    if fault := signature_fault(name, sample):
        raise FileRefused(fault)
    if sample.startswith(PACKED) or sample.startswith(OLD_SHEET):
        return _sheet(file, digest, sheet, zipped=sample.startswith(PACKED))
    if sheet:
        raise FileRefused(f"There is no sheet {sheet!r}: the file is text, not a workbook.", field="sheet")
    return _text(file, digest)


def _digest(file: IO[bytes]) -> str:
    summed, size, most = hashlib.sha256(), 0, settings.IMPORT_MAX_MB * 1_000_000
    file.seek(0)
    while piece := file.read(1_000_000):
        summed.update(piece)
        size += len(piece)
        if size > most:
            raise FileRefused(f"The file is larger than {most // 1_000_000} MB; take the list in by parts.")
    file.seek(0)
    return summed.hexdigest()


# --- text --------------------------------------------------------------------------------------------------------


def _text(file: IO[bytes], digest: str) -> Table:
    encoding, note = _encoding(file)
    file.seek(0)
    kept: Any = _Kept(file)
    stream: Any = io.TextIOWrapper(kept, encoding=encoding, errors="replace", newline=None)
    lines = (_clean(line) for line in _bounded(stream))
    sample = list(islice(lines, SAMPLE_LINES))
    delimiter = guess_delimiter(sample)
    first = 1
    if sample and told_delimiter(sample[0]):
        del sample[0]
        first = 2
    notes = [note] if note else []
    return Table(digest, records(_chain(sample, lines), delimiter, first), notes)


def _chain(first: list[str], rest: Iterator[str]) -> Iterator[str]:
    while first:
        yield first.pop(0)
    yield from rest


def _bounded(stream: Any) -> Iterator[str]:
    """Lines; one without an end comes in pieces and is never held whole."""
    while line := stream.readline(500_000):
        whole = line.endswith("\n")
        yield line
        while not whole and (rest := stream.readline(500_000)):
            whole = rest.endswith("\n")


class _Kept(io.RawIOBase):
    """A file that stays open when the text stream round it is dropped."""

    def __init__(self, file: IO[bytes]) -> None:
        self.file = file

    def readable(self) -> bool:
        return True

    def readinto(self, buffer: Any) -> int:
        piece = self.file.read(len(buffer))
        buffer[: len(piece)] = piece
        return len(piece)

    def read1(self, size: int = -1) -> bytes:
        return self.file.read(size if size > 0 else 65_536)


def _clean(text: str) -> str:
    """Text that every database keeps: no NUL, no signs that steer a terminal, no half characters."""
    if text.isascii() and text.isprintable():
        return text
    return text.translate(_NOT_TEXT).encode("utf-8", "replace").decode("utf-8")


def _encoding(file: IO[bytes]) -> tuple[str, str]:
    """(encoding, what to say of it)."""
    sample = file.read(SAMPLE)
    if name := encoding_told(sample):
        return name, ""
    file.seek(0)
    decoder = codecs.getincrementaldecoder("utf-8")()
    try:
        while piece := file.read(1_000_000):
            decoder.decode(piece)
        decoder.decode(b"", final=True)
    except UnicodeDecodeError:
        name = _old_encoding(sample)
        return name, f"The file is no UTF-8; it was read as {name}. Look whether accented letters are right."
    return "utf-8", ""


def _old_encoding(sample: bytes) -> str:
    """The old code page whose letters make the best words; cp1252 where nothing speaks for another."""
    odd = b"\n".join(line for line in sample.splitlines() if not line.isascii())[:20_000]
    try:
        best = from_bytes(odd, cp_isolation=_OLD, steps=3, chunk_size=256).best()
    except Exception:  # a guess that fails is no reason to refuse a file
        best = None
    if best is None:
        return _cyrillic(odd) or "cp1252"
    return "cp1252" if str(best) == odd.decode("cp1252", "replace") else best.encoding


def _cyrillic(odd: bytes) -> str:
    """The Cyrillic code page in which most signs are small letters; "" where none is."""
    shares = {name: _small_letters(odd.decode(name, "replace")) for name in ("cp1251", "koi8_r", "cp866")}
    name = max(shares, key=lambda one: shares[one])
    return name if shares[name] > 0.6 else ""


def _small_letters(text: str) -> float:
    signs = [sign for sign in text if not sign.isascii()]
    return sum("а" <= sign <= "я" for sign in signs) / max(1, len(signs))


# --- spreadsheets ------------------------------------------------------------------------------------------------


def _sheet(file: IO[bytes], digest: str, wanted: str, *, zipped: bool) -> Table:
    odd = _look_inside(file) if zipped else {}
    file.seek(0)
    try:
        book = CalamineWorkbook.from_filelike(file)  # type: ignore[arg-type]
        found = []
        for at, name in enumerate(book.sheet_names):
            sheet = book.get_sheet_by_index(at)
            if sheet.height and sheet.width:
                found.append((name, sheet))
    except (CalamineError, OSError, ValueError) as fault:
        raise FileRefused(
            f"The spreadsheet cannot be read ({_flat(fault)}); save it again as XLSX, ODS or CSV."
        ) from fault
    except BaseException as fault:  # a reader in another language may stop in a way of its own
        if type(fault).__name__ != "PanicException":
            raise
        raise FileRefused("The spreadsheet is damaged; save it again as XLSX, ODS or CSV.") from fault
    if not found:
        raise FileRefused("The spreadsheet has no filled sheet.")
    name, sheet = _chosen(found, wanted)
    if sheet.total_height * sheet.width > MOST_CELLS_OF_A_SHEET:
        raise FileRefused(f"Sheet {name!r} has more than {MOST_CELLS_OF_A_SHEET} cells; save the list by itself.")
    others = [one for one, _ in found if one != name]
    if not others:
        return Table(digest, _sheet_lines(sheet, odd.get(name, {})))
    notes = [f"Sheet {name!r} was read; not read: {', '.join(others)[:200]}."]
    digest = hashlib.sha256(f"{digest}\n{name}".encode("utf-8", "replace")).hexdigest()
    return Table(digest, _sheet_lines(sheet, odd.get(name, {})), notes, name)


def _chosen(found: list[tuple[str, Any]], wanted: str) -> tuple[str, Any]:
    """The sheet that is wanted, or the only filled one. Raises FileRefused where that is not told."""
    names = ", ".join(repr(name) for name, _ in found)[:400]
    if wanted:
        for name, sheet in found:
            if name.strip().casefold() == wanted.strip().casefold():
                return name, sheet
        raise FileRefused(f"There is no filled sheet {wanted!r}; there are: {names}.", field="sheet")
    if len(found) > 1:
        told = f"The workbook has {len(found)} filled sheets: {names}."
        raise FileRefused(f"{told} Say which one, and take in each by itself.", field="sheet")
    return found[0]


def _flat(fault: BaseException) -> str:
    return " ".join(str(fault).split())[:120]


def _sheet_lines(sheet: Any, odd: dict[tuple[int, int], str]) -> Iterator[Line]:
    left = sheet.start[1] if sheet.start else 0
    for at, row in enumerate(sheet.iter_rows()):
        dated = frozenset(i for i, cell in enumerate(row) if isinstance(cell, date | time | timedelta))
        cells = [odd.get((at, left + i), "") or _cell_text(cell) for i, cell in enumerate(row)]
        while cells and not cells[-1]:
            cells.pop()
        spoilt = len(cells) > MOST_CELLS
        fault = f"the row has more than {MOST_CELLS} cells" if spoilt else ""
        yield Line(at + 1, tuple(cells[:MOST_CELLS]), fault, spoilt, dated)


def _cell_text(cell: Any) -> str:
    """A cell as its sheet shows it without a format: 15 figures at most, days by ISO 8601."""
    if isinstance(cell, str):
        return _clean(cell)
    if isinstance(cell, bool):
        return "TRUE" if cell else "FALSE"
    if isinstance(cell, float):
        return str(int(cell)) if cell.is_integer() and abs(cell) < 1e15 else f"{cell:.15g}"
    if isinstance(cell, datetime):
        return cell.date().isoformat() if cell.time() == time() else cell.isoformat(" ", "minutes")
    return cell.isoformat() if isinstance(cell, date) else str(cell)


_CELL = re.compile(rb"<(?:\w+:)?c\b([^>]*?)(?:/>|>(.*?)</(?:\w+:)?c>)", re.DOTALL)
_REF = re.compile(rb'\br="([A-Z]{1,3})([0-9]{1,7})"')
_ERROR_CELL = re.compile(rb'\bt="e"')
_VALUE = re.compile(rb"<(?:\w+:)?v\b[^>]*>([^<]+)</")
_FORMULA = re.compile(rb"<(?:\w+:)?f\b[^>]*>([^<]*)</")
_REPEATED = re.compile(rb'number-(?:rows|columns)-repeated="([0-9]+)"')
_UNPACKED = 400_000_000  # bytes


def _look_inside(file: IO[bytes]) -> dict[str, dict[tuple[int, int], str]]:
    """By sheet, cells whose text the reader leaves out: error values, and formulas without a stored result.

    Raises FileRefused for a packed file that would not fit into memory, as one with a lone cell in its last row.
    """
    try:
        with zipfile.ZipFile(file) as packed:
            if sum(entry.file_size for entry in packed.infolist()) > _UNPACKED:
                raise FileRefused("The spreadsheet unpacks to more than 400 MB; save the list by itself.")
            names = set(packed.namelist())
            if "content.xml" in names:
                _look_into_ods(packed)
                return {}
            if "xl/workbook.bin" not in names and "xl/workbook.xml" not in names:
                raise FileRefused("The file is packed, but no spreadsheet is in it; save the list as XLSX, ODS or CSV.")
            paths = _sheet_paths(packed) if "xl/workbook.xml" in names else {}
            return {name: _odd_cells(packed, path) for name, path in paths.items() if path in names}
    except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError, RuntimeError, EOFError, KeyError) as fault:
        if isinstance(fault, FileRefused):
            raise
        raise FileRefused("The spreadsheet is damaged; save it again as XLSX, ODS or CSV.") from fault
    except Exception as fault:  # packing methods have faults of their own
        raise FileRefused("The spreadsheet is damaged; save it again as XLSX, ODS or CSV.") from fault


def _look_into_ods(packed: zipfile.ZipFile) -> None:
    """Repeats of filled cells are written once and read many times over."""
    with packed.open("content.xml") as inside:
        tail = b""
        while piece := inside.read(1_000_000):
            text = tail + piece
            for row in re.findall(rb"<table:table-row\b[^>]*>(?:(?!<table:table-row\b).){0,4000}", text, re.DOTALL):
                figures = [int(figure[:9]) for figure in _REPEATED.findall(row)]
                if b"office:value" in row and max(figures, default=0) > 20_000:
                    raise FileRefused(
                        "A row or cell of the sheet is repeated far down; delete the rows below the list."
                    )
            tail = text[-4000:]


def _sheet_paths(packed: zipfile.ZipFile) -> dict[str, str]:
    book = packed.read("xl/workbook.xml").decode("utf-8", "replace")
    try:
        links = packed.read("xl/_rels/workbook.xml.rels").decode("utf-8", "replace")
    except KeyError:
        return {}
    targets = {}
    for one in re.findall(r"<Relationship\b[^>]*>", links):
        key, target = re.search(r'\bId="([^"]+)"', one), re.search(r'\bTarget="([^"]+)"', one)
        if key and target:
            path = target[1].lstrip("/")
            targets[key[1]] = path if path.startswith("xl/") else f"xl/{path}"
    paths = {}
    for one in re.findall(r"<(?:\w+:)?sheet\b[^>]*>", book):
        name, key = re.search(r'\bname="([^"]*)"', one), re.search(r'\br:id="([^"]+)"', one)
        if name and key and key[1] in targets:
            paths[_unescaped(name[1])] = targets[key[1]]
    return paths


def _unescaped(text: str) -> str:
    for mark, sign in (("&lt;", "<"), ("&gt;", ">"), ("&quot;", '"'), ("&apos;", "'"), ("&amp;", "&")):
        text = text.replace(mark, sign)
    return text


def _odd_cells(packed: zipfile.ZipFile, path: str) -> dict[tuple[int, int], str]:
    odd: dict[tuple[int, int], str] = {}
    rows, columns = [1_048_577, 0], [20_000, 0]
    for attributes, body in _cells_of(packed, path):
        ref = _REF.search(attributes)
        if not ref:
            continue
        column, row = _column(ref[1]), int(ref[2])
        rows = [min(rows[0], row), max(rows[1], row)]
        columns = [min(columns[0], column), max(columns[1], column)]
        if (rows[1] - rows[0] + 1) * (columns[1] - columns[0] + 1) > MOST_CELLS_OF_A_SHEET:
            raise FileRefused(f"A lone cell stands far off, at {ref[1].decode()}{row}; delete it and save again.")
        value = _VALUE.search(body)
        if _ERROR_CELL.search(attributes):
            odd[row - 1, column - 1] = _unescaped((value[1] if value else b"#VALUE!").decode("utf-8", "replace"))
        elif (formula := _FORMULA.search(body)) and not value and b"<is>" not in body:
            odd[row - 1, column - 1] = _clean(f"={_unescaped(formula[1].decode('utf-8', 'replace'))}")
    return odd


def _cells_of(packed: zipfile.ZipFile, path: str) -> Iterator[tuple[bytes, bytes]]:
    with packed.open(path) as inside:
        tail = b""
        while piece := inside.read(1_000_000):
            text = tail + piece
            end = 0
            for found in _CELL.finditer(text):
                end = found.end()
                yield found[1], found[2] or b""
            tail = text[max(end, len(text) - 2_000_000) :]


def _column(letters: bytes) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + letter - 64
    return number
