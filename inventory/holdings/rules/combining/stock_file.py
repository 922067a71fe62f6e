"""A stock that a file states: one lot on a line, under the columns value, tolerance_pct, rating, quantity.

A figure without a unit is in the unit of what is wanted: ohm, pF, uH; its rating in W, V, A. An empty tolerance or
rating is not known; an empty quantity is one piece. A lot whose value is that of another kind of part is left out. The
columns are parted by commas, semicolons or tabs, as its first line has them.
"""

import csv
import re
from collections.abc import Callable
from io import StringIO

from inventory.holdings.rules.combining.sharing import RATED_IN, UNITS, StockPart, rated_part
from inventory.holdings.rules.part_kinds import KINDS, kind_by_value, read_value
from inventory.holdings.rules.part_values import in_full
from tubes.rules.units import UnitFault, parse_quantity, with_point

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


def read_stock(kind: str, text: str) -> tuple[list[StockPart], int]:
    """The lots of a kind in a file, each called by its line; how many are of other kinds. Raises StockFault."""
    rows = csv.reader(StringIO(text), strict=True, delimiter=_delimiter(text))
    told: list[StockPart] = []
    others = 0
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
            told_of = {name: _cell(cells, number) for name, number in at.items()}
            if _is_of_another(kind, told_of["value"]):
                others += 1
            else:
                told.append(_lot(kind, rows.line_num, told_of))
    except csv.Error as fault:
        raise StockFault(f"line {rows.line_num}: {fault}; save the table as CSV with commas") from fault
    if not at:
        raise StockFault(f"the file is empty; expected the columns {', '.join(COLUMNS)}")
    return told, others


def _delimiter(text: str) -> str:
    """What parts the columns: of comma, semicolon and tab the one that the first line has most of."""
    first = next((line for line in text.splitlines() if line.strip()), "")
    return max(",;\t", key=first.count)


def _is_of_another(kind: str, text: str) -> bool:
    """Whether a value is plainly one of another kind of part: 0.1 uF where resistors are looked for."""
    try:
        return kind_by_value(text)[0] != kind
    except UnitFault:
        return False


def _columns(cells: list[str]) -> dict[str, int]:
    heads = [cell.strip().lower() for cell in cells]
    missing = [name for name in COLUMNS if name not in heads]
    if missing:
        raise StockFault(f"line 1: no column {', '.join(missing)}; expected {', '.join(COLUMNS)}")
    return {name: heads.index(name) for name in COLUMNS}


def _cell(cells: list[str], number: int) -> str:
    return cells[number].strip() if number < len(cells) else ""


def _lot(kind: str, line: int, cells: dict[str, str]) -> StockPart:
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
    quantity = read("quantity", _pieces)
    part = StockPart(f"line {line}", value, 1 if quantity is None else int(quantity), read("tolerance_pct", _percent))
    try:
        for name, rating in _ratings(kind, cells["rating"]):
            part = rated_part(part, name, rating)
    except ValueError as fault:
        raise StockFault(f"line {line}, column rating: {fault}") from fault
    return part


def _ratings(kind: str, text: str) -> list[tuple[str, float]]:
    """Ratings by name: ``1/2 W 350 V``; a figure without a unit is in what the kind is rated in. Raises ValueError."""
    told = []
    for one in re.split(r"(?<=[^\W\d_])[\s,;/]+(?=[\d.])", text) if text else []:
        said = in_full(_with_unit(one, UNITS[RATED_IN[kind]]))
        name = next((name for name in KINDS[kind].ratings if _is_in(said, UNITS[name])), RATED_IN[kind])
        told.append((name, _above_nothing(parse_quantity(said, UNITS[name]))))
    return told


def _is_in(text: str, unit: str) -> bool:
    try:
        parse_quantity(text, unit)
    except UnitFault:
        return False
    return True


def _with_unit(text: str, unit: str) -> str:
    return f"{text} {unit}" if re.fullmatch(r"[\d.,/]+", text) else text


def _above_nothing(rating: float) -> float:
    if rating <= 0:
        raise ValueError(f"{rating:g} is no rating; expected more than 0, or leave it empty")
    return rating


def _percent(text: str) -> float:
    try:
        told = float(with_point(text.rstrip("% ").lstrip("±+-/ ")))
    except ValueError:
        told = -1.0
    if not 0 <= told <= 100:
        raise ValueError(f"{text!r} is no tolerance; expected a figure from 0 to 100, such as 10")
    return told


def _pieces(text: str) -> float:
    if not text.isdecimal() or int(text) > MOST_PIECES:
        raise ValueError(f"{text!r} is no quantity; expected a whole number from 0 to {MOST_PIECES}")
    return int(text)
