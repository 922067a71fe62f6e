"""The cells of a row by field, each looked at for what a spreadsheet did to it, and the remarks made on the way."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from inventory.holdings.rules.cells import PLAIN, CellReading, Remark, read_cell, row_text
from inventory.lists.rules import fields as f
from inventory.lists.rules.heading_text import service_letters
from inventory.lists.rules.not_items import says_empty
from inventory.lists.rules.row_result import RowRemark

#: Fields whose own readers say what is wrong with a damaged cell.
_OWN_READER = frozenset({
    f.QUANTITY, f.WANTED, f.READING, f.MINIMUM, f.TESTED_ON, f.ACQUIRED_ON, f.DATED, f.PRICE, f.ASKED, f.INSURED,
})  # fmt: skip
#: Fields of which a list may have several columns that are read each by itself.
OF_READINGS = (f.READING, f.MINIMUM, f.INSTRUMENT)
#: Without a true text in these the thing is not known.
IDENTITY = (f.MARK, f.MODEL, f.SERIAL)


@dataclass(frozen=True, slots=True)
class Column:
    """A column of one field in one row: its place, its heading, its name in the list, and the cell as it stands."""

    index: int
    heading: str
    name: str
    cell: str
    text: str


class RowCells:
    """The cells by field, and the remarks. ``verbatim`` cells are text by their mark, whatever they look like."""

    def __init__(
        self,
        cells: Sequence[str],
        mapping: Sequence[str],
        headings: Sequence[str],
        verbatim: frozenset[int] = frozenset(),
        *,
        own: bool = False,
    ) -> None:
        self._own = own
        self.mapped = frozenset(mapping)
        self.cells: list[tuple[str, str]] = []
        self.remarks: list[RowRemark] = []
        self.kept: list[tuple[str, str]] = []
        self.lost_serial = ""  # that a spreadsheet rewrote
        self.damaged: dict[str, CellReading] = {}
        self._texts: dict[str, list[str]] = defaultdict(list)
        self._written: dict[str, list[str]] = defaultdict(list)
        self._headings: dict[str, str] = {}
        self._columns: dict[str, list[Column]] = defaultdict(list)
        self.more_marks: list[tuple[str, str]] = []  # (heading, text) of numbers beside the mark
        self._marks: list[tuple[str, str, str]] = []  # heading, text, cell of each column of marks that is filled
        names: dict[str, int] = {}
        for index, cell in enumerate(cells):
            heading = headings[index].strip() if index < len(headings) else ""
            field = mapping[index] if index < len(mapping) else f.OTHER
            if cell.strip():
                self._take(field, heading or f"column {index + 1}", cell, index in verbatim)
            self._headings.setdefault(field, heading)
            if field in OF_READINGS:
                name = heading or f"column {index + 1}"
                names[name] = names.get(name, 0) + 1
                name = name if names[name] == 1 else f"{name} #{names[name]}"
                text = read_cell(cell).text if cell.strip() else ""
                self._columns[field].append(Column(index, heading, name, cell if cell.strip() else "", text))
        self._one_mark()

    def _one_mark(self) -> None:
        """Of several columns of marks the first filled one names the tube, numbers of services last."""
        if not self._marks:
            return
        first, *others = sorted(self._marks, key=lambda mark: bool(service_letters(mark[0])))
        self._headings[f.MARK], self._texts[f.MARK], self._written[f.MARK] = first[0], [first[1]], [first[2]]
        self.more_marks = [(heading, text) for heading, text, _ in others]
        self.kept += [(heading, cell) for heading, _, cell in others]

    def _take(self, field: str, heading: str, cell: str, verbatim: bool) -> None:
        if field not in f.FIELDS or (field == f.IGNORED and not self._own):
            field = f.OTHER
        seen = CellReading(cell.strip(), PLAIN) if verbatim else read_cell(cell)
        self.cells.append((heading, cell))
        if field == f.OTHER:
            self.kept.append((heading, cell))
        if field in (f.MARK, f.MODEL) and says_empty(seen.text) and not self._own:
            return  # `leer`, `-`: nothing is named
        if seen.remark and field == f.SERIAL:
            self.lost_serial = seen.text
            reason = f"{seen.remark.reason}: taken in without the serial"
            self.remarks.append(RowRemark(heading, cell, reason, "read the plate and give the serial on its page"))
            return
        if seen.remark and field in IDENTITY:
            self.damaged.setdefault(field, seen)
        elif seen.remark and field not in _OWN_READER:
            self.remarks.append(
                RowRemark(heading, cell, f"{seen.remark.reason}; kept as it stands", seen.remark.action)
            )
        if field == f.MARK:
            self._marks.append((heading, seen.text, cell))
        self._texts[field].append(seen.text)
        self._written[field].append(cell)

    def text(self, field: str, join: str = "; ") -> str:
        """The text of a field without a spreadsheet's marks; several columns joined."""
        return join.join(text for text in self._texts[field] if text)

    def written(self, field: str) -> str:
        """The first cell of a field, as it stands; more columns of one field are kept as text."""
        return self._written[field][0] if self._written[field] else ""

    def heading(self, field: str) -> str:
        return self._headings.get(field, "")

    def has(self, field: str) -> bool:
        return field in self.mapped

    def remark(self, field: str, remark: Remark | None) -> None:
        """Note a remark against the cell of a field."""
        if remark is not None:
            name = self.heading(field) or field.replace("_", " ")
            self.remarks.append(RowRemark(name, "; ".join(self._written[field]), remark.reason, remark.action))

    def remark_at(self, column: Column, remark: Remark | None) -> None:
        """Note a remark against one column of a field."""
        if remark is not None:
            self.remarks.append(RowRemark(column.name, column.cell, remark.reason, remark.action))

    def columns(self, field: str) -> tuple[Column, ...]:
        """Every column of a field of readings, from left to right."""
        return tuple(self._columns[field])

    def more_columns(self) -> None:
        """Keep the second and later columns of a field that holds one value."""
        several = len(self._columns[f.READING]) > 1
        for field in (*_OWN_READER, f.USED, f.NUMBER):
            if field == f.READING or (field == f.MINIMUM and several):
                continue
            for cell in self._written[field][1:]:
                self.kept.append((self.heading(field) or field, cell))
                self.remark(
                    field, Remark("a second column of the same kind, kept as text", "map one of them to another kind")
                )

    def bearing(self, word: str) -> tuple[str, str]:
        """(heading, cell) of the first cell in which a word stands; of the whole row where no one cell has it."""
        for heading, cell in self.cells:
            if word in cell:
                return heading, cell
        return "row", row_text(cell for _, cell in self.cells)

    def words(self) -> str:
        """The texts in which hazards are named."""
        fields = (f.MARK, f.MODEL, f.KIND, f.NOTE, f.CONDITION, f.STATE, f.MATE, f.OTHER)
        return " | ".join(text for field in fields for text in self._texts[field])
