"""Positions that want tubes matched to one another, and the matched sets on record that could fill them."""

from collections import defaultdict
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from inventory.restoration.queries.slots import Slot
from inventory.restoration.queries.stock import Stock
from inventory.restoration.rules.allocation import Points, Together
from inventory.running.queries import matched_sets

EXACT = 1


def groups_of(slots: Sequence[Slot]) -> list[tuple[int, ...]]:
    """Slots of one set that share a letter, where more than one of them asks for a tube."""
    found: dict[tuple[int, int, str], list[int]] = defaultdict(list)
    for number, slot in enumerate(slots):
        if slot.position.matched:
            found[slot.plan.pk, slot.chassis.pk, slot.position.matched].append(number)
    return [tuple(group) for group in found.values() if len(group) > 1]


def matched_groups(slots: Sequence[Slot], held: Stock, near: NDArray[np.int8], points: Points) -> list[Together]:
    """What each such group could take: whole matched sets on record of the very type, good and on the shelf."""
    groups = groups_of(slots)
    if not groups:
        return []
    number_of = {tube.pk: number for number, tube in enumerate(held.tubes)}
    sets = []
    for row in matched_sets().filter(split_on__isnull=True):
        members = tuple(number_of.get(member.tube_id, -1) for member in row.members.all())
        if not members or -1 in members or held.sits.keys() & set(members):
            continue
        if not held.untested[list(members)].any():
            sets.append(members)
    found = []
    for group in groups:
        wanted = near[group[0]]
        able = [
            (members, float(held.points[list(members)].sum()))
            for members in sets
            if len(members) == len(group) and all(wanted[held.kinds[one]] == EXACT for one in members)
        ]
        if able:
            found.append(Together(group, tuple(able)))
    return found
