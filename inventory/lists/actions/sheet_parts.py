"""What the readers of spreadsheets share: an XML part read as it comes, bounds, rows put by, cells as text.

XML comes from anybody. It is read by expat piece by piece; a part that declares a document type (entities may then
stand for gigabytes), is nested without end, or holds a mark or a cell without end is refused, and nothing is ever held
but the row that is read and the texts that cells share. What a few bytes can say many times over (marks that hold
nothing, repeats, shared texts) is counted as often as it is said.
"""

import pickle
import tempfile
import zipfile
from collections.abc import Callable, Iterator
from datetime import date, datetime, time
from typing import IO, Any
from xml.parsers import expat

from inventory.lists.rules.number_formats import figure_text
from inventory.lists.rules.records import LONGEST_LINE, MOST_CELLS, FileRefused, Line, clean

UNPACKED = 400_000_000  # bytes of all parts that are read
MOST_CELLS_OF_A_SHEET = 12_000_000
MOST_FILLED = 8_000_000  # cells that say something
MOST_BLANK = 100_000  # rows between and above filled ones; each becomes a line of its own
SHARED = 60_000_000  # characters of the texts that cells share
MOST_CHARACTERS = 200_000_000  # of a sheet, a text counted wherever it stands
MOST_MARKS = 40_000_000  # elements of all parts, counted at each reading
FREE_MARKS, MARKS_A_BYTE = 1_000_000, 16  # what a small file may hold, and more for each byte of its size
LONGEST_NAME = 400  # characters of a sheet's name, a format, a currency
CUT = 1000  # characters that are kept of a row too long to be read
DEEPEST, LONGEST_TAG = 60, 1_000_000  # levels; bytes of one mark
PIECE = 65_536
DAMAGED = "The spreadsheet is damaged; save it again as XLSX, ODS or CSV."


def refuse_size() -> FileRefused:
    return FileRefused("The spreadsheet unpacks to more than 400 MB; save the list by itself.")


def refuse_cell() -> FileRefused:
    return FileRefused(f"A cell holds more than {LONGEST_LINE} characters; save the list by itself.")


class Enough(Exception):
    """Raised by a handler that needs no more of its part."""


class Package:
    """The members of a packed spreadsheet of ``size`` bytes. ``names`` are all of them; what is read is counted."""

    def __init__(self, packed: zipfile.ZipFile, size: int) -> None:
        self.packed, self.read = packed, 0
        self.marks, self.most_marks = 0, min(MOST_MARKS, FREE_MARKS + MARKS_A_BYTE * size)
        self.names = frozenset(packed.namelist())
        if sum(entry.file_size for entry in packed.infolist()) > UNPACKED:
            raise refuse_size()

    def pieces(self, name: str) -> Iterator[bytes]:
        with self.packed.open(name) as inside:
            while piece := inside.read(PIECE):
                self.read += len(piece)
                if self.read > 3 * UNPACKED:  # each part is read up to three times
                    raise refuse_size()
                yield piece

    def count(self, marks: int) -> None:
        self.marks += marks
        if self.marks > self.most_marks:
            told = f"The spreadsheet holds more than {self.most_marks} marks, which is far more than its size tells of"
            raise FileRefused(f"{told}; delete the empty rows and columns round the list, or save it as CSV.")


class Words:
    """The pieces of one cell's text, bounded together."""

    def __init__(self) -> None:
        self._pieces: list[str] = []
        self._length = 0

    def add(self, text: str) -> None:
        self._length += len(text) + 1  # an empty piece is one too
        if self._length > LONGEST_LINE:
            raise refuse_cell()
        self._pieces.append(text)

    def joined(self, between: str = "") -> str:
        return between.join(self._pieces)


