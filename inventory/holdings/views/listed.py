"""A list as its page shows it: columns, order, groups, pictures, what is ticked. The address says it all.

``order`` and ``only`` are read by its filter set (``house.filters.ListFilter``); ``columns``, ``group``, ``show`` and
``ticked`` here.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from django.contrib import messages
from django.db.models import Model
from django.http import HttpRequest, QueryDict

from inventory.holdings.models import KeptView
from inventory.holdings.queries.kept_views import views_of
from inventory.holdings.queries.pictures import Pictures, pictures_of
from inventory.holdings.views.listed_groups import fill_in_groups, plain_text
from inventory.holdings.views.listed_shape import ALL_TICKED, PICTURES, SHEET_TICKED, Head, Line, Listed, changed
from inventory.house.access import may, may_see_money
from inventory.house.areas import list_named
from inventory.house.lists_out import Cell, ListOut, column_key
from inventory.house.order import Order
from inventory.house.sheets import SHEET, sheet

PICTURES_ON_A_SHEET = 24


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
    views = views_of(name, request.user)
    usual = next((view for view in views if not view.name), None)
    columns, lost = _columns(request, one, usual)
    may_picture = one.of_things and may(request.user, "view", "holdings.paper")
    show = PICTURES if query.get("show") == PICTURES and may_picture else ""
    group = query.get("group", "") if query.get("group") in one.group_keys else ""
    said = found.form.cleaned_data.get("order") if found.is_valid() else []
    orders = one.orders()
    heads = [_head(orders, cell, query, said) for cell in columns]
    ticked = query.get("ticked", "") if query.get("ticked") in (SHEET_TICKED, ALL_TICKED) else ""
    result = Listed(one, found, None, heads, [], [], query, show=show, group=group, ticked=ticked)
    shown = {head.cell.key for head in heads}
    known = one.page_columns(money=may_see_money(request.user))
    result.choices = [Head(cell, cell.figure, chosen=key in shown) for key, cell in known.items()]
    result.may_picture, result.lost = may_picture, lost
    result.user, result.keeper = request.user, may(request.user, "change", "holdings.keptview")
    result.views, result.usual = [view for view in views if view.name], usual
    if group:
        fill_in_groups(request, result)
        return result
    result.page = sheet(request, found.qs, PICTURES_ON_A_SHEET if show else SHEET)
    rows = result.page.object_list = list(tell(list(result.page.object_list)))
    if may_picture:
        pictures = pictures_of(row.pk for row in rows)
        for row in rows:
            row.pictures = pictures.get(row.pk, Pictures())
        if pictures and not result.chosen:
            heads.insert(1, Head(one.page_columns()["picture"], False))
    if not show:
        result.lines = _lines(one, heads, rows, found.qs)
    return result


def _columns(request: HttpRequest, one: ListOut, usual: KeptView | None) -> tuple[list[Cell], list[str]]:
    """(columns, those kept that are none any more): those of the address, else those that this person kept, else those
    of the list.
    """
    money, asked = may_see_money(request.user), request.GET.getlist("columns")
    known = one.page_columns(money=money)
    kept = QueryDict(usual.query).get("columns", "").split(",") if usual and not asked else []
    try:
        chosen = one.chosen(asked or [key for key in kept if key in known], money=money)
    except ValueError as refusal:
        messages.warning(request, str(refusal))
        chosen = []
    lost = [key for key in kept if key and key not in known]
    return chosen or [known[column_key(heading)] for heading in one.shown], lost


def _head(orders: Mapping[str, tuple[str, Order]], cell: Cell, query: QueryDict, said: Sequence[str]) -> Head:
    key = cell.stands_for[0]
    if key not in orders or cell.key == "picture":
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
    told: dict[Any, dict[str, Any]] = {}  # by the key of the row: between two questions a row can change its place
    if asked:
        places = {column_key(heading): place for place, heading in enumerate(one.headings)}
        for key, values in one.keyed(found.filter(pk__in=[row.pk for row in rows])):
            told[key] = {head.cell.key: values[places[head.cell.key]] for head in asked}
    beside = {head.cell.key for head in asked}
    lines = []
    for row in rows:
        cells = []
        for head in heads:
            text = ""
            if not head.cell.template:
                key = head.cell.key
                text = plain_text(told.get(row.pk, {}).get(key) if key in beside else _walk(row, paths[key]))
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
