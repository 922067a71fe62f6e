"""A text file as rows of cells: which sign parts the cells, and what a quotation mark encloses.

Rows by RFC 4180 with any of four delimiters. A quotation mark that is never closed must not swallow the rest of a list
in silence: its line is read by itself, as it stands, and says so.
"""

import csv
import math
from collections import Counter, deque
from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

DELIMITERS = ("\t", ";", "|", ",")  # a comma last: it stands in figures and words too
#: A cell in quotation marks that goes over more lines than this is taken for one that was never closed.
MOST_LINES_OF_A_CELL = 60
FEWER_LINES = 3
MOST_IN_VAIN = 20_000_000  # characters behind quotation marks that were never closed, in one file
MOST_CELLS = 250
LONGEST_LINE = 400_000
_CLOSED_EARLY = "words stand behind a closing quotation mark; the marks were left out"
_NEVER_CLOSED = "a quotation mark is opened and not closed; the line is read as it stands"
_TOO_LONG = f"the line is longer than {LONGEST_LINE} characters or has more than {MOST_CELLS} cells"
_NOT_TEXT = {0: None, **{code: 0xFFFD for code in range(1, 32) if chr(code) not in "\t\n\r"}}


class FileRefused(ValueError):
    """The file cannot be taken in as a list; its text says why and how to mend it. ``field``: what is to be mended."""

    def __init__(self, text: str, field: str = "file") -> None:
        super().__init__(text)
        self.field = field


@dataclass(frozen=True, slots=True)
class Line:
    """The cells of one row. ``number`` is the line where it begins; ``fault`` what is wrong with its form.

    ``spoilt`` rows are not to be read: their cells are cut. ``dated`` are the columns in which a spreadsheet holds a
    date, whatever was typed there; ``shown`` the currencies, by column, that it shows beside bare figures.
    """

    number: int
    cells: tuple[str, ...]
    fault: str = ""
    spoilt: bool = False
    dated: frozenset[int] = frozenset()
    shown: tuple[tuple[int, str], ...] = ()


def with_currencies(line: Line, columns: Collection[int] | None = None) -> tuple[str, ...]:
    """The cells of a line, with the currencies that the sheet shows beside bare figures; in ``columns``, or in all."""
    if not line.shown:
        return line.cells
    cells = list(line.cells)
    for at, sign in line.shown:
        if at < len(cells) and cells[at] and (columns is None or at in columns):
            cells[at] = f"{sign} {cells[at]}"
    return tuple(cells)


def kept_cells(line: Line) -> Any:
    """The cells of a row, ready for JSON; with what is wrong with the form of its line, where something is."""
    cells = list(line.cells)
    if not (line.fault or line.dated or line.shown):
        return cells
    kept = {"cells": cells, "fault": line.fault, "spoilt": line.spoilt, "dated": sorted(line.dated)}
    return kept | ({"shown": [list(one) for one in line.shown]} if line.shown else {})


def line_of(number: int, kept: Any) -> Line:
    """A row out of JSON as a line of its list."""
    if not isinstance(kept, Mapping):
        return Line(number, tuple(kept))
    shown = tuple((int(at), str(sign)) for at, sign in kept.get("shown", ()))
    dated = frozenset(kept.get("dated", ()))
    return Line(number, tuple(kept["cells"]), kept.get("fault", ""), bool(kept.get("spoilt")), dated, shown)


def clean(text: str) -> str:
    """Text that every database keeps: no NUL, no signs that steer a terminal, no half characters."""
    if text.isascii() and text.isprintable():
        return text
    return text.translate(_NOT_TEXT).encode("utf-8", "replace").decode("utf-8")


def guess_delimiter(sample: Sequence[str]) -> str:
    """The sign that parts the cells of the sample lines most evenly; a comma where nothing does.

    ``sep=;`` on the first line, as one spreadsheet program writes it, is taken at its word.
    """
    if sample and (told := told_delimiter(sample[0])):
        return told
    lines = [line for line in sample[:400] if line.strip()]
    found = {delimiter: _evenness(lines, delimiter) for delimiter in DELIMITERS}
    return max(found, key=lambda delimiter: found[delimiter]) if any(found.values()) else ","


