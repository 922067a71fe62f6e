"""Columns and groups of a list as JSON, as its page and its file have them."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import QuerySet
from django.http import HttpRequest, JsonResponse

from inventory.holdings.queries.paid import Paid, adds_up, paid_for
from inventory.holdings.views.listed_groups import GROUPS
from inventory.house.access import may_see_money
from inventory.house.areas import list_named
from inventory.house.filters import LAID_OUT
from inventory.house.lists_out import groups_of
from inventory.house.sheets import sheet, sheet_answer


def refused(request: HttpRequest, name: str, found: Any) -> JsonResponse | None:
    """The answer to what a list cannot be asked; None where all is well."""
    errors: dict[str, Any] = {} if found.is_valid() else dict(found.errors)
    one, group = list_named(name), request.GET.get("group", "")
    known = [*found.form.fields, *LAID_OUT]
    for unknown in (asked for asked in request.GET if asked not in known):  # else a slip would give the whole list
        errors.setdefault(unknown[:80], [f"{one.title} know no such thing; they know {', '.join(known)}."])
    try:
        one.chosen(request.GET.getlist("columns"), money=may_see_money(request.user))
    except ValueError as refusal:
        errors["columns"] = [str(refusal)]
    if group and group not in one.group_keys:
        errors["group"] = [f"{group[:80]!r} is nothing that this list is counted by: {', '.join(one.group_keys)}."]
    return JsonResponse({"errors": errors}, status=400) if errors else None


def with_columns(
    request: HttpRequest, name: str, found: QuerySet[Any], things: Sequence[Any], rows: list[dict[str, Any]]
) -> list[dict[str, Any]]:
    """The rows of a sheet with the columns that were asked for, by heading (a fixed number of queries)."""
    one = list_named(name)
    columns = one.chosen(request.GET.getlist("columns"))
    if not columns:
        return rows
    at = one.picked(columns)
    told = {
        key: {one.headings[place]: in_json(line[place]) for place in at}
        for key, line in one.keyed(found.filter(pk__in=[thing.pk for thing in things]))
    }
    return [{**row, "columns": told.get(thing.pk)} for thing, row in zip(things, rows, strict=True)]


def in_json(value: Any) -> Any:
    """A value of a list as JSON holds it: days as ISO 8601, decimal figures as they are written."""
    if isinstance(value, date):
        return value.isoformat()
    return f"{value:f}" if isinstance(value, Decimal) else value


def groups_answer(request: HttpRequest, name: str, found: QuerySet[Any]) -> JsonResponse:
    """``{"groups":[{"value","count","sums"}]}``, a sheet of them; ``value`` null: the rows that have none.

    Of lists of single things also ``paid`` (``Paid.as_dict``); null to whoever sees no money.
    """
    one = list_named(name)
    largest = request.GET.get("first") == "count"
    page = sheet(request, groups_of(one, found, request.GET["group"], largest_first=largest), GROUPS)
    seen = adds_up(one) and may_see_money(request.user)
    paid = paid_for(found, one.paths[request.GET["group"]]) if seen else {}
    rows = [
        {
            "value": in_json(values["grouped"]) or None, "count": values["count"],
            "sums": {name: in_json(sum_) for name, sum_ in one.told_sums(values).items()},
            **({"paid": paid.get(values["grouped"], Paid()).as_dict() if seen else None} if adds_up(one) else {}),
        }
        for values in page.object_list
    ]  # fmt: skip
    return sheet_answer(page, "groups", rows)
