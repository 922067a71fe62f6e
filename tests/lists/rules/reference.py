"""The stamp tables of the reference files, for the readers' tests."""

import csv
from datetime import date
from functools import cache
from pathlib import Path

from inventory.lists.rules.row_result import Context
from tests.tubes.rules.bench import rated
from tubes.rules.family import number_of
from tubes.rules.stamp import DesignationRow, StampTables

REFERENCE = Path(__file__).parents[3] / "fixtures" / "reference"
TODAY = date(2026, 11, 20)


def _rows(name: str) -> list[dict[str, str]]:
    with (REFERENCE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@cache
def tables() -> StampTables:
    rows = [
        DesignationRow(row["type"], row["scheme"], row["designation"], row["relation"], row["note"])
        for row in _rows("designations.csv")
    ]
    makers = {row["code"]: row["maker"] for row in _rows("jan_makers.csv")}
    return StampTables.build(rows, makers, [row["type"] for row in _rows("ratings.csv")])


@cache
def doubles() -> frozenset[str]:
    return frozenset(number_of(name) for name, one in rated().items() if one.form.sections == 2)


def context(**more: object) -> Context:
    more.setdefault("doubles", doubles())
    return Context(tables(), TODAY, **more)  # type: ignore[arg-type]
