"""Part lots against the lines of all open plans that ask for parts by their figures: who gets how many of which lot."""

import math
from collections import Counter, defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from django.db.models import Q, prefetch_related_objects
from numpy.typing import NDArray

from inventory.holdings.models import Item, Loan, PartLot, PartType
from inventory.holdings.queries import AT_HAND, part_lots
from inventory.holdings.queries.hazard_grounds import HAZARD_FACTS
from inventory.holdings.rules.part_kinds import (
    PartFigures,
    all_words_of,
    falls_short,
    farness,
    over_rated,
    sounds_like,
)
from inventory.restoration.models import Plan, Requirement, Reservation, WeakPart
from inventory.restoration.queries.findings import found_well, parts_found_well
from inventory.restoration.queries.lines import line_check, part_check, sets_asked
from inventory.restoration.queries.put_in import put_in_for
from inventory.restoration.queries.worth import values_of
from inventory.restoration.rules.allocation import value_points
from inventory.restoration.rules.part_lots import PartPoints, deal
from inventory.restoration.rules.weak import ALWAYS
from inventory.sets.models import Chassis

Key = tuple[str, int, int]  # "line" or "weak", its key, that of the set


def line_key(text: str) -> Key:
    """The key of a line that a form sends back, as ``key_text`` gives it; of no line where it is none."""
    kind, *numbers = text.split("-")
    if kind in ("line", "weak") and len(numbers) == 2 and all(one.isdecimal() and len(one) < 10 for one in numbers):
        return kind, int(numbers[0]), int(numbers[1])
    return "", 0, 0


@dataclass(frozen=True)
class PartLine:
    """A line of a plan that asks for so many parts of a kind: of the keeper's own, or a known weak part of a set.

    ``put_in``: how many of the ``number`` were put in already.
    """

    plan: Plan
    chassis: Chassis
    kind: PartType
    number: int
    need: str
    requirement: Requirement | None = None
    weak: WeakPart | None = None
    put_in: int = 0

    @property
    def still(self) -> int:
        """How many it asks for still."""
        return max(self.number - self.put_in, 0)

    @property
    def key(self) -> Key:
        if self.requirement is not None:
            return "line", self.requirement.pk, 0
        return "weak", self.weak.pk if self.weak else 0, self.chassis.pk

    @property
    def key_text(self) -> str:
        """Its key as a form carries it."""
        return "-".join(map(str, self.key))

    @property
    def mark(self) -> str:
        """Where in the circuit, as far as that is written down."""
        weak = self.weak or (self.requirement.weak if self.requirement else None)
        return weak.mark if weak else ""


@dataclass(frozen=True)
class Deal:
    """Every line that asks for parts, every lot of a known kind, and how many each line gets of each.

    ``costs``: points of a piece, lines x lots; ``kept``: what is reserved for each line already, by number of the lot;
    ``lost``: reserved for it and not to be had any more, in words; ``aside``: of each lot how many are reserved for
    what asks for no parts any more, in words; ``unnamed``: lots that bear no kind of part and sound like one.
    ``owed``: the loan of each thing that is here on one, by key.
    """

    lines: tuple[PartLine, ...] = ()
    lots: tuple[PartLot, ...] = ()
    costs: NDArray[np.float64] = field(default_factory=lambda: np.zeros((0, 0)))
    taken: NDArray[np.int64] = field(default_factory=lambda: np.zeros((0, 0), np.int64))
    kept: Mapping[int, Mapping[int, int]] = field(default_factory=dict)
    lost: Mapping[int, Sequence[str]] = field(default_factory=dict)
    aside: Mapping[int, Sequence[tuple[str, int]]] = field(default_factory=dict)
    unnamed: tuple[PartLot, ...] = ()
    owed: Mapping[int, Loan] = field(default_factory=dict)

    @cached_property
    def at(self) -> dict[Key, int]:
        """The number of a line, by its key."""
        return {line.key: number for number, line in enumerate(self.lines)}

    @property
    def total_cost(self) -> float:
        """The points of all pieces that are dealt out."""
        lines, lots = np.nonzero(self.taken)
        return float((self.costs[lines, lots] * self.taken[lines, lots]).sum())

    @cached_property
    def has(self) -> NDArray[np.int64]:
        """How many each line has of each lot: what is reserved for it and what is dealt to it."""
        told = self.taken.copy()
        for number, lots in self.kept.items():
            for lot, count in lots.items():
                told[number, lot] += count
        return told

    def got(self, number: int) -> dict[int, int]:
        """How many a line has of each lot of which it has any."""
        return {int(lot): int(self.has[number, lot]) for lot in np.flatnonzero(self.has[number])}

    def missing(self, number: int) -> int:
        """How many a line stays short of."""
        return max(self.lines[number].still - sum(self.got(number).values()), 0)

    def able(self, number: int) -> list[int]:
        """The lots that could serve a line."""
        return [int(lot) for lot in np.flatnonzero(np.isfinite(self.costs[number]))]

    def may_hold(self, lots: Sequence[int]) -> float:
        """How many more some lots may have once they are counted, beside what is dealt out of them."""
        more = 0.0
        for lot in lots:
            row = self.lots[lot]
            most = math.inf if row.most is None else row.most
            more += max(most - int(self.has[:, lot].sum()) - sum(count for _, count in self.aside.get(lot, ())), 0)
        return more

    def others(self, number: int, lots: Sequence[int], *, other_plans: bool = False) -> Counter[str]:
        """How many pieces of some lots go to which other lines, in words. ``other_plans``: to none of the same plan."""
        told: Counter[str] = Counter()
        counts = self.has[:, list(lots)].sum(axis=1)
        counts[number] = 0
        if other_plans:
            mine = self.lines[number].plan.pk
            counts[[at for at, line in enumerate(self.lines) if line.plan.pk == mine]] = 0
        for other in np.flatnonzero(counts).tolist():
            told[f"{self.lines[other].plan}, {self.lines[other].need}"] += int(counts[other])
        for lot in lots:
            for words, count in self.aside.get(lot, ()):
                told[words] += count
        return told

    def sounding(self, number: int) -> list[PartLot]:
        """Lots that bear no kind of part and by their words could serve a line."""
        kind = self.lines[number].kind.figures
        return [lot for lot in self.unnamed if sounds_like(kind, f"{lot.name} {lot.value}")]


