"""Who gets which tube: every open plan at once, the stock against all their positions."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from django.db.models import prefetch_related_objects
from numpy.typing import NDArray

from inventory.restoration.models import Plan, Reservation
from inventory.restoration.queries.matched import Matches, matched_groups
from inventory.restoration.queries.nearness import EXACT, approvals_in, nearness
from inventory.restoration.queries.parts import Deal, deal_parts
from inventory.restoration.queries.slots import Slot, Unrecorded, slots_of
from inventory.restoration.queries.stock import Stock, serves, stock
from inventory.restoration.rules.allocation import Points, Together, allocate_all, cost_table, enough_of_each
from inventory.running.rules.verdicts import REJECT
from inventory.sets.models import Approval, Chassis
from tubes.queries.judging import Court, court
from tubes.rules.judge_parts import UNSUITABLE, Judgement

HAIR = 1e-6  # points, less than any two costs differ by


@dataclass(frozen=True)
class Asked:
    """A set that is judged as if it were planned: with which urgency, beside the open plans."""

    plan: Plan
    sets: tuple[Chassis, ...]


@dataclass(frozen=True)
class Allotment:
    """Every slot of all open plans, the stock, and which tube of it each slot gets (-1: none); and the parts.

    ``near``: slots x types, how near each type of the stock is, and of what is reserved; rows are those of slots that
    want a tube, which stand first: those that ask, then those that have one reserved. ``unrecorded``: what nobody
    recorded of the sets; ``asking``: the plans with their sets.
    """

    slots: tuple[Slot, ...]
    stock: Stock
    near: NDArray[np.int8]
    costs: NDArray[np.float64]
    taken: NDArray[np.int64]
    judges: Court
    matches: Matches = field(default_factory=Matches)
    parts: Deal = field(default_factory=Deal)
    approved: Mapping[tuple[int, str], Approval] = field(default_factory=dict)  # by position and type
    unrecorded: tuple[Unrecorded, ...] = ()
    asking: tuple[tuple[Plan, tuple[Chassis, ...]], ...] = ()

    @property
    def total_cost(self) -> float:
        """The points of all tubes that are given out, and of all pieces of lots."""
        return float(self.weighed.sum()) + self.parts.total_cost

    @cached_property
    def weighed(self) -> NDArray[np.float64]:
        """The points of the tube of each slot, as the assignment added them up; 0 where it gets none.

        Those of a matched set cost together what the set costs, which is not what each would cost alone.
        """
        told = np.zeros(len(self.slots))
        rows = np.flatnonzero(self.taken >= 0)
        told[rows] = self.costs[rows, self.taken[rows]]
        for one in self.matches.groups:
            lines = list(one.lines)
            price = dict(one.sets).get(tuple(self.taken[lines].tolist()))
            if price is not None:
                told[lines] += (price - told[lines].sum()) / len(lines)
        return told

    @cached_property
    def type_at(self) -> dict[str, int]:
        """The number of each type in ``near``."""
        return {name: number for number, name in enumerate(self.stock.types)}

    def match_words(self, number: int) -> str:
        """Why the tube of a slot and those of its mates are called matched; empty where they are not."""
        for one in self.matches.groups:
            if number in one.lines:
                return self.matches.words.get(tuple(int(self.taken[line]) for line in one.lines), "")
        return ""

    def reserved_elsewhere(self, number: int) -> list[Reservation]:
        """What is reserved for other lines, of this plan too, and could serve a slot that wants a tube."""
        row = self.near[number]
        return [
            one for one in self.stock.kept
            if one.item.tube.type and row[self.type_at[one.item.tube.type.name]] and serves(one.item.tube)
            and self.stock.verdicts.get(one.item_id) != REJECT
        ]  # fmt: skip

    def is_settled(self, slot: Slot, number: int) -> bool:
        """Whether what a slot gets is the very type, or one that somebody approved there and the judge lets pass."""
        kind = self.stock.kinds[int(self.taken[number])]
        name = self.stock.types[kind]
        approved = (slot.position.pk, name) in self.approved and not self.against_judge(slot, name)
        return self.near[number, kind] == EXACT or approved

    def against_judge(self, slot: Slot, name: str) -> str:
        """Why the judge calls a type unsuitable in a slot, in words; empty where it does not."""
        try:
            found = self.judgement(slot, name)
        except ValueError:  # values of the position that cannot be
            return ""
        return "; ".join(one.text for one in found.telling[:1]) or "see there" if found.rank == UNSUITABLE else ""

    @cached_property
    def taker(self) -> dict[int, int]:
        """The slot that gets a tube, by the number of the tube."""
        return {int(tube): slot for slot, tube in enumerate(self.taken) if tube >= 0}

    def judgement(self, slot: Slot, name: str) -> Judgement:
        """The judge's words on a type in a slot."""
        return self.judges.judge(slot.wanted, name, slot.conditions)


