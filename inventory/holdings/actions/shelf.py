"""Taking back what was entered wrongly a moment ago."""

from collections.abc import Sequence
from typing import Any

from django.db import transaction
from django.db.models import Count, ProtectedError

from inventory.holdings.actions.locking import for_change
from inventory.holdings.models import Item, Movement, Tube
from inventory.house.writing import refuse, remove


def untouched(keys: Sequence[int]) -> str:
    """Why these new tubes can no longer be taken back, or nothing (three queries)."""
    again = (
        (Item.history.filter(id__in=keys), "id", "was changed"),
        (Tube.history.filter(item_id__in=keys), "item_id", "was changed"),
        (Movement.objects.filter(item__in=keys), "item_id", "was moved"),
    )
    for rows, name, told in again:
        twice = rows.order_by(name).values(name).annotate(times=Count("*")).filter(times__gt=1).first()
        if twice:
            return f"{Item.objects.get(pk=twice[name]).tag} {told} since."
    return ""


@transaction.atomic
def take_back_entry(keys: Sequence[int], *, by: Any) -> list[str]:
    """Take tubes out of the register again that were entered by mistake, while nothing else happened to them.

    Their history says who took them back; their tags are not given again. Returns the tags. Raises ValidationError.
    """
    rows = Item.objects.filter(pk__in=keys, kind=Item.TUBE, gone_on__isnull=True)
    items = list(for_change(rows, removing=True))
    if not items or len(items) != len(keys):
        raise refuse("entry", "It is not there any more.")
    if why := untouched(keys):
        raise refuse("entry", f"{why} Change it or part with it instead.")
    Movement.objects.filter(item__in=items).delete()
    tubes = {tube.pk: tube for tube in Tube.objects.filter(item__in=items)}
    for item in items:
        try:
            remove(tubes[item.pk], by=by, reason="entered by mistake")
            remove(item, by=by, reason="entered by mistake")
        except ProtectedError as fault:
            raise refuse("entry", f"{item.tag} is in use: something else names it. Part with it instead.") from fault
    return [item.tag for item in items]
