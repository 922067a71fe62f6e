"""Conditions of things: written, corrected. What can hurt and was seen stands in the register of hazards too."""

from datetime import date
from typing import Any

from django.db import transaction

from inventory.holdings.actions.locking import locked
from inventory.holdings.actions.register import check_day, saw
from inventory.holdings.models import ConditionCheck, HazardMark
from inventory.house.writing import refuse, write


@transaction.atomic
def note_condition(row: ConditionCheck, *, by: Any, today: date) -> ConditionCheck:
    """Write how a thing was found. Who looked at it saw it; a hazard that was seen is confirmed on the thing."""
    _check(row, today)
    fresh = locked(row.item)
    if fresh.gone_on and row.on > fresh.gone_on:
        raise refuse("on", f"{fresh.tag} left the collection on {fresh.gone_on}.")
    if fresh.gone_on and row.look_again:
        raise refuse("look_again", f"{fresh.tag} left on {fresh.gone_on}; leave this empty.")
    write(row, by=by)
    _mark(row, by)
    if not fresh.gone_on and not fresh.lent_to and saw(fresh, row.on):
        write(fresh, by=by, reason="seen, condition noted")
        row.item.seen_on, row.item.missed_on = fresh.seen_on, fresh.missed_on
    return row


@transaction.atomic
def save_condition(row: ConditionCheck, *, by: Any, today: date, reason: str = "") -> ConditionCheck:
    """Write a corrected condition. A hazard that was marked by it stays until somebody settles it."""
    _check(row, today)
    write(row, by=by, reason=reason)
    _mark(row, by)
    return row


def _check(row: ConditionCheck, today: date) -> None:
    check_day(row.on, "on", today)
    row.state, row.lacking, row.by_whom = row.state.strip(), row.lacking.strip(), row.by_whom.strip()
    if not row.state:
        raise refuse("state", "Say in which state it was.")
    if not row.by_whom:
        raise refuse("by_whom", "Say who looked at it.")
    if row.lacking and row.complete == ConditionCheck.COMPLETE:
        raise refuse("lacking", "Something is missing, and it is said to be complete: which is it?")
    if row.lacking:
        row.complete = ConditionCheck.INCOMPLETE
    if row.look_again and row.look_again <= row.on:
        raise refuse("look_again", f"{row.look_again} is not after {row.on}, when it was looked at.")


def _mark(row: ConditionCheck, by: Any) -> None:
    """Confirm a hazard that was seen; a later word on it, or one that stands, is left alone."""
    if not row.hazard:
        return
    mark = HazardMark.objects.select_for_update(of=("self",)).filter(item=row.item_id, hazard=row.hazard).first()
    if mark is not None and (mark.on > row.on or mark.standing == HazardMark.CONFIRMED):
        return
    mark = mark or HazardMark(item_id=row.item_id, hazard=row.hazard)
    mark.standing, mark.on, mark.by_whom = HazardMark.CONFIRMED, row.on, row.by_whom
    mark.reason = f"seen: {row.state}"[:200]
    write(mark, by=by, reason="seen as its condition was noted")
