"""What the templates of a list ask for: its heads, rows and groups, and the addresses that lay it out otherwise."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from django.db.models import QuerySet
from django.http import QueryDict
from django.utils.http import urlencode

from inventory.holdings.forms.kept_views import OF_THE_SHEET, list_query
from inventory.holdings.models import KeptView
from inventory.holdings.queries.paid import Paid
from inventory.house.filters import OpenedFilter
from inventory.house.lists_out import Cell, ListOut, column_key

PICTURES, SHEET_TICKED, ALL_TICKED = "pictures", "sheet", "all"
LAYOUT = ("columns", "group", "first", "show")


@dataclass(frozen=True)
class Head:
    """The head of a column: how the list stands by it now (``aria-sort``), and the address that turns it."""

    cell: Cell
    figure: bool
    sorted: str = ""
    address: str = ""
    chosen: bool = True

    @property
    def words(self) -> str:
        return self.cell.heading


@dataclass(frozen=True)
class Line:
    """A row of the list with the text of each of its columns (empty where a template tells it)."""

    row: Any
    cells: Sequence[tuple[Head, str]]


@dataclass(frozen=True)
class GroupLine:
    """A group: its name, how many rows, its sums, what was paid, and the address of the list that holds just these."""

    name: str
    count: int
    sums: Sequence[Any]
    paid: Paid | None
    address: str


@dataclass
class Listed:
    """All that the templates of a list ask for."""

    one: ListOut
    filter: Any
    page: Any
    heads: list[Head]
    lines: list[Line]
    choices: list[Head]
    query: QueryDict
    user: Any = None
    keeper: bool = False
    show: str = ""
    group: str = ""
    groups: list[GroupLine] = field(default_factory=list)
    group_heads: list[Head] = field(default_factory=list)
    sum_heads: list[str] = field(default_factory=list)
    total: GroupLine | None = None
    paid: bool = False
    ticked: str = ""
    may_picture: bool = False
    lost: list[str] = field(default_factory=list)
    views: list[KeptView] = field(default_factory=list)
    usual: KeptView | None = None

    @property
    def carried(self) -> list[tuple[str, str]]:
        """What the filter form carries along: how the list is laid out."""
        return [(name, value) for name in LAYOUT for value in self.query.getlist(name)]

    @property
    def layout(self) -> str:
        """The address of the whole list, laid out and ordered as it is."""
        return urlencode([*self.carried, *(("order", value) for value in self.query.getlist("order") if value)])

    @property
    def in_columns_form(self) -> list[tuple[str, str]]:
        """What the form of columns carries along: how the list is narrowed and ordered."""
        skip = (*OF_THE_SHEET, *LAYOUT)
        return [(name, value) for name, values in self.query.lists() for value in values if name not in skip and value]

    @property
    def narrowed(self) -> str:
        """The address of the list as it is narrowed and ordered, without its sheet."""
        return changed(self.query)

    @property
    def without_group(self) -> str:
        return changed(self.query, group=None, first=None)

    @property
    def with_pictures(self) -> str:
        return changed(self.query, show=PICTURES)

    @property
    def without_pictures(self) -> str:
        return changed(self.query, show=None)

    @property
    def usual_columns(self) -> str:
        return changed(self.query, columns=None)

    @property
    def tick_sheet(self) -> str:
        return self._ticking(SHEET_TICKED)

    @property
    def tick_all(self) -> str:
        return self._ticking(ALL_TICKED)

    @property
    def untick(self) -> str:
        return self._ticking(None)

    def _ticking(self, what: str | None) -> str:
        """The address of this very sheet with its rows ticked."""
        of_the_sheet = [("page", self.query.get("page")), ("ticked", what)]
        sheet = urlencode([(name, value) for name, value in of_the_sheet if value])
        return "&".join(filter(None, (changed(self.query), sheet)))

    @cached_property
    def loose_count(self) -> int:
        return loose(self.filter.qs).count()

    @property
    def kept_query(self) -> str:
        """What is kept of the list under a name: its address, with the columns that are shown."""
        shown = self.query.copy()
        if self.chosen and not shown.getlist("columns"):
            shown["columns"] = self.keys
        return list_query(shown)

    @property
    def keys(self) -> str:
        return ",".join(head.cell.key for head in self.heads)

    @property
    def chosen(self) -> bool:
        """Whether somebody chose these columns."""
        return bool(self.usual or self.query.getlist("columns"))

    @property
    def may_drop(self) -> list[KeptView]:
        """The views that this person takes away."""
        return [view for view in self.views if view.owner_id == self.user.pk or (self.keeper and view.shared)]

    @property
    def group_ways(self) -> list[tuple[str, str, bool]]:
        ways = ((column_key(heading), heading) for heading in self.one.grouped)
        return [(name, changed(self.query, group=key, show=None, first=None), key == self.group) for key, name in ways]

    @property
    def opened(self) -> list[tuple[str, str]]:
        """What was opened: groups, those left out, bars of a figure; in words, and the list's address without it."""
        names = {column_key(heading): heading for heading in self.one.grouped}
        told: list[tuple[str, str]] = []
        for name, left_out in (("only", ""), ("but", "all but ")):
            opened = self.query.getlist(name)
            for one in opened:
                key, _, value = one.partition(":")
                query = self.query.copy()
                query.setlist(name, [other for other in opened if other != one])
                told.append((f"{names.get(key, key)}: {left_out}{value or 'none'}", changed(query)))
        said = self.filter.form.cleaned_data if self.filter.is_valid() else {}
        for name, bar in self.filter.filters.items():
            if isinstance(bar, OpenedFilter) and said.get(name):
                told.append((f"{bar.label}: {bar.words(said[name])}", changed(self.query, **{name: None})))
        return told


def changed(query: QueryDict, **said: str | None) -> str:
    """The address of a list with some of it said otherwise (None: not at all), from its first sheet."""
    new = query.copy()
    for name in OF_THE_SHEET:
        new.pop(name, None)
    for name, value in said.items():
        new.pop(name, None)
        if value is not None:
            new[name] = value
    return list_query(new)


def loose(rows: QuerySet[Any]) -> QuerySet[Any]:
    """Those of the things of a list that can be ticked: what is in a set is taken out of it first."""
    return rows.filter(in_chassis__isnull=True) if "in_chassis" in rows.query.annotations else rows
