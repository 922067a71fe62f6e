"""Changes of part lots."""

from datetime import date
from typing import Any

from django.db import transaction

from inventory.holdings.actions.register import register
from inventory.holdings.models import Item, PartLot, Place
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
