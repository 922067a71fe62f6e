"""A list that can be taken out: its columns, and where each value comes from. Each area declares its own.

A list is a queryset cut into plain values, so a list of any length is read as it is written. ``inventory.lists`` makes
files of it, and the archive its pages.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet

from inventory.house.order import by_code_points

AT_ONCE = 2000  # rows fetched at a time

#: Columns of what happened to a thing, and of a pair of chassis and unit.
EVENT = (("By whom", "by_whom"), ("Note", "note"), ("Struck out because", "struck"))
PAIR = (
    ("Chassis", "chassis__item__tag"),
    ("Set model", "chassis__model__name"),
    ("Serial", "chassis__serial"),
    ("Unit", "unit__item__tag"),
    ("Unit model", "unit__model__name"),
    ("Serial of the unit", "unit__serial"),
)


@dataclass(frozen=True)
class ListOut:
    """A list: its name in addresses, its title, who may see it, its columns (heading, path) and its rows.

    ``here`` gives the rows that the list's page starts from, narrowed there by ``narrow``, a filter set; ``every`` also
    those that have left, ordered by ``words`` (empty: in an order of its own).
    ``order``: its place among the lists; where two have the same, the list of the lower area comes first.
    """

    name: str
    title: str
    model: str
    columns: tuple[tuple[str, str], ...]
    here: Callable[[], QuerySet[Any]]
    every: Callable[[], QuerySet[Any]]
    words: tuple[str, ...] = ()
    order: int = 100
    narrow: Any = None

    @property
    def headings(self) -> list[str]:
        return [heading for heading, _ in self.columns]

    def all_rows(self) -> Iterator[list[Any]]:
        """The values of every row, in an order that is the same on every database."""
        rows = self.every()
        return self.rows(rows.order_by(*by_code_points(*self.words), "pk") if self.words else rows)

    def rows(self, found: QuerySet[Any]) -> Iterator[list[Any]]:
        """The values of each row."""
        paths = [path for _, path in self.columns]
        for values in found.values_list(*paths).iterator(chunk_size=AT_ONCE):
            yield list(values)


def both(make: Callable[[], QuerySet[Any]]) -> Any:
    """For a list whose page starts from every row."""
    return {"here": make, "every": make}
