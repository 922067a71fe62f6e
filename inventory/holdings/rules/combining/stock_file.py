"""A stock that a file states: one lot on a line, under the columns value, tolerance_pct, rating, quantity.

A figure without a unit is in the unit of what is wanted: ohm, pF, uH; its rating in W, V, A. An empty tolerance or
rating is not known; an empty quantity is one piece.
"""

import csv
from collections.abc import Callable
from io import StringIO

from inventory.holdings.rules.combining.sharing import RATED_IN, UNITS, StockPart, rated_part
from inventory.holdings.rules.part_kinds import KINDS, kind_by_value, read_value
from tubes.rules.units import UnitFault, parse_quantity

COLUMNS = ("value", "tolerance_pct", "rating", "quantity")
MOST_LOTS = 20_000
MOST_PIECES = 999_999


class StockFault(ValueError):
    """A cell that cannot be read; its text names line and column, and how to mend it."""


def wanted_value(text: str) -> tuple[str, float]:
    """The kind of part that a value with its unit is of, and the value in the unit of that kind. Raises UnitFault."""
    kind, value = kind_by_value(text)
    if kind not in RATED_IN:
        raise UnitFault(f"{text!r} is the value of a {kind}; only {', '.join(RATED_IN)} can be put together")
    return kind, value


def read_stock(kind: str, text: str) -> list[StockPart]:
    """The lots of a file, each called by its line. Raises StockFault."""
    rows = csv.reader(StringIO(text), strict=True)
    told: list[StockPart] = []
    at: dict[str, int] = {}
    try:
        for cells in rows:
            if not any(cell.strip() for cell in cells):
                continue
            if not at:
                at = _columns(cells)
                continue
            if len(told) == MOST_LOTS:
                raise StockFault(f"line {rows.line_num}: more than {MOST_LOTS} lots; split the file")
            told.append(_lot(kind, rows.line_num, {name: _cell(cells, number) for name, number in at.items()}))
    except csv.Error as fault:
        raise StockFault(f"line {rows.line_num}: {fault}; save the table as CSV with commas") from fault
    if not at:
        raise StockFault(f"the file is empty; expected the columns {', '.join(COLUMNS)}")
    return told


def _columns(cells: list[str]) -> dict[str, int]:
    heads = [cell.strip().lower() for cell in cells]
    missing = [name for name in COLUMNS if name not in heads]
    if missing:
        raise StockFault(f"line 1: no column {', '.join(missing)}; expected {', '.join(COLUMNS)}")
    return {name: heads.index(name) for name in COLUMNS}


def _cell(cells: list[str], number: int) -> str:
    return cells[number].strip() if number < len(cells) else ""


def _lot(kind: str, line: int, cells: dict[str, str]) -> StockPart:
    rated = RATED_IN[kind]

    def read(column: str, reader: Callable[[str], float | None]) -> float | None:
        if not cells[column]:
            return None
        try:
            return reader(cells[column])
        except ValueError as fault:
            raise StockFault(f"line {line}, column {column}: {fault}") from fault

    value = read("value", lambda text: read_value(kind, _with_unit(text, KINDS[kind].unit)))
    if value is None:
        raise StockFault(f"line {line}, column value: empty; expected a figure such as 270 {KINDS[kind].unit}")
    rating = read("rating", lambda text: _above_nothing(parse_quantity(_with_unit(text, UNITS[rated]), UNITS[rated])))
    quantity = read("quantity", _pieces)
    part = StockPart(f"line {line}", value, 1 if quantity is None else int(quantity), read("tolerance_pct", _percent))
    return rated_part(part, rated, rating)


def _with_unit(text: str, unit: str) -> str:
    try:
        float(text)
    except ValueError:
        return text
    return f"{text} {unit}"


def _above_nothing(rating: float) -> float:
    if rating <= 0:
        raise ValueError(f"{rating:g} is no rating; expected more than 0, or leave it empty")
    return rating


def _percent(text: str) -> float:
    try:
        told = float(text.rstrip("% "))
    except ValueError:
        told = -1.0
    if not 0 <= told <= 100:
        raise ValueError(f"{text!r} is no tolerance; expected a figure from 0 to 100, such as 10")
    return told


def _pieces(text: str) -> float:
    if not text.isdecimal() or int(text) > MOST_PIECES:
        raise ValueError(f"{text!r} is no quantity; expected a whole number from 0 to {MOST_PIECES}")
    return int(text)
