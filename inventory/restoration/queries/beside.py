"""The lines of a plan beside its tubes: bays, companions, known weak parts, hazards, and the keeper's own lines."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Sum

from inventory.holdings.models import HazardMark, Item
from inventory.pairing.queries import PairFilter, pairing_table
from inventory.pairing.queries.rows import COMPANION as COMPANION_ROW
from inventory.pairing.rules.companions import MATCHED, MATE_MISSING
from inventory.restoration.models import Finding, Plan, Requirement, WeakPart
from inventory.restoration.queries.bays import Asking, away_words, bay_lines, reasons_of
from inventory.restoration.queries.findings import At, parts_found_well
from inventory.restoration.queries.lines import COMPANION, HAZARD, OWN, SET, WEAK, Line, line_check, part_check
from inventory.restoration.queries.part_words import PartAnswer, told_of_line
from inventory.restoration.queries.parts import Deal, Key
from inventory.restoration.rules.weak import ALWAYS, LEAVE
from inventory.restoration.rules.words import (
    COVERED,
    DONE,
    DOUBTFUL,
    IN_PLACE,
    LEFT_ALONE,
    NOT_HERE,
    NOT_SAID,
    SETTLE_FIRST,
    SHORT,
    TO_DO,
    WAITING,
)
from inventory.sets.models import Chassis


@dataclass(frozen=True)
class Known:
    """What is known of the sets of some plans beside their tubes: lines by set, rows by plan and by set model.

    ``done``: weak parts that are done, by part and set; ``well``: checks of weak parts that were found well.
    """

    lines: Mapping[int, list[Line]]
    hazards: Mapping[int, list[Line]]
    own: Mapping[int, list[Requirement]]
    done: Mapping[tuple[int, int], Requirement]
    well: Mapping[At, Finding]
    weak: Mapping[int, list[WeakPart]]


def known_beside(those: Asking, on: date, asking: Asking) -> Known:
    """Of some plans with their sets (a fixed number of queries, however many). ``asking``: all that ask for units."""
    sets = list({one.pk: one for _, rows in those for one in rows}.values())
    here = [one.pk for one in sets]
    bays, companions = bay_lines(sets, on, asking), companion_lines(sets, on)
    hazards: dict[int, list[Line]] = defaultdict(list)
    for line in hazard_lines(sets):
        hazards[line.chassis.pk].append(line)
    rows = Requirement.objects.filter(plan__in=[plan.pk or 0 for plan, _ in those], struck="")
    own: dict[int, list[Requirement]] = defaultdict(list)
    for row in (
        rows.select_related("type", "chassis__model", "chassis__item", "weak").prefetch_related("weak__said")
        .annotate(reserved_now=Sum("reservations__quantity")).order_by("pk")
    ):  # fmt: skip
        own[row.plan_id].append(row)
    settled = Requirement.objects.filter(struck="", weak__isnull=False, chassis__in=here, done_on__isnull=False)
    done = {(row.weak_id or 0, row.chassis_id or 0): row for row in settled.select_related("plan")}
    weak: dict[int, list[WeakPart]] = defaultdict(list)
    of_sets = WeakPart.objects.filter(set_model__in={one.model_id for one in sets})
    for part in of_sets.select_related("type").prefetch_related("said"):
        weak[part.set_model_id].append(part)
    lines = {one: [*bays[one], *companions[one]] for one in here}
    return Known(lines, hazards, own, done, parts_found_well(here), weak)


def beside_lines(plan: Plan, sets: Sequence[Chassis], deal: Deal, known: Known) -> list[Line]:
    """All lines that ask for no tube. ``deal``: of the parts."""
    told = [line for one in sets for line in known.lines[one.pk]]
    hazards = [line for one in sets for line in known.hazards.get(one.pk, ())]
    return [*told, *hazards, *part_lines(plan, sets, deal, known)]


def away_lines(sets: Sequence[Chassis]) -> list[Line]:
    """Sets that are lent out, left or were not found: nothing can be begun on them."""
    return [Line(SET, str(one), NOT_HERE, one, reasons=(f"{said[0].upper()}{said[1:]}.",))
            for one in sets if (said := where_away(one))]  # fmt: skip


def where_away(chassis: Chassis) -> str:
    """Where a set is that is not here, in words; empty where it is."""
    item = chassis.item
    if item.gone_on:
        return f"it left the collection on {item.gone_on}: take it out of the plan, or lay the plan aside"
    if item.lent_to:
        return f"it is lent to {item.lent_to}"
    return f"it was not found on {item.missed_on}" if item.missed_on else ""


def companion_lines(sets: Sequence[Chassis], on: date) -> dict[int, list[Line]]:
    """A line for everything that belongs with a set, by set: here and its own, doubtful, or not here."""
    told: dict[int, list[Line]] = {one.pk: [] for one in sets}
    by_key = {one.pk: one for one in sets}
    rows = pairing_table(on, PairFilter(kinds=(COMPANION_ROW,))) if sets else []
    rows = [row for row in rows if row.chassis.key in by_key]
    items = Item.objects.in_bulk([row.unit.key for row in rows if row.unit.key])
    for row in rows:
        chassis = by_key[row.chassis.key or 0]
        status = {MATCHED: IN_PLACE, MATE_MISSING: SHORT}.get(row.state, DOUBTFUL)
        by, reasons = row.unit.name if row.state != MATE_MISSING else "", reasons_of(row)
        if away := away_words(items.get(row.unit.key or 0)):
            status, by, reasons = SHORT, "", (f"{row.unit.tagged} {away}.", *reasons)
        told[chassis.pk].append(Line(COMPANION, f"its {row.unit.model}", status, chassis, by=by, reasons=reasons))
    return told


def hazard_lines(sets: Sequence[Chassis]) -> list[Line]:
    """Hazards that are proposed on a set and not checked: to be settled before anybody reaches in."""
    rows = HazardMark.objects.filter(item__in=[one.pk for one in sets], standing=HazardMark.PROPOSED)
    by_item = {one.pk: one for one in sets}
    return [
        Line(
            HAZARD, f"{row.hazard}: is it there?", SETTLE_FIRST, by_item[row.item_id],
            reasons=(row.reason or f"Proposed on {row.on}, not checked.",), before_power=True,
        )
        for row in rows
    ]  # fmt: skip


def part_lines(plan: Plan, sets: Sequence[Chassis], deal: Deal, known: Known) -> list[Line]:
    """Known weak parts of the sets, and what the keeper added; not what names a set that left the plan."""
    here = [one.pk for one in sets]
    own = [row for row in known.own.get(plan.pk or 0, ()) if row.chassis_id is None or row.chassis_id in here]
    mine = {(row.weak_id, row.chassis_id) for row in own if row.weak_id}
    told = []
    for one in sets:
        for part in known.weak.get(one.model_id, ()):
            if (part.pk, one.pk) in mine:
                continue  # it stands among the plan's own lines
            if before := known.done.get((part.pk, one.pk)):
                reasons = (f"Done on {before.done_on} in {before.plan}.",)
                told.append(Line(WEAK, str(part), DONE, one, part.mark, reasons=reasons, check=part_check(part)))
            elif (found := known.well.get((one.pk, part_check(part)))) and found.plan_id != plan.pk:
                reasons = (f"Found on {found.on} in {found.plan}: {found.words}.",)
                told.append(Line(WEAK, str(part), DONE, one, part.mark, reasons=reasons, check=part_check(part)))
            else:
                told.append(_weak_line(part, one, deal))
    return told + [_own_line(row, row.chassis or sets[0], deal) for row in own if row.chassis or sets]


def _of_parts(deal: Deal, key: Key) -> PartAnswer:
    """How a line of parts stands; to be done where it names no kind of part."""
    number = deal.at.get(key)
    return PartAnswer(TO_DO, "", ()) if number is None else told_of_line(deal, number)


def _why_weak(part: WeakPart) -> tuple[str, ...]:
    source = f"Source: {part.source}." if part.source else ""
    return tuple(text for text in (part.standing.differs_words, part.why, source, *_words(part)) if text)


def _words(part: WeakPart) -> tuple[str, ...]:
    return tuple(word.told for word in part.standing.words)


def _weak_line(part: WeakPart, chassis: Chassis, deal: Deal) -> Line:
    """By what is said of it: replaced, checked, or left alone, which is a caution and no work."""
    acts_as = part.standing.acts_as
    if acts_as == LEAVE:
        return Line(
            WEAK, str(part), LEFT_ALONE, chassis, part.mark, reasons=_why_weak(part), check=part_check(part)
        )  # fmt: skip
    found = _of_parts(deal, ("weak", part.pk, chassis.pk)) if acts_as == ALWAYS else PartAnswer(TO_DO, "", ())
    asked = "" if acts_as == ALWAYS else "check "
    need = f"{asked}{part}{f' x {part.quantity}' if part.quantity > 1 else ''}"
    return Line(
        WEAK, need, found.status, chassis, part.mark, by=found.by, reasons=(*_why_weak(part), *found.reasons),
        entails=found.entails, before_power=found.status == TO_DO, thing=found.lot.item if found.lot else None,
        offer=found.offer, offered=found.offered, check=part_check(part), weak=part,
    )  # fmt: skip


def _own_line(row: Requirement, chassis: Chassis, deal: Deal) -> Line:
    need = f"{row.words}{f' x {row.quantity}' if row.quantity > 1 else ''}"
    mark = row.weak.mark if row.weak else ""
    check = line_check(row)
    kept = row.reserved_now or 0  # type: ignore[attr-defined]
    if row.done_on:
        return Line(OWN, need, DONE, chassis, mark, reasons=(f"Done on {row.done_on}.",), requirement=row, kept=kept)
    if row.waiting_for and not row.here_on:
        told = (f"It waits for {row.waiting_for}.",)
        return Line(
            OWN, need, WAITING, chassis, mark, reasons=told, before_power=row.before_power, requirement=row,
            check=check, kept=kept,
        )  # fmt: skip
    if row.needs_word:
        return _word_line(row, need, chassis, check, kept)
    found = _of_parts(deal, ("line", row.pk, 0))
    beside = (*(_why_weak(row.weak) if row.weak else ()), *((row.note,) if row.note else ()))
    return Line(
        OWN, need, found.status, chassis, mark, by=found.by, reasons=(*beside, *found.reasons), entails=found.entails,
        before_power=row.before_power, requirement=row, thing=found.lot.item if found.lot else None,
        reserved=found.kept > 0 and found.kept >= found.wanted, offer=found.offer, offered=found.offered,
        kept=kept, check=check,
    )  # fmt: skip


def _word_line(row: Requirement, need: str, chassis: Chassis, check: str, kept: int) -> Line:
    """A tool, a book, a part without a kind: here on the keeper's word alone, since nothing on record can tell."""
    status, by, said = COVERED, "at hand", f"Said to be at hand since {row.here_on}."
    if row.here_on is None:
        name = "name its kind of part to have it counted, or say" if row.kind == row.PART else "say"
        status, by, said = NOT_SAID, "", f"Nobody said whether it is here: {name} that it is at hand."
    return Line(
        OWN, need, status, chassis, by=by, reasons=(*((row.note,) if row.note else ()), said),
        before_power=row.before_power, requirement=row, check=check, kept=kept,
    )  # fmt: skip
