"""The lists that can be taken out, as every area declares them, and the pairing table as one of them."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from django.db.models import QuerySet

from inventory.house.areas import areas
from inventory.house.lists_out import ListOut
from inventory.lists.rules.own_lists import COMES_BACK
from inventory.lists.rules.spreadsheet_cells import Cell, cell
from inventory.lists.rules.stamps import STAMP, stamp_of
from inventory.pairing.queries import PairRow

TAG = "Tag"
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


def stamped(
    name: str, headings: Sequence[str], rows: Iterable[list[Cell]], at: datetime
) -> tuple[list[str], Iterable[list[Cell]]]:
    """(headings, rows) of a list with the stamp of each row behind it, by which it comes back edited.

    Only of things with their tags in it; any other list stays as it is. ``at``: when it goes out.
    """
    if name not in COMES_BACK or TAG not in headings:
        return list(headings), rows
    tag, moment = headings.index(TAG), at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    behind = ([*row, stamp_of(name, str(row[tag]), moment, headings, row)] for row in rows)
    return [*headings, STAMP], behind


@dataclass(frozen=True)
class AnswerOut:
    """An answer of today that can be taken out beside the lists: it is worked out, so no queryset stands behind it and
    the archive has no page of it. Its columns: heading, and what stands there of a row; the rest as of a ``ListOut``.
    """

    name: str
    title: str
    model: str
    columns: tuple[tuple[str, Callable[[Any], Any]], ...]
    order: int

    @property
    def headings(self) -> list[str]:
        return [heading for heading, _ in self.columns]

    def cells(self, rows: Iterable[Any]) -> Iterator[list[Cell]]:
        return ([cell(value(row)) for _, value in self.columns] for row in rows)


def _why(row: PairRow) -> str:
    return " ".join(f"{reason.date}: {reason.text}" if reason.date else reason.text for reason in row.reasons)


PAIRINGS = AnswerOut(
    "pairings", "Pairings, as they stand today", "pairing.neutralization",
    (
        ("What", lambda row: row.kind), ("Chassis", lambda row: row.chassis.tag),
        ("Set model", lambda row: row.chassis.model), ("Serial", lambda row: row.chassis.serial),
        ("Unit or companion", lambda row: row.unit.tag), ("Its model", lambda row: row.unit.model),
        ("Its serial", lambda row: row.unit.serial), ("State", lambda row: row.state),
        ("Dial setting", lambda row: row.setting),
        ("Covers from, kc", lambda row: row.covers_kc[0] if row.covers_kc else None),
        ("Covers to, kc", lambda row: row.covers_kc[1] if row.covers_kc else None), ("Why", _why),
    ),
    order=25,
)  # fmt: skip
#: all that the page offers, in its order
OFFERED: tuple[ListOut | AnswerOut, ...] = tuple(sorted([*LISTS.values(), PAIRINGS], key=lambda one: one.order))
