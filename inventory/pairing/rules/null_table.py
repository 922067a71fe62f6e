"""Readings around a null as people type or paste them: a table of settings and readings.

Commas, semicolons, tabs or blanks stand between the columns. A comma can be a decimal comma too: where a line could be
meant either way it is refused, and the refusal says what was found and how to write it.
"""

import csv
import re

from inventory.pairing.rules.null_fit import MOST_READINGS, NullReading, NullRefused

_FIGURE = re.compile(r"[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d+)?", re.ASCII)
_PARTED = re.compile(r"([+-]?\d+)(?:\s+,\s*|,\s+)(\d+)", re.ASCII)  # a decimal comma with a blank beside it
_HINT = "with decimal commas put a semicolon between the columns, as in 37,5; 12"


def parse_readings(text: str, name: str = "readings") -> list[NullReading]:
    """Readings from a table: columns setting, reading and, if wanted, weight; other columns are passed over.

    Commas, semicolons, tabs or blanks between columns, a decimal comma, a byte-order mark and blank lines are taken;
    without a heading the columns count in that order. Raises NullRefused naming ``name:line``.
    """
    text = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    lines = [(number, line) for number, line in enumerate(text.split("\n"), 1) if line.strip(" \t,;")]
    if not lines:
        raise NullRefused(f"{name} is empty; expected columns setting and reading")
    first = lines[0][1]
    mark = next((sign for sign in ";\t," if sign in first), None)
    columns = [head.strip().lower() for head in _cells(first, mark, f"{name}:{lines[0][0]}")]
    headed = not any(_FIGURE.fullmatch(head) for head in columns)
    if headed:
        where, lines = f"{name}:{lines[0][0]}", lines[1:]
        for wanted in ("setting", "reading"):
            if columns.count(wanted) != 1:
                raise NullRefused(f"{where}: expected one column {wanted!r}, found {', '.join(columns)}")
    else:
        columns = ["setting", "reading"] if mark == "," else ["setting", "reading", "weight"]
    if len(lines) > MOST_READINGS:
        raise NullRefused(f"{name}:{lines[MOST_READINGS][0]}: more than {MOST_READINGS} rows")
    return [_reading(line, mark, columns, f"{name}:{number}") for number, line in lines]


def _cells(line: str, mark: str | None, where: str) -> list[str]:
    if mark is None:
        return line.split()
    try:
        return [cell.strip() for cell in next(csv.reader([line], delimiter=mark, strict=True))]
    except csv.Error as fault:
        raise NullRefused(f"{where}: cannot be read as a row of a table ({fault})") from fault


def _reading(line: str, mark: str | None, columns: list[str], where: str) -> NullReading:
    cells = _cells(line, mark, where)
    while len(cells) > len(columns) and not cells[-1]:
        cells = cells[:-1]
    if len(cells) > len(columns):
        raise NullRefused(f"{where}: {len(cells)} cells for {len(columns)} columns in {line.strip()[:40]!r}; {_HINT}")
    if mark is None and any(cell.endswith(",") for cell in cells):
        raise NullRefused(f"{where}: a blank stands after the comma in {line.strip()[:40]!r}; {_HINT}")
    if mark == "," and any(len(cell.split()) > 1 and all(map(_FIGURE.fullmatch, cell.split())) for cell in cells):
        raise NullRefused(f"{where}: found {line.strip()[:40]!r}; {_HINT}")
    row = dict(zip(columns, cells, strict=False))
    setting, reading = (_figure(row.get(column, ""), column, where) for column in ("setting", "reading"))
    weight = _figure(row["weight"], "weight", where) if row.get("weight") else 1.0
    return NullReading(setting, reading, weight, where)


def _figure(cell: str, column: str, where: str) -> float:
    plain = cell.replace("\N{MINUS SIGN}", "-")
    if parted := _PARTED.fullmatch(plain):
        meant = ",".join(parted.groups())
        raise NullRefused(f"{where}: {column} is {cell[:40]!r}, a decimal comma with a blank; write {meant}")
    if not _FIGURE.fullmatch(plain):
        raise NullRefused(f"{where}: {column} is {cell[:40]!r}; expected a figure")
    return float(plain.replace(",", "."))
