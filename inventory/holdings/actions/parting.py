"""Lending things, taking them back, and parting with them."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from inventory.holdings.actions.locking import kept, locked
from inventory.holdings.actions.register import check_day, shift
from inventory.holdings.actions.said import say_how_it_left
from inventory.holdings.actions.together import check_leaving
from inventory.holdings.models import Item, Loan
from inventory.holdings.models.loans import NOT_BACK
from inventory.holdings.models.register import LEFT
from inventory.holdings.queries.together import left_behind
from inventory.holdings.rules.ways import told_openly
from inventory.house.concerns import held_by, kept_from_leaving, left
from inventory.house.writing import refuse, write

MOST_HOW = 200  # letters of how a thing left


def check_free(item: Item, field: str) -> None:
    """Refuse that a thing goes while something holds it: it sits in a set."""
    if held := held_by(item):
        raise refuse(field, f"{item.tag}: {'; '.join(held)}; take it out first.")


def reason_kept(item: Item, why: str) -> str:
    """The reason as it is kept: a thing goes alone where something belongs with it, else all the same."""
    return f"{'alone' if left_behind(item) else 'all the same'}: {why}"


def told_with(how: str, item: Item, why: str, field: str) -> str:
    """How a thing leaves, with the reason where one was asked for. Refuses what has no room in its row."""
    how = f"{how}; {reason_kept(item, why)}" if why else how
    if len(how) > MOST_HOW:
        raise refuse(field, f"Together with the reason this is {len(how)} letters; {MOST_HOW} have room.")
    return how


def check_between(row: Loan, field: str) -> None:
    """Refuse, at a field, a loan that runs into another of the same thing the same way. The thing is locked before.

    It may begin on the day on which the one before ended.
    """
    others = Loan.objects.filter(item=row.item_id, way=row.way).exclude(pk=row.pk)
    others = others.filter(Q(ended__isnull=True) | Q(ended__gt=row.since))
    if row.ended:
        others = others.filter(since__lt=row.ended)
    if other := others.order_by("since").select_related("item").first():
        until = f"until {other.ended}" if other.ended else "and is not back"
        which = f"lent to {other.who}" if row.way == Loan.OUT else f"here on loan from {other.who}"
        raise refuse(field, f"{other.item.tag} was {which} since {other.since} {until}; two loans are not at one time.")


@transaction.atomic
def lend(
    item: Item,
    to: str,
    *,
    on: date,
    by: Any,
    why: str = "",
    today: date | None = None,
    due: date | None = None,
    condition: str = "",
    terms: str = "",
) -> Item:
    """Lend a thing out. A lent thing is still owned but counts as no spare. ``due``: the day it is to be back.

    Refused while it sits in a set, since it would be in two places at once, and without what belongs with it, or while
    something counts on it, unless ``why`` says why it goes all the same.
    """
    check_day(on, "on", today)
    if due and due < on:
        raise refuse("due", f"{due} is before {on}, when it goes.")
    fresh = locked(item)
    if fresh.gone_on:
        raise refuse("lent_to", f"{fresh.tag} left the collection on {fresh.gone_on}.")
    if fresh.lent_to:
        raise refuse("lent_to", f"{fresh.tag} is lent to {fresh.lent_to} since {fresh.lent_on}; take it back first.")
    if not to.strip():
        raise refuse("lent_to", "Say to whom it is lent.")
    check_free(fresh, "lent_to")
    check_leaving(fresh, why, "why")
    fresh.lent_to, fresh.lent_on, fresh.missed_on = to.strip(), on, None
    loan = Loan(item=fresh, way=Loan.OUT, who=to.strip(), since=on, due=due, condition=condition, terms=terms)
    loan.note = reason_kept(fresh, why) if why else ""
    check_between(loan, "on")
    write(loan, by=by)
    return kept(write(fresh, by=by, reason=f"lent {loan.note}" if why else f"lent to {to}"), item)


@transaction.atomic
def take_back(item: Item, *, on: date, by: Any, condition: str = "", today: date | None = None) -> Item:
    """A lent thing is back; its loan is over, with the condition in which it came."""
    check_day(on, "on", today)
    fresh = locked(item)
    if not fresh.lent_to:
        raise refuse("lent_to", f"{fresh.tag} is not lent.")
    if fresh.lent_on and on < fresh.lent_on:
        raise refuse("on", f"{on} is before {fresh.lent_on}, when it was lent.")
    reason = f"back from {fresh.lent_to} on {on}"
    _end_loan(fresh, on, condition.strip(), by)
    fresh.lent_to, fresh.lent_on = "", None
    fresh.seen_on, fresh.missed_on = on, None
    return kept(write(fresh, by=by, reason=reason), item)


def _end_loan(item: Item, on: date, condition: str, by: Any) -> None:
    """Close the loan of a thing that is out; where a list or an older collection said so without one, write it now."""
    row = item.loans.select_for_update(of=("self",)).filter(way=Loan.OUT, ended__isnull=True).first()
    if row is None:
        if not item.lent_on:
            return
        row = Loan(item=item, way=Loan.OUT, who=item.lent_to, since=item.lent_on)
    row.ended, row.condition_back = max(on, row.since), condition
    write(row, by=by, reason="over")


@transaction.atomic
def let_go(item: Item, how: str, *, on: date, by: Any) -> Item:
    """Write that a thing left the collection. Its row and its tag stay. What asks first: ``part_with``.

    ``how`` stands on the thing alone: moves, loans and reasons of changes, which everybody sees, have the way of it.
    """
    check_day(on)
    fresh = locked(item)
    if fresh.gone_on:
        raise refuse("gone_on", f"{fresh.tag} left on {fresh.gone_on} already.")
    if fresh.place:
        shift(fresh, LEFT, None, on=on, by=by, reason=told_openly(how), lasting=True)
    if fresh.lent_to:
        _end_loan(fresh, on, f"{NOT_BACK} {told_openly(how) or LEFT}", by)
    fresh.gone_on, fresh.gone_how, fresh.lent_to, fresh.lent_on, fresh.missed_on = on, how, "", None, None
    write(fresh, by=by, reason=told_openly(how) or LEFT)
    left(fresh, by)
    return kept(fresh, item)


@transaction.atomic
def part_with(
    item: Item, how: str, *, on: date, by: Any, why: str = "", today: date | None = None,
    record: Mapping[str, str] | None = None,
) -> Item:  # fmt: skip
    """A thing is sold, given, scrapped; refused while it is in a set, holds something, was in a set until later, or
    belongs to somebody else.

    ``why``: why it goes without what belongs with it, or although something counts on it; asked where that is so, and
    kept with how it left. ``record``: why it leaves, on whose word, to whom, for how much, by the names of
    ``said.LEFT``.
    """
    record = record or {}
    how = told_with(how, item, why, "how")
    check_day(on, "gone_on", today)
    fresh = locked(item)
    check_free(fresh, "gone_on")
    if owed := fresh.loans.filter(way=Loan.IN, ended__isnull=True).first():
        raise refuse("gone_on", f"{fresh.tag} belongs to {owed.who}, here on loan: record that it was given back.")
    for reason in kept_from_leaving(fresh, on):
        raise refuse("gone_on", reason)
    check_leaving(fresh, why, "why", parting=True, how=how)
    gone = let_go(item, how, on=on, by=by)
    say_how_it_left(gone, record, by=by, today=today or timezone.localdate())
    return gone
