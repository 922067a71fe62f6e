"""A list as its page shows it: columns, order, groups, pictures, what is ticked. The address says it all.

``order`` and ``only`` are read by its filter set (``house.filters.ListFilter``); ``columns``, ``group``, ``show`` and
``ticked`` here.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.contrib import messages
from django.db.models import Model, QuerySet
from django.http import HttpRequest, QueryDict
from django.utils.http import urlencode

from inventory.holdings.queries.facts import paid_for
from inventory.holdings.queries.pictures import pictures_of
from inventory.holdings.rules.tag_runs import MOST
from inventory.house.access import may
from inventory.house.areas import list_named
from inventory.house.filters import filter_of
from inventory.house.lists_out import Cell, ListOut, column_key, groups_of
from inventory.house.sheets import SHEET, sheet

PICTURES, SHEET_TICKED, ALL_TICKED = "pictures", "sheet", "all"
OF_THE_SHEET = ("page", "ticked")  # what of an address says nothing of the list itself
NO_CURRENCY = "no currency"


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
    """A group: its name, how many rows, its sums, and the address of the list that holds just these."""

    name: str
    count: int
    sums: Sequence[Any]
    paid: str
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
    show: str = ""
    group: str = ""
    groups: list[GroupLine] = field(default_factory=list)
    group_heads: list[Head] = field(default_factory=list)
    sum_heads: list[str] = field(default_factory=list)
    total: GroupLine | None = None
    paid: bool = False
    ticked: str = ""
    kept_columns: bool = False

    @property
    def carried(self) -> list[tuple[str, str]]:
        """What the filter form carries along: how the list is laid out."""
        names = ("columns", "group", "show")
        return [(name, value) for name in names for value in self.query.getlist(name)]

    @property
    def layout(self) -> str:
        """The address of the whole list, laid out as it is."""
        return urlencode(self.carried)

    @property
    def in_columns_form(self) -> list[tuple[str, str]]:
        """What the form of columns carries along: how the list is narrowed and ordered."""
        skip = (*OF_THE_SHEET, "columns", "group", "show")
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
        sheet = self.query.get("page")
        return changed(self.query, **({"page": sheet} if sheet else {}), **({"ticked": what} if what else {}))

    @property
    def loose_count(self) -> int:
        return loose(self.filter.qs).count()

    @property
    def group_ways(self) -> list[tuple[str, str, bool]]:
        ways = ((column_key(heading), heading) for heading in self.one.grouped)
        return [(name, changed(self.query, group=key, show=None, first=None), key == self.group) for key, name in ways]

    @property
    def opened(self) -> list[tuple[str, str]]:
        """The groups that are open: in words, and the address of the list without it."""
        names = {column_key(heading): heading for heading in self.one.grouped}
        opened = self.query.getlist("only")
        told = []
        for one in opened:
            key, _, value = one.partition(":")
            query = self.query.copy()
            query.setlist("only", [other for other in opened if other != one])
            told.append((f"{names.get(key, key)}: {value or 'none'}", changed(query)))
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
    for name in list(new):
        new.setlist(name, [value for value in new.getlist(name) if value])
    return new.urlencode()


def loose(rows: QuerySet[Any]) -> QuerySet[Any]:
    """Those of the things of a list that can be ticked: what is in a set is taken out of it first."""
    return rows.filter(in_chassis__isnull=True) if "in_chassis" in rows.query.annotations else rows


def ticked_tags(request: HttpRequest) -> list[str]:
    """The tags that a list hands on: those ticked in it one by one, or all that match, with the list's own address."""
    picked = request.GET.getlist("pick")
    try:
        one = list_named(request.GET.get("list", ""))
    except KeyError:
        return picked
    if not _of_things(one) or not may(request.user, "view", one.model):
        return picked
    found = filter_of(one)(QueryDict(request.GET.get("narrowed", "")), queryset=one.here())
    if not found.is_valid():
        return picked
    tags = list(loose(found.qs).values_list("item__tag", flat=True)[: MOST + 1])
    if len(tags) > MOST:
        messages.error(request, f"More than {MOST} things are ticked. Narrow the list and take them in parts.")
        return picked
    return tags


def listed(
    request: HttpRequest,
    name: str,
    found: Any,
    tell: Callable[[Sequence[Any]], Iterable[Any]] = list,
) -> Listed:
    """The list of that name as an address asks for it. ``found``: its filter set; ``tell`` fetches with the rows of a
    sheet what their cells say of them. A fixed number of queries, however long the list is.
    """
    one, query = list_named(name), request.GET
    columns = _columns(request, one)
    show = PICTURES if query.get("show") == PICTURES and _of_things(one) else ""
    group = query.get("group", "") if query.get("group") in one.group_keys else ""
    said = found.form.cleaned_data.get("order") if found.is_valid() else []
    heads = [_head(one, cell, query, said) for cell in columns]
    ticked = query.get("ticked", "") if query.get("ticked") in (SHEET_TICKED, ALL_TICKED) else ""
    result = Listed(one, found, None, heads, [], [], query, show=show, group=group, ticked=ticked)
    shown = {head.cell.key for head in heads}
    result.choices = [_choice(one, cell, key in shown) for key, cell in one.page_columns().items()]
    result.kept_columns = getattr(columns, "kept", False)
    if group:
        _fill_in_groups(request, result)
        return result
    result.page = sheet(request, found.qs, 24 if show else SHEET)
    rows = result.page.object_list = list(tell(list(result.page.object_list)))
    pictured = show or any(head.cell.heading == "Picture" for head in heads)
    if pictured and may(request.user, "view", "holdings.paper"):
        pictures = pictures_of(row.pk for row in rows)
        for row in rows:
            row.pictures = pictures.get(row.pk, [])
    if not show:
        result.lines = _lines(one, heads, rows, found.qs)
    return result


