"""A list as an address asks for it: narrowed, in order, with some of its columns, or counted by one of them."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet
from django.forms import Form
from django.http import QueryDict

from inventory.holdings.queries.paid import Paid, adds_up, paid_for
from inventory.house.filters import LAID_OUT, filter_of, narrowed
from inventory.house.lists_out import ListOut, column_key, groups_of
from inventory.lists.queries.out import cells_of
from inventory.lists.rules.spreadsheet_cells import Cell, cell


class ListRefused(ValueError):
    """What a list cannot be asked: ``errors`` are pairs of what was asked and what is wrong with it."""

    def __init__(self, errors: list[tuple[str, str]]) -> None:
        super().__init__("; ".join(f"{name}: {text}" for name, text in errors))
        self.errors = errors


@dataclass(frozen=True)
class AskedList:
    """The list, its rows as they were asked for, and where its columns stand in them (None: all of them)."""

    one: ListOut
    found: QuerySet[Any]
    at: tuple[int, ...] | None

    @property
    def headings(self) -> list[str]:
        every = self.one.headings
        return every if self.at is None else [every[place] for place in self.at]

    def rows(self) -> Iterator[list[Cell]]:
        """The rows as cells of a file."""
        for row in cells_of(self.one, self.found):
            yield row if self.at is None else [row[place] for place in self.at]

    def values(self, most: int | None = None) -> Iterator[list[Any]]:
        """The first rows (None: all) as they are in the database."""
        for row in self.one.rows(self.found[:most] if most else self.found):
            yield row if self.at is None else [row[place] for place in self.at]

    def groups(self, key: str, *, largest_first: bool = False) -> QuerySet[Any]:
        """The groups by the column of that key (``house.lists_out.groups_of``). Raises ListRefused for none."""
        if key not in self.one.group_keys:
            known = ", ".join(self.one.group_keys) or "nothing"
            raise ListRefused([("Group", f"{key[:80]!r} is nothing that this list is counted by: {known}.")])
        return groups_of(self.one, self.found, key, largest_first=largest_first)

    def counted(
        self, key: str, *, largest_first: bool = False, money: bool = True
    ) -> tuple[list[str], Iterator[list[Cell]]]:
        """(headings, rows) of the groups as a file: their name, how many, their sums, what was paid for them."""
        rows = self.groups(key, largest_first=largest_first)
        paid = self.paid(key) if money else None
        heading = next(name for name in self.one.grouped if column_key(name) == key)
        beside = [] if paid is None else ["Paid", "Prices not in it"]

        def lines() -> Iterator[list[Cell]]:
            for values in rows.iterator():
                told = [cell(values["grouped"]), cell(values["count"])]
                told += [cell(one) for one in self.one.told_sums(values).values()]
                one = (paid or {}).get(values["grouped"], Paid())
                yield [*told, *([one.words, one.not_in_it] if beside else [])]

        return [heading, "How many", *self.one.sums(), *beside], lines()

    def paid(self, key: str) -> dict[Any, Paid] | None:
        """What was paid for each of those groups (one query); None where prices of the rows do not add up."""
        return paid_for(self.found, self.one.paths[key]) if adds_up(self.one) else None


def asked_list(one: ListOut, query: QueryDict, *, money: bool = True) -> AskedList:
    """The list as a page, a file or a command asks for it. Raises ListRefused for what it cannot be asked.

    ``money``: whether whoever asks sees prices (``house.access.may_see_money``).
    """
    found = narrowed(one, query, money=money)
    if not found.is_valid():
        raise ListRefused(form_errors(found.form))
    try:
        columns = one.chosen(query.getlist("columns"), money=money)
    except ValueError as refusal:
        raise ListRefused([("Columns", str(refusal))]) from refusal
    if money:
        return AskedList(one, found.qs, tuple(one.picked(columns)) if columns else None)
    keys = list(map(column_key, one.headings))
    at = one.picked(columns) if columns else range(len(keys))
    return AskedList(one, one.without_money(found.qs), tuple(place for place in at if keys[place] not in one.of_money))


def check_names(one: ListOut, query: QueryDict) -> None:
    """Refuse what the list does not know: a slip of the pen would leave nothing out and give the whole list."""
    known = [*filter_of(one)(QueryDict(), queryset=one.here()).form.fields, *LAID_OUT]
    if unknown := [name for name in query if name not in known]:
        told = ", ".join(name for name in known if name not in LAID_OUT or name == "columns")
        raise ListRefused([(name[:80], f"{one.title} know no such thing; they know {told}.") for name in unknown])


def form_errors(form: Form) -> list[tuple[str, str]]:
    """What a form was refused for, as pairs of the label of a field and the text."""
    return [(str(form.fields[name].label or name), str(text)) for name, texts in form.errors.items() for text in texts]
