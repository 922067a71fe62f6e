"""The moves that were filed when a tube was fitted or taken out, a unit seated or unseated: they go with its dates.

A move names no stay. Which one belongs to a stay is told by what both say (thing, day, set and position) and by the act
that wrote them: one person, one moment. Where that does not leave just one, the move stands as it is, and that is said.
"""

from datetime import timedelta
from typing import Any

from inventory.holdings.actions import redate
from inventory.holdings.models import Movement
from inventory.sets.models import Fitting, Seating

ONE_ACT = timedelta(seconds=10)  # between a stay written and its move filed, in one transaction; our choice
MOVES_STAND = "Its moves stand as they are on record."


def moves_follow(before: Fitting | Seating, stay: Fitting | Seating, *, by: Any, reason: str) -> str:
    """Let the moves filed with a stay be of its corrected days; what became of them, in words.

    ``before``: the stay as it was, of things that are locked. Empty where no day changed.
    """
    sides = [("since", _into(before)), ("until", _out_of(before))]
    changed = [(name, move) for name, move in sides if getattr(before, name) != getattr(stay, name)]
    why = reason or "dates corrected"
    item = (before.tube if isinstance(before, Fitting) else before.unit).item
    was = item.place_id
    for name, move in changed:
        if move is not None:
            item = redate(move, getattr(stay, name), by=by, reason=why)
    if not changed:
        return ""
    if not any(move for _, move in changed):
        return MOVES_STAND
    words = [f"the move {_way(name)} {'stands as it is' if move is None else 'follows'}" for name, move in changed]
    told = " and ".join(words)
    at = "" if item.place_id == was else f" {item.tag} is in {item.place or 'no place'} now: its latest move led there."
    return f"{told[0].upper()}{told[1:]}.{at}"


def _way(name: str) -> str:
    return "into the set" if name == "since" else "out of it"


def _spot(stay: Fitting | Seating) -> str:
    """Where a stay is, as the moves of its time say it."""
    return (
        f"{stay.chassis} {stay.position.mark}" if isinstance(stay, Fitting) else f"{stay.chassis}, bay {stay.bay.mark}"
    )


def _into(stay: Fitting | Seating) -> Movement | None:
    """The move that was filed when a thing went in."""
    act = stay.history.order_by("history_date", "history_id").first()
    return _filed(stay, act, on=stay.since, to_path=f"in {_spot(stay)}"[:200])


def _out_of(stay: Fitting | Seating) -> Movement | None:
    """The move that was filed when it came out."""
    act = stay.history.filter(until__isnull=False).order_by("history_date", "history_id").first()
    return _filed(stay, act, on=stay.until, reason__startswith=f"out of {_spot(stay)}"[:200])


def _filed(stay: Fitting | Seating, act: Any, **said: Any) -> Movement | None:
    """The only move of a thing that says this and was filed by that act; None where that is none, or more than one."""
    if act is None:
        return None
    thing = stay.tube_id if isinstance(stay, Fitting) else stay.unit_id
    began = act.history_date
    rows = Movement.objects.filter(item=thing, by=act.history_user_id, **said)
    found = list(rows.filter(entered_at__gte=began, entered_at__lte=began + ONE_ACT)[:2])
    return found[0] if len(found) == 1 else None