def deal_parts(
    plans: Sequence[Plan],
    sets_of: Mapping[int, Sequence[Chassis]],
    without: Collection[int] = (),
    owed: Mapping[int, Loan] | None = None,
) -> Deal:
    """All lots dealt to all lines of some plans at once (a fixed number of queries).

    A lot whose number is not known covers nothing before it is counted. What is reserved for a line is its own.
    ``without``: keys of lots of which nothing more is dealt.
    """
    lines = _asking(plans, sets_of)
    if not lines:
        return Deal()
    lots = list(part_lots().filter(AT_HAND, type__isnull=False).select_related("type").order_by("item_id"))
    costs = _costs(lines, lots)
    left, kept, lost, aside = _reserved(lines, lots, costs)
    left = [0 if lot.pk in without else number for lot, number in zip(lots, left, strict=True)]
    wanted = [max(line.still - sum(kept[number].values()), 0) for number, line in enumerate(lines)]
    urgency = np.array([-line.plan.priority for line in lines], np.int64)
    taken = deal(costs, np.array(wanted, np.int64), np.array(left, np.int64), urgency)
    dealt = {*np.flatnonzero(taken.any(axis=0)).tolist(), *(lot for of_line in kept.values() for lot in of_line)}
    prefetch_related_objects([lots[lot].item for lot in sorted(dealt)], "hazards", HAZARD_FACTS)
    return Deal(
        tuple(lines),
        tuple(lots),
        costs,
        taken,
        kept,
        lost,
        aside,
        _unnamed({line.kind.kind for line in lines}),
        owed or {},
    )


def _unnamed(kinds: set[str]) -> tuple[PartLot, ...]:
    """Lots at hand that bear no kind of part and name one of some kinds in words (one query)."""
    named = Q()
    for word in {word for kind in kinds for word in all_words_of(kind)}:
        named |= Q(name__icontains=word) | Q(value__icontains=word)
    rows = part_lots().filter(AT_HAND, named, type__isnull=True) if named else PartLot.objects.none()
    return tuple(rows.order_by("item_id"))


