"""Changes of hazard marks: a hazard that was found, is likely, or was looked for and not found."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django.db import transaction

from inventory.holdings.actions.locking import locked
from inventory.holdings.actions.register import check_day
from inventory.holdings.models import HazardMark, Item
from inventory.house.writing import refuse, write


def _check(on: date, standing: str, hazards: Sequence[str], reason: str) -> None:
    check_day(on)
    if not reason.strip() and ("other" in hazards or standing == HazardMark.NONE_FOUND):
        told = "how it was looked for" if standing == HazardMark.NONE_FOUND else "what the hazard is"
        raise refuse("reason", f"Say {told}.")


@transaction.atomic
def note_hazards(
    item: Item, hazards: Sequence[str], *, standing: str, reason: str, on: date, by: Any, by_whom: str = ""
) -> list[HazardMark]:
    """Mark hazards of a thing. One that is marked already is refused: its standing is changed, not written twice."""
    _check(on, standing, hazards, reason)
    locked(item)
    for mark in HazardMark.objects.filter(item=item, hazard__in=hazards):
        raise refuse("hazards", f"{mark.hazard} is on record ({mark.get_standing_display()}); change that mark.")
    said = {"standing": standing, "reason": reason.strip(), "on": on, "by_whom": by_whom.strip()}
    return [write(HazardMark(item=item, hazard=hazard, **said), by=by) for hazard in hazards]


@transaction.atomic
def settle_hazard(mark: HazardMark, *, standing: str, reason: str, on: date, by: Any, by_whom: str = "") -> HazardMark:
    """Confirm a hazard, or write that it was looked for and not found; what stood before stays in its history."""
    _check(on, standing, [mark.hazard], reason)
    mark.standing, mark.reason, mark.on, mark.by_whom = standing, reason.strip(), on, by_whom.strip()
    return write(mark, by=by, reason=standing)
