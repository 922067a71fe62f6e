"""Changes of what may stand in for a part of a set model, and of what sits in which set."""

from datetime import date
from typing import Any

from django.db import transaction

from inventory.holdings.actions import check_day
from inventory.holdings.queries.stand_ins import stand_in_table
from inventory.house.writing import refuse, write
from inventory.sets.models import StandIn, StandInFitted


@transaction.atomic
def save_stand_in(row: StandIn, *, today: date, by: Any, reason: str = "") -> StandIn:
    """Write somebody's word on a stand-in. Refuses one that names neither a part nor a position of the model."""
    check_day(row.on, "on", today)
    row.part = row.part.strip()
    if row.position and row.position.set_model_id != row.set_model_id:
        raise refuse("position", f"{row.position} is no position of {row.set_model}.")
    if not row.part and row.position is None:
        raise refuse("part", "Say which part it replaces, or name a position.")
    if row.general and row.general not in {one.key for one in stand_in_table()}:
        raise refuse("general", f"{row.general!r} is no general entry.")
    return write(row, by=by, reason=reason)


@transaction.atomic
def save_fitted(row: StandInFitted, *, today: date, by: Any, reason: str = "") -> StandInFitted:
    """Write that a stand-in sits in a set, or sat there until a day. Once at a time, and in a set of its model."""
    for name in ("since", "until"):
        if day := getattr(row, name):
            check_day(day, name, today)
    word = StandIn.objects.select_for_update(of=("self",), no_key=True).get(pk=row.stand_in_id)
    if word.struck and row._state.adding:
        raise refuse("stand_in", f"That word is struck out: {word.struck}.")
    if row.chassis.model_id != word.set_model_id:
        raise refuse("stand_in", f"{word} is of another set model than {row.chassis}.")
    there = StandInFitted.objects.filter(stand_in=word, chassis=row.chassis).exclude(pk=row.pk)
    if row.until is None and (now := there.filter(until__isnull=True).first()):
        raise refuse("stand_in", f"It sits there already, since {now.since}.")
    return write(row, by=by, reason=reason)
