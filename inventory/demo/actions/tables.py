"""Reading the demo's tables: every fault names its file, line and column."""

import csv
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, time
from pathlib import Path
from typing import Any

from django.core.exceptions import ValidationError
from django.db.models import Model, QuerySet

_YES_NO = {"yes": True, "no": False, "": None}


@dataclass(frozen=True)
class Row:
    """One line of a table."""

    file: str
    line: int
    cells: dict[str, str]

    def fault(self, column: str, text: str) -> ValueError:
        return ValueError(f"{self.file}:{self.line}: {column}: {text}")

    def refused(self, refusal: ValidationError) -> ValueError:
        """The fault behind a refusal of an action; fields that are no column are put down to the whole row."""
        by_field = refusal.message_dict if hasattr(refusal, "error_dict") else {"row": refusal.messages}
        field, texts = next(iter(by_field.items()))
        return self.fault(field if field in self.cells else "row", " ".join(texts))

    def text(self, column: str) -> str:
        return self.cells[column]

    def _parsed(self, column: str, parse: Callable[[str], Any], expected: str) -> Any:
        text = self.cells[column]
        if not text:
            return None
        try:
            return parse(text)
        except (ValueError, KeyError) as fault:
            raise self.fault(column, f"{text!r}, expected {expected}") from fault

    def day_or_none(self, column: str) -> date | None:
        return self._parsed(column, date.fromisoformat, "a date YYYY-MM-DD")

    def day(self, column: str) -> date:
        found = self.day_or_none(column)
        if found is None:
            raise self.fault(column, "empty, expected a date YYYY-MM-DD")
        return found

    def clock(self, column: str) -> time | None:
        return self._parsed(column, time.fromisoformat, "a time HH:MM")

    def number(self, column: str) -> float | None:
        return self._parsed(column, float, "a number")

    def yes(self, column: str) -> bool | None:
        return self._parsed(column, _YES_NO.__getitem__, "yes, no or nothing")

    def find(self, column: str, rows: QuerySet[Any], field: str, **more: Any) -> Any:
        """The one row of the register that this cell names."""
        try:
            return rows.get(**{field: self.cells[column]}, **more)
        except rows.model.DoesNotExist as fault:
            raise self.fault(column, f"there is no {_called(rows.model)} {self.cells[column]!r}") from fault

    def find_or_none(self, column: str, rows: QuerySet[Any], field: str, **more: Any) -> Any:
        return self.find(column, rows, field, **more) if self.cells[column] else None


def _called(model: type[Model]) -> str:
    return str(model._meta.verbose_name)


def read_table(file: Path, columns: str) -> Iterator[Row]:
    """The rows of a table. Raises ValueError for a missing file, other headings, or a line of another length."""
    heading = columns.split()
    if not file.exists():
        raise ValueError(f"{file.name}:1: heading: there is no such file in {file.parent}")
    with file.open(encoding="utf-8-sig", newline="") as text:
        lines = csv.reader(text)
        found = next(lines, [])
        if found != heading:
            raise ValueError(f"{file.name}:1: heading: {','.join(found)!r}, expected {','.join(heading)!r}")
        for cells in lines:
            if not cells:
                continue
            if len(cells) != len(heading):
                last = heading[min(len(cells), len(heading)) - 1]
                wrong = f"the line has {len(cells)} cells, expected {len(heading)}"
                raise ValueError(f"{file.name}:{lines.line_num}: {last}: {wrong}")
            yield Row(file.name, lines.line_num, dict(zip(heading, (cell.strip() for cell in cells), strict=True)))
