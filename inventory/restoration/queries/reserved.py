"""What is kept back, and for what: asked by the register and all lists."""

from collections.abc import Iterable

from inventory.holdings.models import Item
from inventory.restoration.models import Reservation


def reserved_words(items: Iterable[Item]) -> dict[int, list[str]]:
    """For which plan and position things are kept back, in words, by key (one query)."""
    rows = Reservation.objects.filter(item__in=[item.pk for item in items])
    rows = rows.select_related("plan", "chassis__model", "chassis__item", "position", "requirement")
    told: dict[int, list[str]] = {}
    for row in rows:
        told.setdefault(row.item_id, []).append(row.words)
    return told
