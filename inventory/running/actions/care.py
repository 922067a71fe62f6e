"""Changes of schedules: what is to be done again and again, and that it was done."""

from datetime import date
from typing import Any

from django.db import transaction

from inventory.holdings.actions import check_day
from inventory.holdings.models import Item
from inventory.house.writing import refuse, write
from inventory.running.actions.log import check_day_of
from inventory.running.models import Care, CareDone


@transaction.atomic
def save_care(row: Care, *, today: date, by: Any, reason: str = "") -> Care:
    """Write a care rule: of one thing or of all tubes of a type; after months, after hours run, or what comes first."""
    check_day(row.since, "since", today)
    if row.ended_on:
        check_day(row.ended_on, "ended_on", today)
        if row.ended_on < row.since:
            raise refuse("ended_on", f"It is counted from {row.since}.")
    if row.item is None and row.type is None:
        raise refuse("item", "Say of which thing, or of which type of tube.")
    if row.item is not None and row.type is not None:
        raise refuse("type", "One thing or all tubes of a type, not both.")
    if row.item is not None and row.item.kind != Item.TUBE and row.work in (Care.TEST, Care.CONDITION, Care.WARM_UP):
        raise refuse("work", f"{row.item} is no tube; for it choose oil, or other with your words.")
    if not row.every_months and not row.every_hours:
        raise refuse("every_months", "Say after how many months, or after how many hours.")
    if row.work == Care.OTHER and not row.words.strip():
        raise refuse("words", "Say what is to be done.")
    return write(row, by=by, reason=reason)


@transaction.atomic
def record_care_done(row: CareDone, *, today: date, by: Any, reason: str = "") -> CareDone:
    """Write that it was done on one thing."""
    check_day_of(row.item, row.on, "on", today)
    if row.care.item_id is not None and row.care.item_id != row.item_id:
        raise refuse("item", f"This rule is about {row.care.item}, not about {row.item}.")
    if row.care.type_id is not None and getattr(getattr(row.item, "tube", None), "type_id", None) != row.care.type_id:
        raise refuse("item", f"{row.item} is no {row.care.type}.")
    return write(row, by=by, reason=reason)