class Part:
    """Handlers of one XML part: ``start(name, attributes)``, ``end(name, text)``; names without their prefixes.

    ``keeps`` are the elements whose text is wanted; ``end`` gets the text of such a one, with that of elements in it.
    One that stands in another gets none of its own: what is said is told once.
    """

    keeps: frozenset[str] = frozenset()

    def __init__(self) -> None:
        self._depth = self._keeping = self._length = 0
        self._package: Package
        self.stopped = False  # whether a handler had enough before the end
        self._text: list[str] = []

    def start(self, name: str, attributes: dict[str, str]) -> None: ...

    def end(self, name: str, text: str) -> None: ...

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        self._depth += 1
        self._package.count(1 + len(attributes) // 8)
        if self._depth > DEEPEST:
            raise FileRefused(DAMAGED)
        if ":" in name:
            name = name[name.rindex(":") + 1 :]
        if name in self.keeps:
            if not self._keeping:
                self._text, self._length = [], 0
            self._keeping += 1
        self.start(name, attributes)

    def _end(self, name: str) -> None:
        self._depth -= 1
        if ":" in name:
            name = name[name.rindex(":") + 1 :]
        if name in self.keeps:
            self._keeping -= 1
        if name in self.keeps and not self._keeping:
            text, self._text = "".join(self._text), []
            self.end(name, text)
        else:
            self.end(name, "")

    def _said(self, text: str) -> None:
        if self._keeping:
            self._length += len(text)
            if self._length > LONGEST_LINE:
                raise refuse_cell()
            self._text.append(text)

    def say(self, text: str) -> None:
        """Put a text in the place of an element, where one is kept."""
        self._said(text)

    def read(self, package: Package, name: str) -> None:
        """Read the part of this name to its end, or until a handler has enough.

        Raises FileRefused for one that is no sound XML, and beyond the bounds.
        """
        self._package = package
        parser = expat.ParserCreate()
        parser.buffer_text = True
        parser.StartElementHandler, parser.EndElementHandler = self._start, self._end
        parser.CharacterDataHandler = self._said
        parser.StartDoctypeDeclHandler = _no_doctype
        fed = 0
        try:
            for piece in package.pieces(name):
                parser.Parse(piece, False)
                fed += len(piece)
                if fed - parser.CurrentByteIndex > LONGEST_TAG + PIECE:
                    raise FileRefused(DAMAGED)
            parser.Parse(b"", True)
        except Enough:
            self.stopped = True
        except expat.ExpatError as fault:
            raise FileRefused(DAMAGED) from fault


def _no_doctype(*_told: Any) -> None:
    raise FileRefused(DAMAGED)


def attribute(attributes: dict[str, str], name: str) -> str:
    """An attribute by its name, whatever prefix the file gives it."""
    if name in attributes:
        return attributes[name]
    return next((value for key, value in attributes.items() if key.endswith(":" + name)), "")


class Rows:
    """Rows put by on disk as they are read; ``lines`` gives them back, blank rows between them included.

    ``add`` takes the cells by column from 0: (text, whether the sheet holds a date there, currency shown).
    """

    AT_ONCE = 500

    def __init__(self) -> None:
        self.file: IO[bytes] | None = None  # opened by the first rows that are put by
        self._batch: list[tuple[int, list[tuple[int, str, bool, str]], bool]] = []
        self._batches = self._held = 0
        self.filled = self.last = self.characters = self.blank = 0
        self.first, self.left, self.right = 0, 1 << 30, -1

    def add(self, number: int, cells: list[tuple[int, str, bool, str]]) -> None:
        """Row ``number`` (from 1), its filled cells in the order of their columns."""
        self.filled += len(cells)
        self.left, self.right = min(self.left, cells[0][0]), max(self.right, cells[-1][0])
        self.blank += max(0, number - self.last - 1)
        self.first, self.last = min(self.first or number, number), max(self.last, number)
        if self.filled > MOST_FILLED:
            raise FileRefused(f"The sheet has more than {MOST_FILLED} filled cells; take the list in by parts.")
        area = (self.last - self.first + 1) * (self.right - self.left + 1)
        if area > MOST_CELLS_OF_A_SHEET or self.blank > MOST_BLANK:
            name = f"{column_name(cells[-1][0])}{number}"
            raise FileRefused(f"A lone cell stands far off, at {name}; delete it and save again.")
        length = sum(len(text) + len(sign) for _, text, _, sign in cells)
        if too_long := length > LONGEST_LINE:
            column, text, is_day, _ = cells[0]
            cells, length = [(column, text[:CUT], is_day, "")], CUT
        self.characters += length
        if self.characters > MOST_CHARACTERS:
            told = f"The cells of the sheet hold more than {MOST_CHARACTERS} characters, repeats counted"
            raise FileRefused(f"{told}; take the list in by parts.")
        self._batch.append((number, cells, too_long))
        self._held += length
        if len(self._batch) >= self.AT_ONCE or self._held > LONGEST_LINE:
            self._put()

    def _put(self) -> IO[bytes]:
        if self.file is None:
            self.file = tempfile.TemporaryFile()  # noqa: SIM115 - goes with the lines
        pickle.dump(self._batch, self.file, pickle.HIGHEST_PROTOCOL)
        self._batch, self._held = [], 0
        self._batches += 1
        return self.file

    def lines(self) -> Iterator[Line]:
        at = 0
        with self._put() as file:
            file.seek(0)
            for _ in range(self._batches):
                for number, cells, too_long in pickle.load(file):
                    yield from (Line(blank, ()) for blank in range(at + 1, number))
                    at = max(at, number)  # a row that stands too late brings no blank ones again
                    yield self._line(number, cells, too_long)

    def _line(self, number: int, cells: list[tuple[int, str, bool, str]], too_long: bool) -> Line:
        if too_long:
            fault = f"the row holds more than {LONGEST_LINE} characters"
            return Line(number, (cells[0][1],), fault, spoilt=True)
        width = cells[-1][0] - self.left + 1
        spoilt = width > MOST_CELLS
        texts = [""] * min(width, MOST_CELLS)
        for column, text, _, _ in cells:
            if column - self.left < len(texts):
                texts[column - self.left] = text
        dated = frozenset(column - self.left for column, _, is_day, _ in cells if is_day)
        shown = tuple((column - self.left, sign) for column, _, _, sign in cells if sign)
        fault = f"the row has more than {MOST_CELLS} cells" if spoilt else ""
        return Line(number, tuple(texts), fault, spoilt, dated, shown)


def column_name(column: int) -> str:
    """The letters of a column counted from 0: A, Z, AA."""
    letters, left = "", column + 1
    while left:
        left, at = divmod(left - 1, 26)
        letters = chr(65 + at) + letters
    return letters


def cell_text(cell: Any) -> str:
    """A cell as its sheet shows it without a format: 15 figures at most, days by ISO 8601."""
    if isinstance(cell, str):
        return clean(cell)
    if isinstance(cell, bool):
        return "TRUE" if cell else "FALSE"
    if isinstance(cell, float):
        return figure_text(cell)
    if isinstance(cell, datetime):
        return cell.date().isoformat() if cell.time() == time() else cell.isoformat(" ", "minutes")
    return cell.isoformat() if isinstance(cell, date) else str(cell)


#: (name, how it is read) of a sheet. Asked only whether it is filled, the reading stops at the first filled cell; it
#: gives None for a sheet that says nothing.
Sheet = tuple[str, Callable[[bool], Rows | None]]
