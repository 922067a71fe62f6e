"""Part lots against the lines that ask for parts by their figures: the most urgent plan first, each piece once."""

from collections.abc import Sequence
from dataclasses import dataclass

from inventory.holdings.models import PartLot, PartType
from inventory.holdings.queries import AT_HAND, part_lots
from inventory.holdings.rules.part_kinds import falls_short
from inventory.restoration.models import Plan, Requirement, Reservation, WeakPart
from inventory.restoration.rules.words import AFTER_TEST, COVERED, ELSEWHERE, SHORT, TO_DO
from inventory.sets.models import Chassis

Key = tuple[str, int, int]  # "line" or "weak", its key, that of the set
MOST_NAMED = 3


@dataclass(frozen=True)
class PartAnswer:
    """From which lots a line is covered, how many are missing, and how many others have of what could serve."""

    lots: tuple[tuple[PartLot, int], ...]
    missing: int
    elsewhere: int
    uncertain: tuple[PartLot, ...]


@dataclass(frozen=True)
class PartCover:
    """What every line of a plan that asks for parts gets."""

    answers: dict[Key, PartAnswer]

    def of_weak(self, part: WeakPart, chassis: Chassis) -> tuple[str, str, tuple[str, ...]]:
        """Status, by what, reasons, of a known weak part of a set."""
        return _told(part.type, part.quantity, self.answers.get(("weak", part.pk, chassis.pk)))

    def of_line(self, row: Requirement) -> tuple[str, str, tuple[str, ...]]:
        """The same of a line of the keeper's own."""
        return _told(row.type, row.quantity, self.answers.get(("line", row.pk, 0)))


def _told(kind: PartType | None, number: int, found: PartAnswer | None) -> tuple[str, str, tuple[str, ...]]:
    if kind is None or found is None:
        return TO_DO, "", ()
    by = "; ".join(
        f"{count} of {lot.tag}, {lot.item.place or 'without a place'}" for lot, count in found.lots[:MOST_NAMED]
    )
    if not found.missing:
        return COVERED, by, (f"A {kind} is in stock.",)
    unsure = ", ".join(lot.tag for lot in found.uncertain[:MOST_NAMED])
    if found.uncertain:
        return AFTER_TEST, unsure, (f"{found.missing} of {number} missing; how many are in {unsure} is to be counted.",)
    if found.elsewhere >= found.missing:
        return ELSEWHERE, by, (f"{found.missing} of {number} missing: more urgent plans have them.",)
    return SHORT, by, (f"{found.missing} of {number} missing: no lot of {kind} or better has them.",)


def parts_cover(plan: Plan, sets: Sequence[Chassis]) -> PartCover:
    """Part lots dealt out to all open plans in their order, each line from the lots that are least good for it.

    A lot whose number is not known covers nothing before it is counted. What is reserved for a line is its own.
    """
    lots = list(
        part_lots().filter(AT_HAND, type__isnull=False).select_related("type", "item__place").order_by("item_id")
    )
    left = {lot.pk: lot.least or 0 for lot in lots}
    kept: dict[int, list[Reservation]] = {}
    for row in Reservation.objects.filter(quantity__isnull=False):
        left[row.item_id] = left.get(row.item_id, 0) - (row.quantity or 0)
        if row.requirement_id:
            kept.setdefault(row.requirement_id, []).append(row)
    by_key = {lot.pk: lot for lot in lots}
    given: dict[int, int] = {}
    answers: dict[Key, PartAnswer] = {}
    for key, kind, number in _asking(plan, sets):
        own = [
            (by_key[row.item_id], row.quantity or 0)
            for row in kept.get(key[1], [])
            if key[0] == "line" and row.item_id in by_key
        ]
        wanted = number - sum(count for _, count in own)
        able = [lot for lot in lots if lot.type is not None and not falls_short(kind.figures, lot.type.figures)]
        able.sort(key=lambda lot: (lot.type.volts or 0, lot.type.watts or 0) if lot.type else (0, 0))
        taken = list(own)
        for lot in able:
            count = min(max(wanted, 0), max(left[lot.pk], 0))
            if count:
                taken.append((lot, count))
                left[lot.pk] -= count
                given[lot.pk] = given.get(lot.pk, 0) + count
                wanted -= count
        others = sum(given.get(lot.pk, 0) for lot in able) - sum(count for _, count in taken[len(own) :])
        unsure = tuple(lot for lot in able if lot.to_count or lot.least is None)
        answers[key] = PartAnswer(tuple(taken), max(wanted, 0), others, unsure)
    return PartCover(answers)


def _asking(plan: Plan, sets: Sequence[Chassis]) -> list[tuple[Key, PartType, int]]:
    """Every line of every open plan, and of the one asked about, that names a kind of part; the most urgent first."""
    rows = Requirement.objects.filter(struck="", done_on__isnull=True, type__isnull=False, plan__state__in=Plan.OPEN)
    lines = list(rows.select_related("type", "plan"))
    plans = list(Plan.objects.filter(state__in=Plan.OPEN).prefetch_related("sets"))
    members = {one.pk: list(one.sets.all()) for one in plans}
    if plan.pk not in members:
        plans.append(plan)
        members[plan.pk] = list(sets)
        if plan.pk:
            lines += list(
                Requirement.objects.filter(
                    struck="", done_on__isnull=True, type__isnull=False, plan=plan.pk
                ).select_related("type", "plan")
            )
    weak = list(WeakPart.objects.filter(type__isnull=False).select_related("type"))
    done = set(Requirement.objects.filter(struck="", weak__isnull=False).values_list("weak", "chassis"))
    asking: list[tuple[int, str, Key, PartType, int]] = [
        (row.plan.priority, row.plan.name, ("line", row.pk, 0), row.type, row.quantity) for row in lines if row.type
    ]
    for one in plans:
        for chassis in members[one.pk]:
            asking += [
                (one.priority, one.name, ("weak", part.pk, chassis.pk), part.type, part.quantity)
                for part in weak
                if part.type and part.set_model_id == chassis.model_id and (part.pk, chassis.pk) not in done
            ]
    return [(key, kind, number) for _, _, key, kind, number in sorted(asking, key=lambda row: (row[0], row[1], row[2]))]
