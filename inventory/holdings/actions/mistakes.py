"""A thing that was entered by mistake leaves the register while nothing hangs on it; later its entry is struck out."""

from collections.abc import Iterator
from datetime import date
from typing import Any

from django.db import transaction
from django.db.models import Model, ProtectedError, QuerySet
from django.utils import timezone

from inventory.holdings.actions.locking import kept, locked
from inventory.holdings.models import Fact, Item, Movement, Place
from inventory.holdings.queries.facts import bearer_of
from inventory.holdings.rules.facts import OWN_NUMBER
from inventory.holdings.rules.mistakes import MISTAKE, never_was
from inventory.house.concerns import held_by, kept_from_leaving, left
from inventory.house.records.actions import strike_out
from inventory.house.writing import refuse, remove, write

INSTEAD = "Strike its entry out instead: its record and its tag stay, with the reason, and it counts nowhere."


def hangs_on(item: Item) -> list[str]:
    """What hangs on a thing, in words: later moves, tests, fittings, photographs, facts, and so on.

    What was written on the day of its entry, a move into its drawer or a price beside it, is part of the entry; what
    is struck out says nothing. One query for each table that can name a thing, of every area.
    """
    found, day = [], _entered(item)
    if any(_day(one.entered_at) > day for one in item.movements.all()):
        found.append("it was moved")
    if item.lent_to or item.gone_on:
        found.append("it is lent" if item.lent_to else "it has left the collection")
    if any(_day(one.entered_at) > day for one in _facts(item).filter(struck="")):
        found.append("something was said of it later")
    for other, name, words in _relations(item):
        if (row := other._base_manager.filter(**{name: item.pk}).first()) is not None:
            found.append(getattr(row, "bars_taking_back", "") or f"it is named by a {words}")
    return list(dict.fromkeys(found))


def _day(moment: Any) -> date:
    return timezone.localtime(moment).date()


def _entered(item: Item) -> date:
    """The day on which a thing was entered, as its history has it."""
    first = item.history.order_by("history_id").first()
    return _day(first.history_date) if first else timezone.localdate()


def _facts(item: Item) -> QuerySet[Fact]:
    return Fact._base_manager.filter(item=item).order_by("pk")


def _relations(item: Item) -> Iterator[tuple[type[Model], str, str]]:
    """(model, field, words) of all that can name a thing, but its own row, its moves and what is said of it."""
    row = item.row
    own: set[Any] = {Movement, Fact, *([type(row)] if row is not None else [])}
    for model in (Item, type(row)) if row is not None else (Item,):
        for relation in model._meta.related_objects:
            other: Any = relation.related_model
            if other not in own and not other.__name__.startswith("Historical"):
                yield other, relation.field.name, str(other._meta.verbose_name)


@transaction.atomic
def take_back_mistake(item: Item, *, by: Any, why: str = "") -> str:
    """Take a thing out of the register that was entered by mistake. Returns its tag, which is not given again.

    Its history says who took it back and why, and where it lay, since its moves go with it. Raises ValidationError
    where anything hangs on it.
    """
    fresh = locked(item)
    if found := hangs_on(fresh):
        raise refuse("__all__", f"{fresh.tag} cannot be taken back: {', '.join(found)}. {INSTEAD}")
    reason = f"{MISTAKE}: {why}" if why.strip() else MISTAKE
    lay = f"; lay in {fresh.place} from {_entered(fresh)}" if fresh.place else ""
    fresh.movements.all().delete()
    try:
        for fact in _facts(fresh):
            remove(fact, by=by, reason=reason)
        if fresh.row is not None:
            remove(fresh.row, by=by, reason=reason)
        remove(fresh, by=by, reason=f"{reason}{lay}")
    except ProtectedError as fault:
        raise refuse("__all__", f"{fresh.tag} is in use: something else names it. {INSTEAD}") from fault
    return fresh.tag


@transaction.atomic
def strike_entry(item: Item, *, by: Any, why: str, on: date | None = None) -> Item:
    """Strike out the entry of a thing that never was, though something hangs on it. Returns the thing.

    Its record and its tag stay with the reason; it counts nowhere, and is no thing that was sold or given away.
    Raises ValidationError without a reason, and while it is lent, stands in a set, holds something or has left.
    """
    if not why.strip():
        raise refuse("why", "Say what was wrong: it stays with the record.")
    fresh = locked(item)
    if fresh.gone_on:
        raise refuse("__all__", f"{fresh.tag} left the collection on {fresh.gone_on}.")
    if fresh.lent_to:
        raise refuse("__all__", f"{fresh.tag} is lent to {fresh.lent_to}; take it back first.")
    if held := held_by(fresh):
        raise refuse("__all__", f"{fresh.tag}: {'; '.join(held)}; take it out first.")
    day = on or timezone.localdate()
    for reason in kept_from_leaving(fresh, day):
        raise refuse("__all__", reason)
    fresh.gone_on, fresh.gone_how = day, f"{MISTAKE}: {why.strip()}"
    fresh.place = fresh.missed_on = None
    write(fresh, by=by, reason=fresh.gone_how)
    left(fresh, by)
    return kept(fresh, item)


@transaction.atomic
def restore_entry(item: Item, *, by: Any, why: str) -> Item:
    """A thing whose entry was struck out is there after all: it stands in the register again, where it was before.

    Its place is that of before, where there is such a place still. What was ended as it was struck out (a plan, a
    promise) stays ended, and an own number that was given to another since stays with that. Raises ValidationError
    without a reason, and for a thing that is not struck out.
    """
    if not why.strip():
        raise refuse("why", "Say why it is there after all: it stays with the record.")
    fresh = locked(item)
    if fresh.gone_on is None or not never_was(fresh.gone_how):
        raise refuse("__all__", f"The entry of {fresh.tag} is not struck out.")
    before = fresh.history.filter(gone_on__isnull=True).order_by("-history_id").first()
    place = Place.objects.filter(pk=before.place_id).first() if before and before.place_id else None
    fresh.gone_on, fresh.gone_how, fresh.place = None, "", place
    write(fresh, by=by, reason=f"there after all: {why.strip()}"[:100])
    for fact in _facts(fresh).filter(about=OWN_NUMBER, struck=""):
        if other := bearer_of(fact.text, but=fresh):
            strike_out(fact, f"the number of {other.tag} by now", by=by)
    return kept(fresh, item)
