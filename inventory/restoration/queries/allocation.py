"""The whole assignment as one answer: who gets which tube in every open plan, who stays short."""

from dataclasses import dataclass
from typing import Any

from inventory.restoration.models import Plan
from inventory.restoration.queries.allotment import NEARNESS, Allotment, allotment


@dataclass(frozen=True)
class Assigned:
    """One tube for one position of one plan. ``cost``: in points, what it adds to the whole."""

    plan: str
    set: str
    position: str
    tag: str
    cost: float
    reasons: tuple[str, ...]

    def as_dict(self) -> dict[str, Any]:
        return {
            "restoration": self.plan, "position": self.position, "tag": self.tag, "cost": self.cost,
            "reasons": list(self.reasons), "set": self.set,
        }  # fmt: skip


def assigned(found: Allotment) -> list[Assigned]:
    """Every tube that is given out, the most urgent plan first."""
    told = []
    for number, slot in enumerate(found.slots):
        if (taken := int(found.taken[number])) < 0:
            continue
        tube, kind = found.stock.tubes[taken], int(found.stock.kinds[taken])
        near = NEARNESS[int(found.near[number, kind])]
        reasons = [f"{slot.why} Wanted: {slot.wanted}; {tube.tag} is {near}, {found.stock.where(taken)}."]
        reasons += [
            text
            for text, there in (
                ("It was never tested: test it first.", found.stock.untested[taken]),
                ("Its last test was borderline.", found.stock.borderline[taken]),
            )
            if there
        ]
        cost = float(found.costs[number, taken])
        told.append(Assigned(slot.plan.name, slot.chassis.tag, slot.position.mark, tube.tag, cost, tuple(reasons)))
    return told


def whole_assignment(found: Allotment | None = None) -> dict[str, Any]:
    """The answer of command and API."""
    found = found or allotment()
    short = [
        {"restoration": slot.plan.name, "position": slot.position.mark, "wanted": slot.wanted, "set": slot.chassis.tag}
        for number, slot in enumerate(found.slots)
        if slot.wants and slot.reserved is None and found.taken[number] < 0
    ]
    return {
        "assigned": [one.as_dict() for one in assigned(found)], "short": short, "total_cost": found.total_cost,
    }  # fmt: skip


@dataclass(frozen=True)
class Change:
    """What a line would get instead, empty where nothing."""

    plan: str
    set: str
    position: str
    now: str
    then: str


def if_swapped(one: Plan, other: Plan) -> list[Change]:
    """What would change if two open plans swapped their priorities."""
    now, then = allotment(), allotment(swap=(one.pk, other.pk))
    before, after = _tags(now), _tags(then)
    names = {(slot.plan.pk, slot.chassis.pk, slot.position.pk): slot for slot in now.slots}
    return [
        Change(slot.plan.name, slot.chassis.tag, slot.position.mark, before.get(key, ""), after.get(key, ""))
        for key, slot in names.items()
        if before.get(key, "") != after.get(key, "")
    ]


def _tags(found: Allotment) -> dict[tuple[int, int, int], str]:
    return {
        (slot.plan.pk, slot.chassis.pk, slot.position.pk): found.stock.tubes[int(found.taken[number])].tag
        for number, slot in enumerate(found.slots)
        if found.taken[number] >= 0
    }