def _asking(plans: Sequence[Plan], sets_of: Mapping[int, Sequence[Chassis]]) -> list[PartLine]:
    """Every line that names a kind of part and is not done, by its own word or as found at its check; a weak part that
    the keeper took up is that line.
    """
    keys = [plan.pk for plan in plans if plan.pk]
    rows = Requirement.objects.filter(plan__in=keys, struck="", done_on__isnull=True, type__isnull=False)
    own: dict[int, list[Requirement]] = defaultdict(list)
    for row in rows.select_related("type", "weak", "chassis__model", "chassis__item"):
        own[row.plan_id].append(row)
    put_in = put_in_for(row for several in own.values() for row in several)
    weak: dict[int, list[WeakPart]] = defaultdict(list)
    models = {one.model_id for sets in sets_of.values() for one in sets}
    of_models = WeakPart.objects.filter(set_model__in=models, type__isnull=False).select_related("type")
    for part in of_models.prefetch_related("said"):
        if part.standing.acts_as == ALWAYS:  # one to be checked asks for a part once the keeper takes it up
            weak[part.set_model_id].append(part)
    taken_up = Requirement.objects.filter(struck="", weak__isnull=False)
    mine = set(taken_up.filter(plan__in=keys).values_list("plan", "weak", "chassis"))
    settled = set(taken_up.filter(done_on__isnull=False).values_list("weak", "chassis"))
    well = found_well(plans)
    elsewhere = parts_found_well({one.pk for sets in sets_of.values() for one in sets})
    found = []
    for plan in plans:
        sets = sets_of.get(plan.pk, ())
        here = {one.pk for one in sets}
        for row in own[plan.pk]:
            chassis = row.chassis or next(iter(sets), None)
            asked = [(plan.pk, one.pk, line_check(row)) for one in sets_asked(row, sets)]
            if row.type and chassis and chassis.pk in here and not well.issuperset(asked):
                there = put_in.get(row.pk, 0)
                found.append(PartLine(plan, chassis, row.type, row.quantity, row.words, requirement=row, put_in=there))
        for chassis in sets:
            for part in weak[chassis.model_id]:
                known = (plan.pk, part.pk, chassis.pk) in mine or (part.pk, chassis.pk) in settled
                if part.type and not known and (chassis.pk, part_check(part)) not in elsewhere:
                    found.append(PartLine(plan, chassis, part.type, part.quantity, str(part), weak=part))
    return found


def _reserved(
    lines: Sequence[PartLine], lots: Sequence[PartLot], costs: NDArray[np.float64]
) -> tuple[list[int], dict[int, dict[int, int]], dict[int, list[str]], dict[int, list[tuple[str, int]]]]:
    """What is left of each lot, what is reserved for each line, what of that is not to be had any more, and what is
    reserved of each lot for what is none of the lines.
    """
    left = [lot.least or 0 for lot in lots]
    lot_at = {lot.pk: number for number, lot in enumerate(lots)}
    line_at = {line.requirement.pk: number for number, line in enumerate(lines) if line.requirement}
    kept: dict[int, dict[int, int]] = defaultdict(dict)
    lost: dict[int, list[str]] = defaultdict(list)
    aside: dict[int, list[tuple[str, int]]] = defaultdict(list)
    rows = Reservation.objects.filter(quantity__isnull=False).select_related("item", "plan", "requirement")
    rows = rows.order_by("pk")
    for row in rows:
        lot, line, asked = lot_at.get(row.item_id), line_at.get(row.requirement_id or 0), row.quantity or 0
        there = min(asked, left[lot]) if lot is not None else 0
        if lot is not None:
            left[lot] -= there
        if line is None:
            if lot is not None and there:
                aside[lot].append((f"{row.plan}, {row.requirement or 'no line'}, reserved", there))
            continue
        if lot is not None and math.isinf(costs[line, lot]):
            lost[line].append(_unfit(lines[line], lots[lot], asked))
            continue
        if lot is not None and there:
            kept[line][lot] = kept[line].get(lot, 0) + there
        if there < asked:
            lost[line].append(f"{asked} of {row.item.tag} are reserved for it and {there or 'none'} can be had.")
    return left, kept, lost, aside


def _unfit(line: PartLine, lot: PartLot, number: int) -> str:
    """Why what is reserved for a line does not cover it: the line, or the lot, has been changed since."""
    short = ", ".join(falls_short(line.kind.figures, lot.type.figures)) if lot.type else ""
    return f"{number} of {lot.tag} are reserved for it and may not serve: {lot.type} ({short}). Release them."


def _costs(lines: Sequence[PartLine], lots: Sequence[PartLot]) -> NDArray[np.float64]:
    """Points of a piece of each lot in each line; kinds of parts alike are compared once."""
    points = PartPoints()
    alike: dict[tuple[int, int], float] = {}
    own = value_points(values_of([lot.pk for lot in lots], Item.PARTS), points.most_value)
    own = own + np.array([points.guessed if lot.to_count else 0.0 for lot in lots])
    costs = np.full((len(lines), len(lots)), np.inf)
    for number, line in enumerate(lines):
        for at, lot in enumerate(lots):
            if lot.type is None:
                continue
            key = line.kind.pk, lot.type.pk
            if key not in alike:
                alike[key] = fit_points(line.kind.figures, lot.type.figures, points)
            costs[number, at] = alike[key] + own[at]
    return costs


def fit_points(wanted: PartFigures, offered: PartFigures, points: PartPoints) -> float:
    """How far a part is from what is drawn: 0 for the very one, infinite where it may not serve."""
    if falls_short(wanted, offered):
        return math.inf
    far = farness(wanted, offered)
    value = points.other_value + points.farthest * far if far else 0.0
    return round(value + min(points.twice_rated * over_rated(wanted, offered), points.most_rated), 2)
