"""The whole assignment as one answer: who gets which tube and how many of which lot, and who stays short."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from inventory.holdings.models import Item
from inventory.restoration.models import Plan
from inventory.restoration.queries.allotment import Allotment, allotment, open_plan
from inventory.restoration.queries.part_words import why_this_lot
from inventory.restoration.queries.tube_words import approved_words, kind_words, why_this_one


@dataclass(frozen=True)
class Assigned:
    """One tube for one position of one plan, or so many of a lot for one line. ``cost``: points, what it adds."""

    plan: Plan
    set: str
    position: str
    need: str
    thing: Item
    cost: float
    reasons: tuple[str, ...]
    quantity: int = 1
    wanted: int = 1

    @property
    def tag(self) -> str:
        return self.thing.tag

    def as_dict(self) -> dict[str, Any]:
        return {
            "restoration": self.plan.name, "position": self.position, "tag": self.tag, "cost": self.cost,
            "reasons": list(self.reasons), "set": self.set, "need": self.need, "quantity": self.quantity,
        }  # fmt: skip


def assigned(found: Allotment) -> list[Assigned]:
    """Every tube that is given out, the most urgent plan first, then every lot."""
    told = []
    for number, slot in enumerate(found.slots):
        if (taken := int(found.taken[number])) < 0:
            continue
        tube, kind = found.stock.tubes[taken], int(found.stock.kinds[taken])
        near, awaited = int(found.near[number, kind]), bool(found.stock.awaited[taken])
        untested = bool(found.stock.untested[taken]) and not awaited
        name = found.stock.types[kind]
        what = kind_words(near, name, slot.wanted, kind="an untested" if untested else "a" if awaited else "a good")
        reasons = [f"{slot.why} Wanted: {slot.wanted}; {tube.tag} is {what}, {found.stock.where(taken)}."]
        reasons += [
            text
            for text, there in (
                ("Nothing says yet that it is good: test it first.", untested),
                ("It is called untested, and its last test reads good: your word is wanted.", awaited),
                ("Its last test was borderline.", found.stock.borderline[taken]),
            )
            if there
        ]
        reasons += [f"{words[0].upper()}{words[1:]}." for words in approved_words(slot, found, name)]
        reasons += [words for words in (found.match_words(number),) if words]
        reasons += why_this_one(number, found)
        cost = round(float(found.weighed[number]), 2)
        told.append(
            Assigned(slot.plan, slot.chassis.tag, slot.position.mark, slot.need, tube.item, cost, tuple(reasons))
        )
    return told + _assigned_parts(found)


def _assigned_parts(found: Allotment) -> list[Assigned]:
    deal = found.parts
    told = []
    for number, lot in zip(*np.nonzero(deal.taken), strict=True):
        line, count = deal.lines[number], int(deal.taken[number, lot])
        reasons = (f"Wanted: {line.number} of {line.kind}.", why_this_lot(deal, int(number), int(lot)))
        cost = round(float(deal.costs[number, lot]) * count, 2)
        thing = deal.lots[lot].item
        told.append(
            Assigned(line.plan, line.chassis.tag, line.mark, line.need, thing, cost, reasons, count, line.number)
        )
    return told


def short_of(found: Allotment) -> list[dict[str, Any]]:
    deal = found.parts
    """Every line that stays short, and of how many, as the command gives it."""
    tubes = [
        {
            "restoration": slot.plan.name, "position": slot.position.mark, "wanted": slot.wanted,
            "set": slot.chassis.tag, "need": slot.need, "quantity": 1,
        }
        for number, slot in enumerate(found.slots)
        if slot.wants and slot.reserved is None and found.taken[number] < 0
    ]  # fmt: skip
    parts = [
        {
            "restoration": line.plan.name, "position": line.mark, "wanted": str(line.kind), "set": line.chassis.tag,
            "need": line.need, "quantity": deal.missing(number),
        }
        for number, line in enumerate(deal.lines)
        if deal.missing(number)
    ]  # fmt: skip
    return tubes + parts


def whole_assignment(swap: Sequence[str] | None = None) -> dict[str, Any]:
    """The answer of command and API. ``swap``: names of two open plans; what would change. Raises ValueError."""
    between = tuple(open_plan(name) for name in swap or ())
    if between and len({plan.pk for plan in between}) != 2:
        raise ValueError("Name two open plans that are to swap their priorities.")
    found = allotment()
    told: dict[str, Any] = {
        "assigned": [one.as_dict() for one in assigned(found)], "short": short_of(found),
        "total_cost": round(found.total_cost, 2),
    }  # fmt: skip
    if between:
        told["swap"] = if_swapped(between[0], between[1], found).as_dict()
    return told


@dataclass(frozen=True)
class Change:
    """What a line has, and what it would have; empty where nothing."""

    plan: str
    set: str
    position: str
    need: str
    now: str
    then: str

    @property
    def text(self) -> str:
        """That in words."""
        if not self.then:
            return f"loses {self.now} and stays short"
        return f"gets {self.then} in place of {self.now}" if self.now else f"gets {self.then}"

    def as_dict(self) -> dict[str, str]:
        return {
            "restoration": self.plan, "set": self.set, "position": self.position, "need": self.need, "now": self.now,
            "then": self.then,
        }  # fmt: skip


@dataclass(frozen=True)
class Swap:
    """Two plans and what would change if they had each other's priority; how many lines are served now and then."""

    plans: tuple[Plan, Plan]
    changes: tuple[Change, ...]
    served: tuple[int, int]
    costs: tuple[float, float]

    @property
    def text(self) -> str:
        """The answer in a sentence."""
        one, other = self.plans
        if one.priority == other.priority:
            return f"{one} and {other} have the same priority, {one.priority}: nothing would change."
        if not self.changes:
            return f"If {one} and {other} swapped their priorities, nothing would change."
        lines = f"{len(self.changes)} line{'s' * (len(self.changes) != 1)} would change"
        return (
            f"If {one} and {other} swapped their priorities, {lines}. Lines served: {self.served[0]} now, "
            f"{self.served[1]} then; points: {self.costs[0]:g} now, {self.costs[1]:g} then."
        )

    def as_dict(self) -> dict[str, Any]:
        return {
            "between": [plan.name for plan in self.plans], "changes": [one.as_dict() for one in self.changes],
            "text": self.text,
        }  # fmt: skip


