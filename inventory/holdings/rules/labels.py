"""Label sheets: their sizes, read from a table, and where each label of a sheet lies. Lengths in millimetres."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, fields

SLACK = 0.06  # published sizes are rounded: so much may a row of labels be longer than the page
COUNTS = ("columns", "rows")


@dataclass(frozen=True)
class Box:
    """A rectangle on a page; ``x`` from its left edge, ``y`` from its lower edge, to the lower left corner."""

    x: float
    y: float
    w: float
    h: float


@dataclass(frozen=True)
class LabelSheet:
    """A sheet of labels; ``left`` and ``top`` to the first label, ``pitch`` from one to the next.

    ``inset_mm`` is kept free inside each label: a printer that cannot reach the edge needs more of it.
    """

    key: str
    title: str
    paper: str
    page_w_mm: float
    page_h_mm: float
    columns: int
    rows: int
    label_w_mm: float
    label_h_mm: float
    left_mm: float
    top_mm: float
    pitch_x_mm: float
    pitch_y_mm: float
    inset_mm: float
    source: str

    @property
    def count(self) -> int:
        return self.columns * self.rows

    def box(self, position: int) -> Box:
        """Where a label lies; positions count from 1, along the rows. Raises ValueError outside the sheet."""
        if not 1 <= position <= self.count:
            raise ValueError(f"This sheet has labels 1 to {self.count}; there is no {position}.")
        row, column = divmod(position - 1, self.columns)
        x = self.left_mm + column * self.pitch_x_mm
        y = self.page_h_mm - self.top_mm - row * self.pitch_y_mm - self.label_h_mm
        return Box(x, y, self.label_w_mm, self.label_h_mm)

    def boxes(self, count: int, start: int = 1) -> Iterator[tuple[int, Box]]:
        """(page from 0, box) for ``count`` labels, the first at position ``start`` of the first page."""
        self.box(start)
        for number in range(start - 1, start - 1 + count):
            page, index = divmod(number, self.count)
            yield page, self.box(index + 1)

    def faults(self) -> list[str]:
        """What is wrong with the sizes: labels that overlap or leave the page."""
        found = []
        if min(self.columns, self.rows) < 1 or min(self.label_w_mm, self.label_h_mm) <= 0:
            return ["a sheet has at least one label of some size"]
        if self.columns > 1 and self.pitch_x_mm < self.label_w_mm - SLACK:
            found.append("pitch_x_mm is less than label_w_mm: labels overlap")
        if self.rows > 1 and self.pitch_y_mm < self.label_h_mm - SLACK:
            found.append("pitch_y_mm is less than label_h_mm: labels overlap")
        first, last = self.box(1), self.box(self.count)
        if min(first.x, last.y) < -SLACK or last.x + last.w > self.page_w_mm + SLACK:
            found.append("labels leave the page")
        if first.y + first.h > self.page_h_mm + SLACK:
            found.append("the first row leaves the page")
        if not 0 <= self.inset_mm < min(self.label_w_mm, self.label_h_mm) / 3:
            found.append("inset_mm leaves no room for words")
        return found


def read_sheets(rows: Iterable[Mapping[str, str]]) -> tuple[LabelSheet, ...]:
    """The sheets of a table. Raises ValueError naming the line (heading = 1), the column and what was found."""
    sheets: list[LabelSheet] = []
    for line, row in enumerate(rows, start=2):
        sheet = _read(line, row)
        if faults := sheet.faults():
            raise ValueError(f"line {line}, {sheet.key}: {'; '.join(faults)}")
        if any(other.key == sheet.key for other in sheets):
            raise ValueError(f"line {line}: key {sheet.key!r} stands twice")
        sheets.append(sheet)
    return tuple(sheets)


def _read(line: int, row: Mapping[str, str]) -> LabelSheet:
    cells: dict[str, str | int | float] = {}
    for column in fields(LabelSheet):
        text = (row.get(column.name) or "").strip()
        if not text:
            raise ValueError(f"line {line}, column {column.name}: empty")
        try:
            cells[column.name] = _value(column.name, text)
        except ValueError as fault:
            raise ValueError(f"line {line}, column {column.name}: {text!r} is no number") from fault
    return LabelSheet(**cells)  # type: ignore[arg-type]


def _value(name: str, text: str) -> str | int | float:
    if name in COUNTS:
        return int(text)
    return float(text) if name.endswith("_mm") else text
