"""Things of the register locked for a change. Whoever checks whether a thing is here, lent or gone locks it first.

Rows are always locked in the order of their keys, and a stay (a tube in a position, a unit in a bay) before the things
it is of; so nobody waits for another who waits for him. SQLite lets one change in at a time and locks nothing more.
"""

from collections.abc import Iterable
from typing import Any

from django.db.models import QuerySet

from inventory.holdings.models import Item
from inventory.house.writing import refuse


def for_change(rows: QuerySet[Item], *, removing: bool = False) -> QuerySet[Item]:
    """The same things, locked for the rest of the transaction when they are read, in the order of their keys.

    ``removing``: their rows are to be deleted; else others may go on naming them in rows of their own.
    """
    return rows.select_for_update(of=("self",), no_key=not removing).order_by("pk")


def locked_all(items: Iterable[Item]) -> list[Item]:
    """Things as they stand in the database now, locked; what was read earlier may be stale. In the order of their keys.

    What is not there any more is left out.
    """
    keys = {item.pk for item in items}
    return list(for_change(Item.objects.filter(pk__in=keys).select_related("place")))


def locked(item: Item) -> Item:
    """One thing as it stands in the database now, locked. Raises ValidationError where it is not there any more."""
    for fresh in locked_all([item]):
        return fresh
    raise refuse("__all__", f"{item.tag} is not there any more; look again.")


def kept(fresh: Item, item: Item) -> Item:
    """Let the caller's copy say what stands in the database."""
    for field in Item._meta.concrete_fields:
        setattr(item, field.attname, getattr(fresh, field.attname))
    return item


def hold_things(*rows: Any) -> None:
    """Lock the things that rows hang on (tubes, chassis, units), and let the rows' copies say what stands there now.

    Raises ValidationError where one is not there any more.
    """
    now = {item.pk: item for item in locked_all([row.item for row in rows])}
    for row in rows:
        if row.item_id not in now:
            raise refuse("__all__", f"{row.item.tag} is not there any more; look again.")
        kept(now[row.item_id], row.item)
