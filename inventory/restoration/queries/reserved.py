"""What is kept back, and for what: asked by the register, by matching and before a thing leaves."""

from collections.abc import Iterable

from inventory.holdings.models import Item
from inventory.restoration.models import Reservation
from inventory.sets.queries import FEW, open_fittings


def reserved_words(items: Iterable[Item]) -> dict[int, list[str]]:
    """For which plan and position things are kept back, in words, by key (one query).

    A tube that is in a set by now is no longer kept back: it was used.
    """
    keys = {item.pk for item in items}
    rows = Reservation.objects.exclude(quantity__isnull=True, item__in=open_fittings().values("tube"))
    if len(keys) <= FEW:
        rows = rows.filter(item__in=keys)
    told: dict[int, list[str]] = {}
    for row in rows.select_related("plan", "chassis__model", "chassis__item", "position", "requirement"):
        if row.item_id in keys:
            told.setdefault(row.item_id, []).append(row.words)
    return told
