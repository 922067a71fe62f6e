"""What happened to things of the register after a list had changed them, so that the change is not to be taken back."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from django.db.models import Max

from inventory.holdings.models import Item
from inventory.house.concerns import held_by_many
from inventory.running.models import TubeTest
from inventory.sets.models import Fitting, Seating


def away_since(items: Iterable[Item], changed: Mapping[int, datetime]) -> dict[int, str]:
    """Why things are not to be changed back, by key: they left, were lent or went into a set after they were changed.

    ``changed``: when the list changed each, by key. What was lent or in a set already may be changed back, since the
    list could change it. At most five queries.
    """
    here = [item for item in items if item.pk in changed]
    found = {item.pk: f"it left the collection on {item.gone_on}" for item in here if item.gone_on}
    lent = {item.pk: item for item in here if item.lent_to and item.pk not in found}
    then: dict[int, str] = {}
    records = Item.history.filter(id__in=lent).order_by("history_id").values_list("id", "history_date", "lent_to")
    for key, at, who in records if lent else ():
        if at <= changed[key]:
            then[key] = who
    found |= {key: f"it is lent to {item.lent_to} since" for key, item in lent.items() if not then.get(key)}
    held = held_by_many([item for item in here if item.pk not in found])
    went_in = _filed(held, Fitting, "tube_id") | _filed(held, Seating, "unit_id") if held else {}
    for key, words in held.items():
        if key in went_in and went_in[key] > changed[key]:
            found[key] = "; ".join(words)
    return found


def _filed(keys: Iterable[int], model: Any, name: str) -> dict[int, datetime]:
    """When the stay that goes on was entered, by the key of what stays there."""
    stays = model.objects.filter(until__isnull=True, **{f"{name}__in": list(keys)}).values("pk")
    entered = model.history.filter(history_type="+", id__in=stays).order_by()
    return dict(entered.values_list(name).annotate(Max("history_date")))


def tested_since(changed: Mapping[int, datetime]) -> set[int]:
    """Keys of tubes that were tested after they were changed, by tests that stand (one query)."""
    tests = TubeTest.objects.filter(tube__in=list(changed)).values("pk")
    entered = TubeTest.history.filter(history_type="+", id__in=tests).order_by().values_list("tube_id", "history_date")
    return {tube for tube, at in entered if at > changed[tube]} if changed else set()
