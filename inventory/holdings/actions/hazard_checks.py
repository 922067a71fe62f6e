"""Checks for hazards that found none: written for one thing or for a place, corrected, things taken out again."""

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

from django.db import transaction

from inventory.holdings.actions.locking import locked_all
from inventory.holdings.actions.register import check_day
from inventory.holdings.models import HazardCheck, Item, Place
from inventory.holdings.queries.hazard_register import bearing_now
from inventory.holdings.queries.register import items_in
from inventory.house.writing import refuse, write


@transaction.atomic
def check_things(row: HazardCheck, things: Iterable[Item], *, by: Any, today: date | None = None) -> HazardCheck:
    """Write that these things were looked at and none was found.

    One that bears a hazard all the same stays among them: the register tells both.
    """
    _check(row, today)
    held = [item for item in locked_all(things) if item.gone_on is None]
    if not held:
        raise refuse("__all__", "None of these things is here.")
    row.how = row.how.strip()
    write(row, by=by)
    row.things.set(held)
    return row


@transaction.atomic
def check_place(
    row: HazardCheck, place: Place, *, by: Any, with_bearing: bool = False, today: date | None = None
) -> tuple[HazardCheck, list[Item]]:
    """Write that all that stands in a place and below it was looked at and none found; the check, and what it left out.

    Left out, but where ``with_bearing``, is what bears such a hazard by its record or by a rule: it is settled by
    itself. What stands in sets is not among them: nobody pulled it out.
    """
    things = list(items_in(place).filter(lent_to=""))
    bearing = set() if with_bearing else bearing_now(place, row.hazard)
    taken = [item for item in things if item.pk not in bearing]
    if not taken:
        told = f"All {len(things)} things in it bear such a hazard" if things else "Nothing stands in it"
        raise refuse("__all__", f"{told}: {'settle each on its own page.' if things else 'there is nothing to check.'}")
    row.where = place.path[:200]
    return check_things(row, taken, by=by, today=today), [item for item in things if item.pk in bearing]


@transaction.atomic
def save_check(
    row: HazardCheck, *, by: Any, without: Sequence[Item] = (), reason: str = "", today: date | None = None
) -> HazardCheck:
    """Write a corrected check; ``without``: things that were not looked at after all."""
    _check(row, today)
    left = set(row.things.values_list("pk", flat=True))
    out = {item.pk for item in without}
    if foreign := [item.tag for item in without if item.pk not in left]:
        raise refuse("without", f"Not in this check: {', '.join(foreign)}.")
    if not left - out:
        raise refuse("without", "Then nothing is left of it; strike it out instead.")
    row.how = row.how.strip()
    if out:
        row.things.remove(*out)
    return write(row, by=by, reason=reason)


def _check(row: HazardCheck, today: date | None) -> None:
    check_day(row.on, "on", today)
    if not row.how.strip():
        raise refuse("how", "Say how it was looked for.")
