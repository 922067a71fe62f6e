"""A thing that was entered by mistake leaves the register again, while nothing hangs on it."""

from collections.abc import Iterator
from typing import Any

from django.db import transaction
from django.db.models import ProtectedError

from inventory.holdings.actions.locking import locked
from inventory.holdings.models import Item, Movement
from inventory.house.writing import refuse, remove

INSTEAD = "Part with it instead, and say that it was entered by mistake: its record then stays with the reason."


def hangs_on(item: Item) -> list[str]:
    """What hangs on a thing, in words: moves after the first entry, tests, fittings, photographs, facts, and so on.

    One query for each table that can name a thing, of every area.
    """
    found = []
    if item.movements.count() > 1:
        found.append("it was moved")
    if item.lent_to or item.gone_on:
        found.append("it is lent" if item.lent_to else "it has left the collection")
    for other, name, words in _relations(item):
        rows = other._base_manager.filter(**{name: item.pk})
        if rows.exists():
            found.append(f"it is named by a {words}")
    return list(dict.fromkeys(found))


def _relations(item: Item) -> Iterator[tuple[Any, str, str]]:
    """(model, field, words) of all that can name a thing, but its own row and its moves."""
    row = item.row
    own = {Movement, type(row)} if row is not None else {Movement}
    for model in (Item, type(row)) if row is not None else (Item,):
        for relation in model._meta.related_objects:
            other = relation.related_model
            if other not in own and not other.__name__.startswith("Historical"):
                yield other, relation.field.name, str(other._meta.verbose_name)


@transaction.atomic
def take_back_mistake(item: Item, *, by: Any, why: str = "") -> str:
    """Take a thing out of the register that was entered by mistake. Returns its tag, which is not given again.

    Its history says who took it back and why. Raises ValidationError where anything hangs on it.
    """
    fresh = locked(item)
    if found := hangs_on(fresh):
        raise refuse("__all__", f"{fresh.tag} cannot be taken back: {', '.join(found)}. {INSTEAD}")
    reason = f"entered by mistake: {why}" if why.strip() else "entered by mistake"
    fresh.movements.all().delete()
    try:
        if fresh.row is not None:
            remove(fresh.row, by=by, reason=reason)
        remove(fresh, by=by, reason=reason)
    except ProtectedError as fault:
        raise refuse("__all__", f"{fresh.tag} is in use: something else names it. {INSTEAD}") from fault
    return fresh.tag
