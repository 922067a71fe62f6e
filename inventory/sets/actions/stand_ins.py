"""Changes of what may stand in for a part of a set model, and of what sits in which set."""

from datetime import date
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.holdings.actions import check_day, hold_things
from inventory.holdings.queries.stand_ins import stand_in_table
from inventory.house.records.actions import strike_out
from inventory.house.writing import refuse, write
from inventory.sets.actions.spans import check_present, check_socket_free, check_when, is_within, span
from inventory.sets.models import StandIn, StandInFitted
from inventory.sets.queries import overlapping


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
    if row.pk and row.position:
        _check_stays(row)
    return write(row, by=by, reason=reason)


@transaction.atomic
def save_fitted(row: StandInFitted, *, today: date, by: Any, reason: str = "") -> StandInFitted:
    """Write that a stand-in sits in a set, or sat there until a day. Once at a time, and in a set of its model that was
    here then.
    """
    check_when(row, today)
    word = _held(row.stand_in_id)
    hold_things(row.chassis)
    if word.struck and row._state.adding:
        raise refuse("stand_in", f"That word is struck out: {word.struck}.")
    if row.chassis.model_id != word.set_model_id:
        raise refuse("stand_in", f"{word} is of another set model than {row.chassis}.")
    check_present(row, row.chassis.item)
    there = StandInFitted.objects.filter(stand_in=word, chassis=row.chassis).exclude(pk=row.pk)
    if row.until is None and (now := there.filter(until__isnull=True).first()):
        raise refuse("stand_in", f"It sits there already, since {now.since}.")
    if other := overlapping(there, row):
        told = f"It sat there {span(other)} as well"
        raise refuse("since", f"{told}: correct that first, or give days that have none in common with it.")
    before = StandInFitted.objects.filter(pk=row.pk, stand_in=word, chassis=row.chassis).first()
    if before is None or not is_within(row, before):
        row.stand_in = word
        check_socket_free(row)
    return write(row, by=by, reason=reason)


@transaction.atomic
def strike_stand_in(row: StandIn, why: str, *, by: Any) -> StandIn:
    """Strike a word out. Refused while what it names sits in a set: what is in there would be told nowhere."""
    _held(row.pk)
    sits = row.fitted.filter(until__isnull=True).select_related("chassis__model", "chassis__item")
    if sets := ", ".join(f"{one.chassis} (since {one.since})" for one in sits):
        raise refuse("why", f"It sits in {sets}. Write there until when first, or change the words.")
    return strike_out(row, why, by=by)


def _check_stays(row: StandIn) -> None:
    """Refuse a word another position in whose socket something else sat while its stand-in did."""
    _held(row.pk)
    if StandIn.objects.filter(pk=row.pk, position=row.position).exists():
        return
    stays = list(row.fitted.select_related("chassis"))
    hold_things(*(one.chassis for one in stays))
    for stay in stays:
        stay.stand_in = row
        try:
            check_socket_free(stay)
        except ValidationError as refusal:
            raise refuse("position", f"{stay.chassis.tag}: {' '.join(refusal.messages)}") from refusal


def _held(key: int) -> StandIn:
    """A word as it stands now, locked: nobody puts it into a set while it is struck out, nor the other way round."""
    return StandIn.objects.select_for_update(of=("self",), no_key=True).get(pk=key)
