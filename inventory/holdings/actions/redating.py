"""A move whose day was wrong: it goes to another day, and what hangs on the order of moves is mended."""

from datetime import date
from typing import Any

from django.db import transaction
from django.db.models import Q

from inventory.holdings.actions.locking import locked
from inventory.holdings.actions.register import check_day, first_entry, place_then
from inventory.holdings.models import Item, Movement
from inventory.house.concerns import held_by
from inventory.house.writing import write


@transaction.atomic
def redate(move: Movement, on: date, *, by: Any, reason: str) -> Item:
    """Let a move be of another day: each move starts where the one before it led, also where this one was before.

    The thing is where its latest move by date leads, as if this one had been filed so at first; what is in a set stays
    there, and what left the collection is nowhere. ``reason``: for the history of the thing, where its place changes.
    """
    check_day(on)
    item = locked(move.item)
    move.refresh_from_db()  # where it comes from may have changed with another move
    last, came_from = _last(item), _before(move)
    _start_at(_after(move), move.from_path)
    move.on = on
    move.save(update_fields=["on"])
    comes_from = _before(move)
    if comes_from is not None or came_from is not None:  # else it is the first as before, from where it came
        _start_at(move, comes_from.to_path if comes_from else "")
    _start_at(_after(move), move.to_path)
    now = _last(item)
    if now != last and now is not None and item.gone_on is None and not held_by(item):
        item.place = place_then(now)
        write(item, by=by, reason=reason)
    return item


def _start_at(move: Movement | None, path: str) -> None:
    """Let a move start at a place; of what a thing was entered with nobody knows where it came from."""
    if move is not None and not first_entry(move):
        move.from_path = path
        move.save(update_fields=["from_path"])


def _last(item: Item) -> Movement | None:
    return item.movements.order_by("-on", "-id").first()


def _before(move: Movement) -> Movement | None:
    earlier = Q(on__lt=move.on) | Q(on=move.on, pk__lt=move.pk)
    return move.item.movements.filter(earlier).order_by("-on", "-id").first()


def _after(move: Movement) -> Movement | None:
    later = Q(on__gt=move.on) | Q(on=move.on, pk__gt=move.pk)
    return move.item.movements.filter(later).order_by("on", "id").first()
