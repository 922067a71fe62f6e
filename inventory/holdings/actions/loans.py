"""Loans: handed over and back, things of others taken in, and corrections. The thing is locked before its loan."""

from datetime import date
from typing import Any

from django.db import transaction

from inventory.holdings.actions.locking import kept, locked
from inventory.holdings.actions.parting import check_between, check_free, let_go, told_with
from inventory.holdings.actions.register import check_day
from inventory.holdings.actions.together import check_leaving
from inventory.holdings.models import Loan
from inventory.holdings.queries.together import ours_by_its_record
from inventory.house.concerns import kept_from_leaving
from inventory.house.writing import refuse, write


def _check_due(row: Loan) -> None:
    if row.due and row.due < row.since:
        raise refuse("due", f"{row.due} is before {row.since}, when it began.")


@transaction.atomic
def borrow(row: Loan, *, today: date, by: Any, why: str = "") -> Loan:
    """A thing of the register is here on loan: somebody else's, to be given back. Refused where it is so already.

    ``why``: asked where its record says that it was bought or came otherwise to stay; it is kept with the loan.
    """
    check_day(row.since, "since", today)
    _check_due(row)
    fresh = locked(row.item)
    if fresh.gone_on:
        raise refuse("who", f"{fresh.tag} left the collection on {fresh.gone_on}.")
    if there := fresh.loans.filter(way=Loan.IN, ended__isnull=True).first():
        raise refuse("who", f"{fresh.tag} is here on loan from {there.who} already, since {there.since}.")
    if not why.strip() and (asked := ours_by_its_record(fresh)):
        raise refuse("why", asked)
    row.way, row.who, row.ended = Loan.IN, row.who.strip(), None
    row.note = "\n".join(filter(None, (row.note.strip(), why.strip())))
    check_between(row, "since")
    write(row, by=by)
    write(fresh, by=by, reason=f"here on loan from {row.who}")  # its own history says so too
    return row


@transaction.atomic
def give_back(row: Loan, *, on: date, by: Any, condition: str = "", why: str = "", today: date | None = None) -> Loan:
    """A thing that was here on loan goes back to its owner, and with that leaves.

    Refused while it is in a set, holds something or was in a set until later. ``why``: why it goes without what belongs
    with it, or although something counts on it; asked where that is so, and kept with how it left.
    """
    check_day(on, "on", today)
    fresh = locked(row.item)
    row = Loan.objects.select_for_update(of=("self",)).get(pk=row.pk)
    if row.way != Loan.IN or row.ended:
        raise refuse("on", f"{fresh.tag} is not here on loan any more.")
    if on < row.since:
        raise refuse("on", f"{on} is before {row.since}, when it came.")
    if fresh.lent_to:
        raise refuse("on", f"{fresh.tag} is lent to {fresh.lent_to}; take it back first.")
    check_free(fresh, "on")
    for reason in kept_from_leaving(fresh, on):
        raise refuse("on", reason)
    check_leaving(fresh, why, "why", to_owner=True)
    how = told_with(f"given back to {row.who}", fresh, why, "why")
    row.ended, row.condition_back = on, condition.strip()
    write(row, by=by, reason=f"given back to {row.who}")
    let_go(fresh, how, on=on, by=by)
    kept(fresh, row.item)
    return row


@transaction.atomic
def save_loan(row: Loan, *, today: date, by: Any, reason: str = "") -> Loan:
    """Write a corrected loan: another day, another name, what was seen. A thing that is out says the same of itself."""
    check_day(row.since, "since", today)
    _check_due(row)
    if row.ended:
        check_day(row.ended, "ended", today)
        if row.ended < row.since:
            raise refuse("ended", f"{row.ended} is before {row.since}, when it began.")
    item = locked(Loan.objects.select_related("item").get(pk=row.pk).item)
    before = Loan.objects.select_for_update(of=("self",)).get(pk=row.pk)
    if bool(row.ended) != bool(before.ended):
        raise refuse("ended", "Whether it is over is said by recording that it came back, not here.")
    row.way, row.item_id, row.who = before.way, before.item_id, row.who.strip()
    check_between(row, "since")
    write(row, by=by, reason=reason)
    if row.way == Loan.OUT and row.ended is None and (item.lent_to, item.lent_on) != (row.who, row.since):
        item.lent_to, item.lent_on = row.who, row.since
        write(item, by=by, reason=reason or "loan corrected")
    return row
