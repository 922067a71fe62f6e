"""ODS as OpenDocument 1.3 part 3 lays it down: tables, rows, cells and their repeats. Formulas are not worked out."""

import re
from datetime import timedelta
from functools import partial

from inventory.lists.actions.sheet_parts import (
    CUT,
    DAMAGED,
    LONGEST_NAME,
    Package,
    Part,
    Rows,
    Sheet,
    Words,
    attribute,
    cell_text,
)
from inventory.lists.rules.number_formats import figure_shown, read_format
from inventory.lists.rules.records import LONGEST_LINE, FileRefused, clean

CONTENT = "content.xml"
DEPTH_OF_A_TABLE = 4  # document, body, spreadsheet, table
FURTHEST_ROW, FURTHEST_COLUMN = 1_048_576, 16_384
MOST_ALIKE = 20_000  # times that a filled row is repeated
MOST_REPEATS = 100_000  # of all filled rows of a sheet
REPEATED = "A row or cell of the sheet is repeated far down; delete the rows below the list."
PERCENTAGE = read_format("0%")
_LITERAL = re.compile(r"-?[0-9]{1,9}(?:[.,][0-9]{1,2})?\s?%|0[0-9]{1,29}")  # 80% that scales nothing, 01004
_SPAN = re.compile(r"P(?:[0-9]{1,6}D)?T(?:([0-9]{1,9})H)?(?:([0-9]{1,9})M)?(?:([0-9]{1,9})(?:[.,][0-9]{1,12})?S)?")


class _Tables(Part):
    """The tables of the content: their names and which are filled; the cells of ``wanted`` into ``rows``."""

    keeps = frozenset({"p"})

    def __init__(self, wanted: int = -1) -> None:
        super().__init__()
        self.wanted = wanted
        self.names: list[str] = []
        self.filled: set[int] = set()
        self.rows = Rows()
        self._in_table = False
        self._noted = 0  # inside how many notes on a cell, whose words are none of it
        self._row, self._again, self._column, self._wide = 0, 1, 0, 1
        self._cells: list[tuple[int, str, bool, str]] = []
        self._cell: dict[str, str] = {}
        self._words = Words()
        self._row_length = 0  # characters
        self._repeats = 0

    def start(self, name: str, attributes: dict[str, str]) -> None:
        if name == "table" and self._depth == DEPTH_OF_A_TABLE:
            self.names.append(attribute(attributes, "name")[:LONGEST_NAME])
            self._in_table, self._row = True, 0
        elif not self._in_table:
            return
        elif name == "table-row":
            self._again, self._column, self._cells = _repeats(attributes, "number-rows-repeated"), 0, []
            self._row_length = 0
        elif name in ("table-cell", "covered-table-cell"):
            self._wide = _repeats(attributes, "number-columns-repeated")
            self._cell, self._words = attributes, Words()
        elif name == "annotation":
            self._noted += 1
        elif name == "s":
            self.say(" " * min(_repeats(attributes, "c"), 1000))
        elif name == "tab":
            self.say("\t")
        elif name == "line-break":
            self.say("\n")

    def end(self, name: str, text: str) -> None:
        if not self._in_table:
            return
        if name == "p" and not self._noted and not self._keeping:
            self._words.add(text)
        elif name == "annotation":
            self._noted -= 1
        elif name in ("table-cell", "covered-table-cell"):
            self._take()
        elif name == "table-row":
            self._end_row()
        elif name == "table" and self._depth == DEPTH_OF_A_TABLE - 1:
            self._in_table = False

    def _take(self) -> None:
        text, is_day, sign = self._said_by_it()
        if text:
            self.filled.add(len(self.names) - 1)
            if self._column + self._wide > FURTHEST_COLUMN:
                raise FileRefused(REPEATED)
            if len(self.names) - 1 == self.wanted:
                if self._row_length > LONGEST_LINE:  # the row is not read, and need not be held
                    text = text[:CUT]
                self._row_length += len(text) * self._wide
                columns = range(self._column, self._column + self._wide)
                self._cells += [(column, text, is_day, sign) for column in columns]
        self._column += self._wide

    def _end_row(self) -> None:
        if self._cells:
            self._repeats += self._again - 1
            too_often = self._again > MOST_ALIKE or self._repeats > MOST_REPEATS
            if too_often or self._row + self._again > FURTHEST_ROW:
                raise FileRefused(REPEATED)
            for at in range(self._again):
                self.rows.add(self._row + at + 1, self._cells)
        self._row += self._again

    def _said_by_it(self) -> tuple[str, bool, str]:
        """(text, whether it is a day, currency shown) of the cell that has just ended."""
        told = self._cell
        kind = told.get("office:value-type") or attribute(told, "value-type")
        words = clean(self._words.joined("\n"))
        if kind in ("float", "percentage", "currency"):
            try:
                figure = float(attribute(told, "value"))
            except ValueError:
                return words, False, ""
            if kind == "percentage":
                return figure_shown(figure, PERCENTAGE), False, ""
            if kind == "float" and _LITERAL.fullmatch(
                words
            ):  # what the style adds to a figure as mere text is only told by the words
                return words, False, ""
            sign = clean(attribute(told, "currency")[:LONGEST_NAME]) if kind == "currency" else ""
            return cell_text(figure), False, sign
        if kind == "date":
            return clean(attribute(told, "date-value").replace("T00:00:00", "").replace("T", " ")) or words, True, ""
        if kind == "time":
            return _span(attribute(told, "time-value")) or words, True, ""
        if kind == "boolean":
            return cell_text(attribute(told, "boolean-value") == "true"), False, ""
        text = words or clean(attribute(told, "string-value"))
        formula = attribute(told, "formula")
        if not text and formula and not kind:
            return clean("=" + formula.partition("=")[2]), False, ""
        return text, False, ""


def _span(text: str) -> str:
    found = _SPAN.fullmatch(text)
    if not found:
        return ""
    hours, minutes, seconds = (int(figure or 0) for figure in found.groups())
    if hours < 24 and minutes < 60 and seconds < 60:
        return f"{hours:02}:{minutes:02}:{seconds:02}"
    return str(timedelta(hours=hours, minutes=minutes, seconds=seconds)) if hours < 1_000_000 else ""


def _repeats(attributes: dict[str, str], name: str) -> int:
    text = attribute(attributes, name)
    return max(1, int(text)) if text.isascii() and text.isdecimal() and len(text) < 9 else 1


def ods_sheets(package: Package) -> list[Sheet]:
    """Each table of a document. Raises FileRefused for a damaged one."""
    all_of_it = _Tables()
    all_of_it.read(package, CONTENT)

    def read(at: int, only_whether: bool) -> Rows | None:
        if at not in all_of_it.filled:
            return None
        if only_whether:
            return all_of_it.rows
        tables = _Tables(at)
        tables.read(package, CONTENT)
        if not tables.rows.filled:
            raise FileRefused(DAMAGED)
        return tables.rows

    return [(name, partial(read, at)) for at, name in enumerate(all_of_it.names)]