def open_plans() -> list[Plan]:
    """Plans that ask for stock, the most urgent first."""
    return list(Plan.objects.filter(state__in=Plan.OPEN).order_by("priority", "name"))


def open_plan(name: str) -> Plan:
    """The open plan of that name. Raises ValueError naming those there are."""
    plans = open_plans()
    for plan in plans:
        if plan.name.casefold() == name.strip().casefold():
            return plan
    known = ", ".join(plan.name for plan in plans[:12]) or "none yet"
    raise ValueError(f"{name!r} is no open plan; open plans: {known}.")


def allotment(
    asked: Asked | None = None,
    points: Points | None = None,
    swap: tuple[int, int] | None = None,
    like: "Allotment | None" = None,
) -> Allotment:
    """The best assignment of the stock to all open plans, a fixed number of queries whatever their number.

    ``asked``: a set beside them, judged as if planned. ``swap``: keys of two plans that change their priorities.
    ``like``: another assignment of the same plans, kept to where two tubes cost the same.
    """
    points = points or Points()
    plans, sets_of = plans_and_sets(asked)
    if swap:
        _swapped(plans, swap)
    judges = court()
    words = approvals_in({one.model_id for sets in sets_of.values() for one in sets})
    slots, unrecorded = slots_of(plans, sets_of, judges, words)
    asking = [slot for slot in slots if slot.wants and slot.reserved is None]
    served = [slot for slot in slots if slot.wants and slot.reserved is not None]
    rest = [slot for slot in slots if not slot.wants]
    besides = [one.pk for sets in sets_of.values() for one in sets]
    held = stock(points, any(plan.may_take for plan in plans), besides)
    near = nearness([slot.socket for slot in (*asking, *served)], held.types, judges, words)
    by_kind, kinds = _by_kind(asking, held, near[: len(asking)], points)
    matches = matched_groups(asking, (*served, *rest), held, near, points, judges.limits)
    groups = matches.groups
    costs = cost_table(by_kind, kinds, held.points)
    use = enough_of_each(by_kind, kinds, held.points)
    if groups:  # whole sets may not lose a member
        use = np.union1d(use, [tube for one in groups for members, _ in one.sets for tube in members])
    taken = _taken(costs, use, asking, groups, _usual(asking, held, like))
    return Allotment(
        (*asking, *served, *rest),
        held,
        near,
        costs,
        np.concatenate([taken, np.full(len(served) + len(rest), -1, np.int64)]),
        judges,
        matches,
        deal_parts(plans, sets_of, owed=held.owed),
        {
            (position, name): row
            for position, said in words.items()
            for name, row in said.items()
            if row.verdict == Approval.APPROVED
        },
        tuple(unrecorded),
        tuple((plan, tuple(sets_of[plan.pk])) for plan in plans),
    )