def told_delimiter(line: str) -> str:
    """The sign named by a line ``sep=;``, or nothing."""
    text = line.rstrip("\r\n").lstrip("\ufeff")
    return text[4] if len(text) == 5 and text.casefold().startswith("sep=") and text[4] in DELIMITERS else ""


def _evenness(lines: Sequence[str], delimiter: str) -> float:
    counts = [len(line.cells) for line in records(iter(lines), delimiter)]
    parted = Counter(count for count in counts if count > 1)
    if not parted:
        return 0.0
    width, times = parted.most_common(1)[0]
    return math.sqrt(width - 1) * times / len(counts)


def records(lines: Iterator[str], delimiter: str, first: int = 1) -> Iterator[Line]:
    """Rows of a text given line by line (each with its line end), numbered from ``first``. Never raises.

    Each line is looked at once, and once more for every open quotation mark above it that was never closed; after
    ``MOST_IN_VAIN`` characters looked at so, such a mark is followed over a few lines only.
    """
    waiting: deque[str] = deque()
    number, in_vain = first, 0
    while True:
        text = waiting.popleft() if waiting else next(lines, None)
        if text is None:
            return
        if len(text) > LONGEST_LINE:
            yield Line(number, (text[:1000],), _TOO_LONG, spoilt=True)
            number += 1
            continue
        row = _Row(text, waiting, lines, MOST_LINES_OF_A_CELL if in_vain < MOST_IN_VAIN else FEWER_LINES)
        cells, fault = row.parse(delimiter)
        for _ in range(row.taken - 1):
            waiting.popleft()
        in_vain += row.in_vain
        spoilt = len(cells) > MOST_CELLS
        yield Line(number, tuple(cells[:MOST_CELLS]), _TOO_LONG if spoilt else fault, spoilt)
        number += row.taken


class _Row:
    """One row that begins on a line: it may go on over the lines behind, which stay in ``waiting`` until it is read."""

    def __init__(self, text: str, waiting: deque[str], lines: Iterator[str], most: int) -> None:
        self.text, self.waiting, self.lines, self.most = text, waiting, lines, most
        self.taken, self.in_vain = 1, 0

    def parse(self, delimiter: str) -> tuple[list[str], str]:
        """(cells, fault). ``taken`` is how many lines the row is, ``in_vain`` what was looked at for nothing."""
        if '"' not in self.text:
            return self.text.rstrip("\r\n").split(delimiter) if self.text.strip("\r\n") else [], ""
        try:
            cells = next(csv.reader(self._following(), delimiter=delimiter, strict=True), [])
            self.in_vain = 0
            return cells, ""
        except csv.Error as fault:
            closed_early = self.taken == 1 and "unexpected end" not in str(fault)
        # Not closed, or closed in the middle of another row: the line is by itself.
        self.taken = 1
        if closed_early:
            with suppress(csv.Error):
                return next(csv.reader([self.text.rstrip("\r\n")], delimiter=delimiter), []), _CLOSED_EARLY
        return _as_it_stands(self.text, delimiter), _NEVER_CLOSED

    def _following(self) -> Iterator[str]:
        """The line, then those behind it, as long as the reader of the row asks for more."""
        yield self.text
        length = len(self.text)
        while self.taken < self.most and length <= LONGEST_LINE:
            if len(self.waiting) < self.taken and (more := next(self.lines, None)) is not None:
                self.waiting.append(more)
            if len(self.waiting) < self.taken:
                return
            text = self.waiting[self.taken - 1]
            self.taken += 1
            self.in_vain += len(text)
            length += len(text)
            yield text


def _as_it_stands(text: str, delimiter: str) -> list[str]:
    return text.rstrip("\r\n").split(delimiter)
