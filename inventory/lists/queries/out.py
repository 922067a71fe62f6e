"""The lists that can be taken out, as every area declares them, and the pairing table as one of them."""

from collections.abc import Iterable, Iterator
from typing import Any

from django.db.models import QuerySet

from inventory.house.areas import areas
from inventory.house.lists_out import ListOut
from inventory.lists.rules.spreadsheet_cells import Cell, cell
from inventory.pairing.queries import PairRow

#: every list with a queryset behind it, in the order of the page and of the archive's own pages
LISTS: dict[str, ListOut] = {
    one.name: one for one in sorted((one for area in areas().values() for one in area.lists), key=lambda one: one.order)
}


def cells_of(one: ListOut, found: QuerySet[Any]) -> Iterator[list[Cell]]:
    """The cells of some rows of a list."""
    return ([cell(value) for value in row] for row in one.rows(found))


def all_cells(one: ListOut) -> Iterator[list[Cell]]:
    """The cells of every row of a list, in an order that is the same on every database."""
    return ([cell(value) for value in row] for row in one.all_rows())


PAIRINGS = "pairings"
PAIRING_HEADINGS = [
    "What", "Chassis", "Set model", "Serial", "Unit or companion", "Its model", "Its serial", "State", "Dial setting",
    "Covers from, kc", "Covers to, kc", "Why",
]  # fmt: skip


def pairing_cells(rows: Iterable[PairRow]) -> Iterator[list[Cell]]:
    """The pairing table as cells; the reasons stand in one cell."""
    for row in rows:
        low, high = row.covers_kc or (None, None)
        why = " ".join(f"{reason.date}: {reason.text}" if reason.date else reason.text for reason in row.reasons)
        ends = (row.chassis.tag, row.chassis.model, row.chassis.serial, row.unit.tag, row.unit.model, row.unit.serial)
        yield [cell(value) for value in (row.kind, *ends, row.state, row.setting, low, high, why)]