def taken_without(found: Allotment, gone: Sequence[int], points: Points | None = None) -> NDArray[np.int64]:
    """The tube of each slot if some tubes, by their numbers, were not here: solved anew, without a query."""
    asking, held = found.slots[: len(found.costs)], found.stock
    by_kind, kinds = _by_kind(asking, held, found.near[: len(asking)], points or Points())
    own, costs = held.points.copy(), found.costs.copy()
    own[list(gone)] = costs[:, list(gone)] = np.inf
    groups = [
        Together(one.lines, sets)
        for one in found.matches.groups
        if (sets := tuple(one_set for one_set in one.sets if not set(one_set[0]) & set(gone)))
    ]
    use = np.union1d(
        np.setdiff1d(enough_of_each(by_kind, kinds, own), list(gone)),
        np.array([tube for one in groups for members, _ in one.sets for tube in members], np.int64),
    ).astype(np.int64)
    taken = _taken(costs, use, asking, groups, ())
    return np.concatenate([taken, np.full(len(found.slots) - len(asking), -1, np.int64)])


def _usual(slots: Sequence[Slot], held: Stock, like: Allotment | None) -> list[tuple[int, int]]:
    """Which tube each slot has in another assignment, as numbers of slots and tubes."""
    if like is None:
        return []
    tube_at = {tube.pk: number for number, tube in enumerate(held.tubes)}
    had = {
        slot.key: like.stock.tubes[int(tube)].pk for slot, tube in zip(like.slots, like.taken, strict=True) if tube >= 0
    }
    return [
        (number, tube_at[had[slot.key]]) for number, slot in enumerate(slots) if had.get(slot.key) in tube_at
    ]  # fmt: skip


def plans_and_sets(asked: Asked | None = None) -> tuple[list[Plan], dict[int, list[Chassis]]]:
    """The open plans, the most urgent first, and their sets by the key of the plan; ``asked``: one beside them."""
    plans = open_plans()
    prefetch_related_objects(plans, "sets__item", "sets__model")
    sets_of = {plan.pk: [one for one in plan.sets.all() if one.item.gone_on is None] for plan in plans}
    if asked is not None and asked.plan.pk not in sets_of:
        plans.append(asked.plan)
        sets_of[asked.plan.pk] = list(asked.sets)
    return plans, sets_of


def _swapped(plans: Sequence[Plan], swap: tuple[int, int]) -> None:
    one, other = (next(plan for plan in plans if plan.pk == key) for key in swap)
    one.priority, other.priority = other.priority, one.priority


def _by_kind(
    slots: Sequence[Slot], held: Stock, near: NDArray[np.int8], points: Points
) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """Points of each kind of tube in each slot, and the kind of each tube: its type, on the shelf or in service.

    Infinite where it may not stand there, and where a plan may not take from sets in service.
    """
    shelf = np.array([np.inf, 0.0, points.relative, points.substitute])[near]
    if not held.sits:
        return shelf, held.kinds
    service = shelf.copy()
    service[np.array([not slot.plan.may_take for slot in slots], bool)] = np.inf
    sits = np.zeros(len(held.tubes), np.int64)
    sits[list(held.sits)] = len(held.types)
    return np.hstack([shelf, service]), held.kinds + sits


def _taken(
    costs: NDArray[np.float64],
    use: NDArray[np.int64],
    slots: Sequence[Slot],
    groups: Sequence[Together],
    usual: Sequence[tuple[int, int]],
) -> NDArray[np.int64]:
    """The tube of each slot, solved over those tubes that can be needed at all; ``usual``: preferred among equals."""
    at = {int(tube): number for number, tube in enumerate(use)}
    sets = [
        Together(one.lines, tuple((tuple(at[tube] for tube in members), cost) for members, cost in one.sets))
        for one in groups
    ]
    those = costs[:, use]
    for slot, tube in usual:
        if tube in at:
            those[slot, at[tube]] -= HAIR
    urgency = np.array([slot.urgency for slot in slots], np.int64)
    taken = allocate_all(those, urgency, sets)
    return np.where(taken >= 0, use[taken], -1) if len(use) else taken
