"""What plans count on without having reserved it: asked before a thing leaves or is carried out of its room."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from inventory.holdings.models import Item, Tube
from inventory.holdings.queries import AT_HAND
from inventory.restoration.models import Plan
from inventory.restoration.queries.allotment import Allotment, allotment, taken_without
from inventory.sets.queries import fitted_now


def sets_of_plans(items: Sequence[Item]) -> dict[int, list[str]]:
    """By key: sets that an open plan is about (one query where a set is among the things)."""
    keys = [item.pk for item in items if item.kind == Item.CHASSIS]
    told: dict[int, list[str]] = {}
    if keys:
        rows = Plan.objects.filter(state__in=Plan.OPEN, sets__in=keys).order_by("priority", "name")
        for key, name in rows.values_list("sets", "name"):
            if key in keys:
                told.setdefault(key, []).append(f"the set of the open plan {name}")
    return told


def planned_words(items: Sequence[Item]) -> dict[int, list[str]]:
    """By key: which lines of open plans are left without a good tube once just these things go together (a fixed
    number of queries; the assignment is worked out only where a plan is open and a good tube of the shelf goes).
    """
    keys = [item.pk for item in items if item.kind == Item.TUBE]
    if not keys or not Plan.objects.filter(state__in=Plan.OPEN).exists():
        return {}
    good = Tube.objects.filter(AT_HAND, ~fitted_now(), pk__in=keys, state=Tube.GOOD, type__isnull=False)
    going = set(good.filter(item__gone_on__isnull=True).values_list("pk", flat=True))
    if not going:
        return {}
    found = allotment()
    gone = [number for number, tube in enumerate(found.stock.tubes) if tube.pk in going]
    taken = [number for number in gone if number in found.taker]
    if not taken:
        return {}
    left = _well_served(found, found.taken) - _well_served(found, taken_without(found, gone))
    told: dict[int, list[str]] = {}
    for number in sorted(left):
        slot, tube = found.slots[number], int(found.taken[number])
        line = f"{slot.chassis} {slot.position.mark} in the plan {slot.plan}"
        if tube in taken:
            told.setdefault(found.stock.tubes[tube].pk, []).append(f"what covers {line}; nothing else could")
            continue
        for other in taken:  # what it has is wanted in the stead of one that goes
            told.setdefault(found.stock.tubes[other].pk, []).append(f"without it {line} would go short")
    return told


def _well_served(found: Allotment, taken: NDArray[np.int64]) -> set[int]:
    """The slots that get a tube which needs no test first."""
    return {int(slot) for slot in np.flatnonzero(taken >= 0) if not found.stock.untested[taken[slot]]}
