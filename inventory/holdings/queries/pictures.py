"""Photographs of things as lists show them."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Count, F, OuterRef, Subquery

from inventory.holdings.models import Paper


@dataclass(frozen=True, slots=True)
class Pictures:
    """The latest photograph of a thing, and how many there are of it."""

    first: Paper | None = None
    count: int = 0


def pictures_of(items: Iterable[int]) -> dict[int, Pictures]:
    """The photographs of things that have a small copy, by the key of the thing (two queries).

    The latest by its day is the first, one without a day behind them all, on every database.
    """
    shown = Paper.objects.filter(kind=Paper.PHOTOGRAPH).exclude(thumbnail="")
    latest = shown.filter(item=OuterRef("item")).order_by(F("dated").desc(nulls_last=True), "-id")
    rows = shown.filter(item__in=list(items)).order_by().values("item")
    told = rows.annotate(count=Count("pk"), first=Subquery(latest.values("pk")[:1])).values("item", "count", "first")
    papers = Paper.objects.in_bulk([one["first"] for one in told])
    return {one["item"]: Pictures(papers[one["first"]], one["count"]) for one in told}
