"""Tubes whose mark means a type by now get that type."""

from typing import Any

from django.db import transaction

from inventory.holdings.models import Tube
from inventory.holdings.queries.settling import unsettled_of
from inventory.house.writing import refuse, write
from tubes.models import TubeType


@transaction.atomic
def settle_marked(kind: TubeType, *, by: Any) -> list[Tube]:
    """Give every unsettled tube whose mark means this type that type; its history says so. Refuses where none is."""
    tubes = unsettled_of(kind.name)
    if not tubes:
        raise refuse("__all__", f"No tube here without a type is marked as a {kind}.")
    for tube in tubes:
        tube.type = kind
        write(tube, by=by, reason=f"its mark means {kind} by now")
    return tubes
