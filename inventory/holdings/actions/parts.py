"""Changes of part lots."""

from datetime import date
from typing import Any

from django.db import transaction

from inventory.holdings.actions.register import register
from inventory.holdings.models import Item, PartLot, PartType, Place
from inventory.house.writing import refuse, write


def _check(lot: PartLot) -> None:
    if lot.least is not None and lot.most is not None and lot.least > lot.most:
        raise refuse("most", f"At least {lot.least}, at most {lot.most}: turn the two round, or leave one empty.")


@transaction.atomic
def add_parts(lot: PartLot, *, by: Any, on: date, place: Place | None = None, tag: str = "") -> PartLot:
    """Add a part lot to the register."""
    _check(lot)
    lot.item = register(Item.PARTS, by=by, on=on, place=place, tag=tag)
    return write(lot, by=by)


@transaction.atomic
def change_parts(lot: PartLot, *, by: Any, reason: str = "") -> PartLot:
    """Write a changed part lot; before and after stay in its history."""
    _check(lot)
    return write(lot, by=by, reason=reason)


@transaction.atomic
def save_part_type(row: PartType, *, by: Any, reason: str = "") -> PartType:
    """Write a kind of part. Refuses one that says nothing, and a second one of the same figures."""
    if row.value is None and not row.words and not row.construction:
        raise refuse("words", "Give a value, or say in words what it is.")
    figures = {name: getattr(row, name) for name in ("kind", "value", "tolerance_pct", "volts", "watts", "words")}
    twin = PartType.objects.filter(construction__iexact=row.construction, **figures).exclude(pk=row.pk).first()
    if twin is not None:
        raise refuse("kind", f"This is on record already: {twin}.")
    return write(row, by=by, reason=reason)
