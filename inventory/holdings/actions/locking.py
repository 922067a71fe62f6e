"""Things of the register locked for a change. Whoever checks whether a thing is here, lent or gone locks it first.

Rows are always locked in the order of their keys, and a stay (a tube in a position, a unit in a bay) before the things
it is of; so nobody waits for another who waits for him. SQLite lets one change in at a time and locks nothing more.
"""

from collections.abc import Iterable
from typing import Any

from django.db.models import QuerySet

from inventory.holdings.models import Item
from inventory.house.writing import refuse

AT_ONCE = 900  # keys in one condition: SQLite takes no more than 1,000 by default


def for_change(rows: QuerySet[Item], *, removing: bool = False) -> QuerySet[Item]:
    """The same things, locked for the rest of the transaction when they are read, in the order of their keys.

    ``removing``: their rows are to be deleted; else others may go on naming them in rows of their own.
    """
    return rows.select_for_update(of=("self",), no_key=not removing).order_by("pk")


def locked_all(items: Iterable[Item]) -> list[Item]:
    """Things as they stand in the database now, locked; what was read earlier may be stale. In the order of their keys.

    What is not there any more is left out.
    """
    keys = sorted({item.pk for item in items})
    rows = Item.objects.select_related("place")
    parts = (keys[at : at + AT_ONCE] for at in range(0, len(keys), AT_ONCE))
    return [item for some in parts for item in for_change(rows.filter(pk__in=some))]


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