def _of_things(one: ListOut) -> bool:
    return any(cell.heading == "Picture" for cell in one.cells)


def _columns(request: HttpRequest, one: ListOut) -> list[Cell]:
    try:
        chosen = one.chosen(request.GET.getlist("columns"))
    except ValueError as refusal:
        messages.warning(request, str(refusal))
        chosen = []
    known = one.page_columns()
    return chosen or [known[column_key(heading)] for heading in one.shown]


def _choice(one: ListOut, cell: Cell, chosen: bool) -> Head:
    return Head(cell, cell.figure, chosen=chosen)


def _head(one: ListOut, cell: Cell, query: QueryDict, said: Sequence[str]) -> Head:
    orders, key = one.orders(), cell.stands_for[0]
    if key not in orders or cell.heading == "Picture":
        return Head(cell, cell.figure)
    first = next(iter(said or ()), "")
    state = {key: "ascending", f"-{key}": "descending"}.get(first, "")
    turned = {"ascending": f"-{key}", "descending": None}.get(state, key)
    return Head(cell, cell.figure or orders[key][1].back == "most first", state, changed(query, order=turned))


def _lines(one: ListOut, heads: Sequence[Head], rows: Sequence[Any], found: Any) -> list[Line]:
    """The cells of each row; what is not at hand in the rows is asked for as the list's file has it."""
    plain = [head for head in heads if not head.cell.template]
    paths = one.paths
    asked = [head for head in plain if rows and not _at_hand(rows[0], paths.get(head.cell.key, ""))]
    told: dict[str, list[Any]] = {}
    if asked:
        places = {column_key(heading): place for place, heading in enumerate(one.headings)}
        fetched = list(one.rows(found.filter(pk__in=[row.pk for row in rows])))
        told = {head.cell.key: [values[places[head.cell.key]] for values in fetched] for head in asked}
    lines = []
    for number, row in enumerate(rows):
        cells = []
        for head in heads:
            text = ""
            if not head.cell.template:
                key = head.cell.key
                text = plain_text(told[key][number] if key in told else _walk(row, paths[key]))
            cells.append((head, text))
        lines.append(Line(row, cells))
    return lines


def _at_hand(row: Any, path: str) -> bool:
    """Whether what a path leads to is read from a row without another question."""
    *ways, last = path.split("__")
    for way in ways:
        if not isinstance(row, Model) or way not in row._state.fields_cache:
            return False
        row = row._state.fields_cache[way]
        if row is None:
            return True
    return bool(last) and not last.endswith("_id") and hasattr(row, last)


def _walk(row: Any, path: str) -> Any:
    for part in path.split("__"):
        row = getattr(row, part) if row is not None else None
    return row


def plain_text(value: Any) -> str:
    """A value of a list as a person reads it; nothing for none."""
    if value is None or value == "":
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return f"{value:%Y-%m-%d %H:%M}"
    if isinstance(value, date):
        return value.isoformat()
    return f"{value:.12g}" if isinstance(value, (float, Decimal)) else str(value)


def _fill_in_groups(request: HttpRequest, listed: Listed) -> None:
    one, key = listed.one, listed.group
    rows = listed.filter.qs
    largest = listed.query.get("first") == "count"
    page = listed.page = sheet(request, groups_of(one, rows, key, largest_first=largest), 200)
    summed = list(one.sums())
    totals = rows.order_by().aggregate(**one.added_up()) if summed else {}
    listed.paid = one.name in ("tubes", "chassis", "units") and may(request.user, "view", "holdings.fact")
    paid = paid_for(rows, one.paths[key]) if listed.paid else {}
    heading = next(name for name in one.grouped if column_key(name) == key)
    by_name, by_count = ("", "descending") if largest else ("ascending", "")
    listed.group_heads = [
        Head(Cell(heading), False, by_name, changed(listed.query, first=None)),
        Head(Cell("How many"), True, by_count, changed(listed.query, first="count")),
    ]
    listed.sum_heads = summed
    for values in page.object_list:
        value = values["grouped"]
        sums = list(map(plain_text, one.told_sums(values).values()))
        query = listed.query.copy()
        query.appendlist("only", f"{key}:{'' if value is None else value}")
        address = changed(query, group=None, first=None)
        words = _paid_words(paid.get(value, ()))
        listed.groups.append(GroupLine(_group_name(one, key, value), values["count"], sums, words, address))
    every: dict[str, Decimal] = {}
    for prices in paid.values():
        for currency, amount in prices:
            every[currency] = every.get(currency, Decimal(0)) + amount
    sums = list(map(plain_text, one.told_sums(totals).values()))
    listed.total = GroupLine("All", rows.count(), sums, _paid_words(sorted(every.items())), "")


def _group_name(one: ListOut, key: str, value: Any) -> str:
    return plain_text(value) or "none"


def _paid_words(prices: Iterable[tuple[str, Decimal]]) -> str:
    """Sums by currency, nothing converted: "120.00 USD, 35.00 EUR"."""
    return ", ".join(f"{amount:,.2f} {currency or NO_CURRENCY}" for currency, amount in prices)
