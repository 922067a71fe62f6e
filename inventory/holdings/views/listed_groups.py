"""The groups of a list as its page shows them."""

from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.http import HttpRequest

from inventory.holdings.queries.paid import adds_up, all_paid, paid_for
from inventory.holdings.views.listed_shape import GroupLine, Head, Listed, changed
from inventory.house.access import may_see_money
from inventory.house.lists_out import Cell, column_key, groups_of
from inventory.house.sheets import sheet

GROUPS = 200  # on one sheet


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


def fill_in_groups(request: HttpRequest, listed: Listed) -> None:
    one, key = listed.one, listed.group
    rows = listed.filter.qs
    largest = listed.query.get("first") == "count"
    page = listed.page = sheet(request, groups_of(one, rows, key, largest_first=largest), GROUPS)
    summed = list(one.sums())
    totals = rows.order_by().aggregate(**one.added_up()) if summed else {}
    listed.paid = adds_up(one) and may_see_money(request.user)
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
        listed.groups.append(GroupLine(plain_text(value) or "none", values["count"], sums, paid.get(value), address))
    sums = list(map(plain_text, one.told_sums(totals).values()))
    listed.total = GroupLine("All", rows.count(), sums, all_paid(paid.values()), "")
