"""Changes of the want list."""

from contextlib import suppress
from datetime import date
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.holdings.actions.register import check_day
from inventory.holdings.models import Want
from inventory.holdings.queries import open_wants
from inventory.house.currencies import currency_refused
from inventory.house.writing import refuse, write
from tubes.queries import find_type, knowledge


@transaction.atomic
def save_want(want: Want, *, today: date, by: Any, reason: str = "", besides: bool = False) -> Want:
    """Write a new or a changed want; a stamp with one meaning gives its type.

    A price needs its currency; what is settled is changed no more. ``besides``: a line of its own for what is on the
    list already, under whatever number; without it that is refused.
    """
    before = Want.objects.select_for_update().get(pk=want.pk) if want.pk else None
    if before and before.settled:
        raise refuse("thing", "It is settled already; write a new one.")
    check_day(want.since, "since", today)
    want.thing = want.thing.strip()
    if want.type is None:
        with suppress(ValidationError):  # no tube at all, or a number of two: the words stand as they are
            want.type = find_type(want.thing)
    another = before is None or (before.type_id, before.thing) != (want.type_id, want.thing)
    if another and not besides and (twin := _twin(want)):
        told = f"{twin.purpose}, " if twin.purpose else ""
        told += twin.price_text or "no price set"
        text = f"{twin} is on the list already ({told}): change that line, or tick this."
        raise refuse("besides", text)
    if want.top_price is not None and Decimal(want.top_price) == 0:
        raise refuse("top_price", "A top price is more than nothing; leave it empty where none is set.")
    if want.top_price is not None and not want.currency:
        raise refuse("currency", "Name the currency of the price: nothing is converted, nothing assumed.")
    if want.top_price is None:
        want.currency = ""
    if refused := currency_refused(want.currency):
        raise refuse("currency", refused)
    return write(want, by=by, reason=reason)


def _twin(want: Want) -> Want | None:
    """An open want of the same tube, under any of its numbers, or of a thing in the same words."""
    rows = open_wants().exclude(pk=want.pk)
    if want.type is None:
        return rows.filter(type__isnull=True, thing__iexact=want.thing).first()
    return rows.filter(type__name__in=knowledge().kin.same_as(want.type.name)).first()


@transaction.atomic
def settle_want(want: Want, why: str, *, by: Any) -> Want:
    """Take a want off the list: bought, no longer needed. It stays readable with the reason."""
    fresh = Want.objects.select_for_update().get(pk=want.pk)
    if not why.strip():
        raise refuse("why", "Say why: bought, no longer needed.")
    if fresh.settled:
        raise refuse("why", f"It is settled already: {fresh.settled}.")
    fresh.settled = why.strip()[:200]
    return write(fresh, by=by, reason="settled")
