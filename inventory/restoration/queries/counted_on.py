"""What plans count on without having reserved it: asked before a thing leaves or is carried out of its room."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from inventory.holdings.models import Item, Tube
from inventory.holdings.queries import AT_HAND
from inventory.restoration.models import Plan
from inventory.restoration.queries.allotment import Allotment, allotment, plans_and_sets, taken_without
from inventory.restoration.queries.bays import units_counted_on
from inventory.restoration.queries.parts import deal_parts
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


def planned_parts(items: Sequence[Item]) -> dict[int, list[str]]:
    """By key of part lots: which lines of open plans would go short once just these go, by what is dealt from them (a
    fixed number of queries; dealt only where a plan is open and a lot goes).
    """
    going = {item.pk for item in items if item.kind == Item.PARTS}
    if not going or not Plan.objects.filter(state__in=Plan.OPEN).exists():
        return {}
    plans, sets_of = plans_and_sets()
    now = deal_parts(plans, sets_of)
    gives = [number for number, lot in enumerate(now.lots) if lot.pk in going and now.taken[:, number].any()]
    if not gives:
        return {}
    then = deal_parts(plans, sets_of, going)
    less = now.taken.sum(axis=1) - then.taken.sum(axis=1)
    words = [
        f"what covers {line.need} of {line.chassis} in the plan {line.plan} ({count} of {line.number}); "
        "nothing else could"
        for line, count in zip(now.lines, less.tolist(), strict=True)
        if count > 0
    ]
    return {now.lots[number].pk: words for number in gives} if words else {}


def planned_units(items: Sequence[Item]) -> dict[int, list[str]]:
    """By key of plug-in units: which empty bay of an open plan gets it that no other free unit could fill (a fixed
    number of queries; asked only where a plan is open and a unit goes).
    """
    going = {item.pk for item in items if item.kind == Item.UNIT}
    if not going or not Plan.objects.filter(state__in=Plan.OPEN).exists():
        return {}
    plans, sets_of = plans_and_sets()
    told = units_counted_on([(plan, sets_of[plan.pk]) for plan in plans], going)
    return {
        key: [f"what goes into bay {bay.mark} of {chassis} in the plan {plan}; nothing else could"]
        for key, (plan, chassis, bay) in told.items()
    }
