"""Changes of promises and of who can be asked."""

from datetime import date
from typing import Any

from django.db import transaction

from inventory.holdings.actions.locking import locked
from inventory.holdings.actions.register import check_day
from inventory.holdings.models import Loan
from inventory.house.writing import refuse, write
from inventory.valuation.models import Contact, Promise


@transaction.atomic
def save_promise(row: Promise, *, today: date, by: Any, reason: str = "") -> Promise:
    """Write a promise or its correction. Refuses what has left, and what is promised to somebody already, and
    what is not ours.
    """
    check_day(row.since, "since", today)
    row.to = row.to.strip()
    fresh = locked(row.item)
    if fresh.gone_on:
        raise refuse("to", f"{fresh.tag} left the collection on {fresh.gone_on}.")
    loan = Loan.objects.filter(item=fresh, way=Loan.IN, ended__isnull=True).first()
    if loan:
        raise refuse("to", f"{fresh.tag} is here on loan from {loan.who}: it is not ours to promise.")
    other = Promise.objects.filter(item=fresh, struck="").exclude(pk=row.pk).first()
    if other:
        told = f"{fresh.tag} is promised to {other.to} since {other.since}"
        raise refuse("to", f"{told}; strike that out first, with the reason, where it holds no more.")
    return write(row, by=by, reason=reason)


@transaction.atomic
def save_contact(row: Contact, *, by: Any, reason: str = "") -> Contact:
    """Write who can be asked, or a correction of it."""
    row.name, row.reach = row.name.strip(), row.reach.strip()
    return write(row, by=by, reason=reason)
