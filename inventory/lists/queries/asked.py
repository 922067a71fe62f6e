"""A list as an address asks for it: narrowed, in order, with some of its columns, or counted by one of them."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet
from django.forms import Form
from django.http import QueryDict

from inventory.holdings.queries.paid import Paid, adds_up, paid_for
from inventory.house.filters import narrowed
from inventory.house.lists_out import ListOut, column_key, groups_of
from inventory.lists.queries.out import cells_of
from inventory.lists.rules.spreadsheet_cells import Cell


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


def form_errors(form: Form) -> list[tuple[str, str]]:
    """What a form was refused for, as pairs of the label of a field and the text."""
    return [(str(form.fields[name].label or name), str(text)) for name, texts in form.errors.items() for text in texts]
