"""Photographs of things as lists show them."""

from collections.abc import Iterable

from inventory.holdings.models import Paper


def pictures_of(items: Iterable[int]) -> dict[int, list[Paper]]:
    """The photographs of things that have a small copy, the latest first, by the key of the thing (one query)."""
    rows = Paper.objects.filter(item__in=list(items), kind=Paper.PHOTOGRAPH).exclude(thumbnail="")
    found: dict[int, list[Paper]] = {}
    for paper in rows.order_by("-dated", "-id"):
        found.setdefault(paper.item_id, []).append(paper)
    return found
