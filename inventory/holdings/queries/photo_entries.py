"""Which tubes were entered from a photograph: their history says so, by the digest of the picture and the page of it.

A page has a key of its own, so that pressing its button twice does not enter its tubes twice.
"""

from collections.abc import Sequence
from typing import Any

from django.utils import timezone

from inventory.holdings.models import Tube

READ = "read from a photograph"
SIGNS = 16  # of a digest or key: 64 bits, and both fit into a reason


def reason_of(digest: str, key: str) -> str:
    """Why tubes are there, as their history tells it."""
    told = [f"{name} {text[:SIGNS]}" for name, text in (("SHA-256", digest), ("page", key)) if text]
    return f"{READ} ({', '.join(told)})" if told else READ


def entered_by_page(digest: str, key: str, by: Any) -> Sequence[Any]:
    """The first history row of every tube that somebody entered from one page, in the order of the tubes."""
    if not key:
        return []
    told = reason_of(digest, key)
    return list(Tube.history.filter(history_type="+", history_change_reason=told, history_user=by).order_by("item_id"))


def entered_from(digest: str) -> str:
    """A sentence on the tubes that were entered from a photograph before and are on record; empty where none are."""
    if not digest:
        return ""
    begins = reason_of(digest, "")[:-1]
    made = Tube.history.filter(history_type="+", history_change_reason__startswith=begins)
    days = {row.item_id: row.history_date for row in made.order_by("history_date")}
    tags = list(Tube.objects.filter(item__in=days).order_by("item_id").values_list("item_id", "item__tag"))
    if not tags:
        return ""
    last = timezone.localdate(max(days[key] for key, _ in tags))
    count = "1 tube was" if len(tags) == 1 else f"{len(tags)} tubes were"
    ends = tags[0][1] if len(tags) == 1 else f"{tags[0][1]} to {tags[-1][1]}"
    return f"{count} entered from this very photograph before, the last on {last:%Y-%m-%d}: {ends}."