def if_swapped(one: Plan, other: Plan, now: Allotment | None = None) -> Swap:
    """What would change, line by line, if two open plans swapped their priorities. What is reserved stays so."""
    now = now or allotment()
    then = allotment(swap=(one.pk, other.pk), like=now)
    before, after = _has(now), _has(then)
    told = [
        Change(plan, tag, mark, need, before.get(key, ("", 0))[0], after.get(key, ("", 0))[0])
        for key, (plan, tag, mark, need) in _lines(now).items()
        if before.get(key) != after.get(key)
    ]
    return Swap((one, other), tuple(told), (len(before), len(after)), (now.total_cost, then.total_cost))


def _lines(found: Allotment) -> dict[Any, tuple[str, str, str, str]]:
    """Every line by a key that both assignments share: plan, set, mark, need."""
    told: dict[Any, tuple[str, str, str, str]] = {
        slot.key: (slot.plan.name, slot.chassis.tag, slot.position.mark, slot.need) for slot in found.slots
    }
    parts = found.parts.lines
    return told | {line.key: (line.plan.name, line.chassis.tag, line.mark, line.need) for line in parts}


def _has(found: Allotment) -> dict[Any, tuple[str, int]]:
    """What each served line gets, in words, and how many pieces."""
    told: dict[Any, tuple[str, int]] = {
        slot.key: (found.stock.tubes[int(found.taken[number])].tag, 1)
        for number, slot in enumerate(found.slots)
        if found.taken[number] >= 0
    }
    deal = found.parts
    for number, line in enumerate(deal.lines):
        if got := {lot: int(deal.taken[number, lot]) for lot in np.flatnonzero(deal.taken[number])}:
            words = ", ".join(f"{count} of {deal.lots[lot].tag}" for lot, count in got.items())
            told[line.key] = words, sum(got.values())
    return told
