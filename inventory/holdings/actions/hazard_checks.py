"""Checks for hazards that found none: written for one thing or for a place, corrected, things taken out again."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db import transaction

from inventory.holdings.actions.locking import locked_all
from inventory.holdings.actions.register import check_day
from inventory.holdings.models import HazardCheck, Item, Place
from inventory.holdings.queries.hazard_register import bearing_now
from inventory.holdings.queries.register import items_in, places_within
from inventory.house.writing import refuse, write

BEARING = "bears such a hazard"


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A thing of a place that a check of it does not tell of. ``why``: in words, of it."""

    item: Item
    why: str


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
) -> tuple[HazardCheck, list[LeftOut]]:
    """Write that all that stands in a place and below it was looked at and none found; the check, and what it left out.

    Left out is what is lent or was not found, since nobody can have looked at it; and, but where ``with_bearing``, what
    bears such a hazard by its record or by a rule: it is settled by itself. What stands in sets is not among them:
    nobody pulled it out.
    """
    things = _held_in(place)
    bearing = set() if with_bearing else bearing_now(place, row.hazard)
    left = [LeftOut(item, why) for item in things if (why := _away(item) or (BEARING if item.pk in bearing else ""))]
    out = {one.item.pk for one in left}
    taken = [item for item in things if item.pk not in out]
    if not taken:
        told = "Nothing stands in it: there is nothing to check."
        raise refuse("__all__", f"Nothing in it can be checked so: {left_out_words(left)}" if left else told)
    row.where = place.path[:200]
    return check_things(row, taken, by=by, today=today), left


def _held_in(place: Place) -> list[Item]:
    """The things in a place and below it as they stand there now, locked: none is moved, lent or marked meanwhile."""
    within = set(places_within(place).values_list("pk", flat=True))
    return sorted(
        (item for item in locked_all(items_in(place)) if item.gone_on is None and item.place_id in within),
        key=lambda item: item.tag,
    )


def _away(item: Item) -> str:
    if item.lent_to:
        return f"is lent to {item.lent_to}"
    return f"was not found on {item.missed_on}" if item.missed_on else ""


def left_out_words(left: Sequence[LeftOut], named: int = 8) -> str:
    """What was left out and why, in sentences: at most so many tags of each reason."""
    told = []
    for why in dict.fromkeys(one.why for one in left):
        tags = [one.item.tag for one in left if one.why == why]
        more = f" and {len(tags) - named} more" if len(tags) > named else ""
        then = ": settle each by itself" if why == BEARING else ""
        told.append(f"{', '.join(tags[:named])}{more} ({why}){then}.")
    return " ".join(told)


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
