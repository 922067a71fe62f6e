"""A list that can be taken out: its columns, and where each value comes from. Each area declares its own.

A list is a queryset cut into plain values, so a list of any length is read as it is written. ``inventory.lists`` makes
files of it, and the archive its pages.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.apps import apps
from django.db.models import Case, Count, F, Q, QuerySet, Value
from django.db.models.functions import NullIf
from django.utils.text import slugify

from inventory.house.order import Order, by_code_points, order_at, texts

AT_ONCE = 2000  # rows fetched at a time
NO_MONEY = "prices, and what things are insured for, are seen by helpers and keepers alone."

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


def column_key(heading: str) -> str:
    """What a column is called in addresses and commands: ``acquired-on`` of "Acquired on"."""
    return slugify(heading)


@dataclass(frozen=True)
class Cell:
    """How a column stands on pages where it is more than a plain text: its template, which gets ``row``.

    ``of``: the headings of the list that it tells of, where it is none of them itself; the first gives its order, and
    files have those instead. ``figure``: a figure, to the right.
    """

    heading: str
    template: str = ""
    of: tuple[str, ...] = ()
    figure: bool = False

    @property
    def key(self) -> str:
        return column_key(self.heading)

    @property
    def stands_for(self) -> tuple[str, ...]:
        return tuple(map(column_key, self.of or (self.heading,)))


@dataclass(frozen=True)
class ListOut:
    """A list: its name in addresses, its title, who may see it, its columns (heading, path) and its rows.

    ``here`` gives the rows that the list's page starts from, narrowed there by ``narrow``, a filter set; ``every`` also
    those that have left, ordered by ``words`` (empty: in an order of its own).
    ``order``: its place among the lists; where two have the same, the list of the lower area comes first.
    ``page``: the URL name of its page. ``cells``: how columns stand there, where not as plain texts; ``shown``: the
    headings that it shows to whoever chose none. ``grouped``: headings of texts that rows are counted by, with
    ``sums`` of each group, by name. ``ordered``: what rows stand in order by, by heading, where the column's own path
    does not say it.
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
    page: str = ""
    cells: tuple[Cell, ...] = ()
    shown: tuple[str, ...] = ()
    grouped: tuple[str, ...] = ()
    sums: Callable[[], dict[str, Any]] = dict
    ordered: tuple[tuple[str, Callable[[], Order]], ...] = ()

    @property
    def row_model(self) -> Any:
        return apps.get_model(self.model)

    @property
    def paths(self) -> dict[str, str]:
        """Where the value of each column comes from, by key; of those that only their heading names nothing."""
        return {column_key(heading): path for heading, path in self.columns}

    @property
    def group_keys(self) -> list[str]:
        """What its rows can be counted by."""
        return [column_key(heading) for heading in self.grouped]

    def added_up(self) -> dict[str, Any]:
        """The sums under names that a database takes."""
        return {f"sum_{place}": one for place, one in enumerate(self.sums().values())}

    def told_sums(self, values: Mapping[str, Any]) -> dict[str, Any]:
        """The sums of a group under their own names."""
        return {name: values[f"sum_{place}"] for place, name in enumerate(self.sums())}

    def orders(self) -> dict[str, tuple[str, Order]]:
        """Every order in which the list can stand: by the key of its column, the heading and how."""
        own, added = dict(self.ordered), self.here().query.annotations
        beside = {name: one.output_field for name, one in added.items()}
        found = {}
        for heading, path in self.columns:
            how = own[heading]() if heading in own else order_at(self.row_model, path, beside) if path else None
            if how:
                found[column_key(heading)] = (heading, how)
        return found

    @property
    def of_things(self) -> bool:
        """Whether its rows are things, which have photographs and can be ticked."""
        return any(cell.key == "picture" for cell in self.cells)

    @property
    def of_money(self) -> tuple[str, ...]:
        """The keys of its columns that say what was paid or what a thing is worth; not everybody sees them."""
        return ()

    def without_money(self, rows: QuerySet[Any]) -> QuerySet[Any]:
        """Its rows for whoever sees no money (``house.access.may_see_money``)."""
        return rows

    def page_columns(self, *, money: bool = True) -> dict[str, Cell]:
        """Every column that a page can show, by key: first those that it shows unless told, then the others."""
        cells = {cell.key: cell for cell in self.cells}
        names = {column_key(heading): heading for heading in self.headings}
        keys = (*map(column_key, self.shown), *cells, *names)
        return {key: cells.get(key) or Cell(names[key]) for key in keys if money or key not in self.of_money}

    def chosen(self, values: Iterable[str], *, money: bool = True) -> list[Cell]:
        """The columns that an address names (``maker,state`` or one by one), in its order, behind the first column.

        Nothing where it names none. Raises ValueError for one that the list does not have, or that is of money where
        that is not seen.
        """
        keys = [key.strip() for value in values for key in value.split(",") if key.strip()]
        known = self.page_columns(money=money)
        if kept := [key for key in keys if key in self.of_money and key not in known]:
            raise ValueError(f"{kept[0]}: {NO_MONEY}")
        if unknown := [key for key in keys if key not in known]:
            raise ValueError(f"{unknown[0][:80]!r} is no column of this list; it has {', '.join(known)}.")
        return [known[key] for key in dict.fromkeys([next(iter(known)), *keys])] if keys else []

    def picked(self, columns: Iterable[Cell]) -> list[int]:
        """Where the columns of a file stand that these columns of a page stand for."""
        keys = list(map(column_key, self.headings))
        return list(dict.fromkeys(keys.index(key) for cell in columns for key in cell.stands_for if key in keys))

    @property
    def headings(self) -> list[str]:
        return [heading for heading, _ in self.columns]

    def all_rows(self) -> Iterator[list[Any]]:
        """The values of every row, in an order that is the same on every database."""
        rows = self.every()
        return self.rows(rows.order_by(*by_code_points(*self.words), "pk") if self.words else rows)

    def rows(self, found: QuerySet[Any]) -> Iterator[list[Any]]:
        """The values of each row."""
        return (values for _, values in self.keyed(found))

    def keyed(self, found: QuerySet[Any]) -> Iterator[tuple[Any, list[Any]]]:
        """The key and the values of each row."""
        paths = [path for _, path in self.columns]
        for key, *values in found.values_list("pk", *paths).iterator(chunk_size=AT_ONCE):
            yield key, values


