"""What is reserved, and for what: asked by the register, lists, look-up and matching, and before a thing leaves."""

from typing import Any

from django.db.models import QuerySet

from inventory.house.concerns import Claim
from inventory.restoration.models import Reservation
from inventory.sets.queries import FEW, open_fittings


def still_kept() -> QuerySet[Reservation]:
    """What is reserved and was not used: a tube that is in a set by now is no longer reserved."""
    return Reservation.objects.exclude(quantity__isnull=True, item__in=open_fittings().values("tube"))


def reserved(keys: set[int]) -> dict[int, list[Claim]]:
    """For which plan and position things are reserved, by key (one query)."""
    rows = still_kept()
    if len(keys) <= FEW:
        rows = rows.filter(item__in=keys)
    told: dict[int, list[Claim]] = {}
    for row in rows.select_related("plan", "chassis__model", "chassis__item", "position", "requirement"):
        if row.item_id in keys:
            at = (row.chassis_id, row.position_id) if row.chassis_id and row.position_id else None
            told.setdefault(row.item_id, []).append(Claim(row.plan.name, row.words, row.quantity, at))
    return told


def reserved_keys() -> Any:
    """The keys of all tubes that are reserved and were not used, for a condition."""
    return still_kept().filter(quantity__isnull=True).values("item")