def both(make: Callable[[], QuerySet[Any]]) -> Any:
    """For a list whose page starts from every row."""
    return {"here": make, "every": make}


def groups_of(one: ListOut, found: QuerySet[Any], key: str, *, largest_first: bool = False) -> QuerySet[Any]:
    """Rows counted by the column of that key: dictionaries with ``grouped``, ``count`` and the sums.

    ``found`` is read in one question, however many rows and groups there are.
    """
    path, order = one.paths[key], one.orders()[key][1]
    ranked = isinstance(order.by[0], Case)  # by the order of its choices, none of which is empty
    value = F(path) if ranked else NullIf(F(path), Value(""))
    rows = found.order_by().values(grouped=value).annotate(count=Count("pk"), **one.added_up())
    terms = order.terms() if ranked else texts("grouped", numbered=len(order.by) > 1).terms()
    return rows.order_by("-count", *terms) if largest_first else rows.order_by(*terms)


def in_group(rows: QuerySet[Any], path: str, value: str, *, but: bool = False) -> QuerySet[Any]:
    """The rows whose column, a text, is just that; an empty value: those that have none. ``but``: all others."""
    none = Q(**{f"{path}__isnull": True})
    if but:
        return rows.filter(none | ~Q(**{path: value}) if value else ~(none | Q(**{path: ""})))
    return rows.filter(Q(**{path: value}) if value else none | Q(**{path: ""}))
