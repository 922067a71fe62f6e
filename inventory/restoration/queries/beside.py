"""The lines of a plan beside its tubes: bays, companions, known weak parts, hazards, and the keeper's own lines."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date

from inventory.holdings.models import HazardMark
from inventory.pairing.queries import PairFilter, PairRow, pairing_table
from inventory.pairing.queries.rows import COMPANION as COMPANION_ROW
from inventory.pairing.queries.rows import UNIT
from inventory.pairing.rules.companions import MATCHED, MATE_MISSING
from inventory.pairing.rules.fold import DUE, RESET_AND_VERIFY
from inventory.restoration.models import Plan, Requirement, WeakPart
from inventory.restoration.queries.lines import BAY, COMPANION, HAZARD, OWN, WEAK, Line
from inventory.restoration.queries.parts import PartCover, parts_cover
from inventory.restoration.rules.words import COVERED, DONE, DOUBTFUL, IN_PLACE, SETTLE_FIRST, SHORT, TO_DO, WAITING
from inventory.sets.models import Bay, Chassis, PlugInUnit, Seating

MOST_NAMED = 4


def beside_lines(plan: Plan, sets: Sequence[Chassis], on: date) -> list[Line]:
    """All lines that ask for no tube (a fixed number of queries for each set)."""
    told: list[Line] = []
    for one in sets:
        told += bay_lines(one, on)
        told += companion_lines(one, on)
    told += hazard_lines(sets)
    told += part_lines(plan, sets)
    return told


def bay_lines(chassis: Chassis, on: date) -> list[Line]:
    """A line for each bay: the unit in it, and whether the pair is due; or the units at hand that go there."""
    bays = list(Bay.objects.filter(set_model=chassis.model_id))
    if not bays:
        return []
    rows = Seating.objects.filter(chassis=chassis, until__isnull=True).select_related("unit__model", "unit__item")
    seated = {row.bay_id: row.unit for row in rows}
    pairs = {row.unit.key: row for row in pairing_table(on, PairFilter(chassis_key=chassis.pk, kinds=(UNIT,)))}
    free = _free_units(chassis)
    return [_bay_line(bay, chassis, seated.get(bay.pk), free, pairs) for bay in bays]


def _bay_line(
    bay: Bay,
    chassis: Chassis,
    unit: PlugInUnit | None,
    free: Sequence[PlugInUnit],
    pairs: Mapping[int | None, PairRow],
) -> Line:
    need = f"a plug-in unit in bay {bay.mark}"
    thing = unit or (free[0] if free else None)
    if thing is None:
        why = "Nothing is in it, and no unit that goes there is free."
        return Line(BAY, need, SHORT, chassis, bay.mark, reasons=(why,))
    pair = pairs.get(thing.pk)
    entails = _to_neutralize(pair)
    if unit is not None:
        status, by = DOUBTFUL if entails else IN_PLACE, str(unit)
        reasons = _reasons(pair) or (f"{unit} sits in it.",)
    else:
        status, reasons = COVERED, ("Nothing is in it; these are free.",)
        by = ", ".join(str(one) for one in free[:MOST_NAMED]) + (" ..." if len(free) > MOST_NAMED else "")
    return Line(BAY, need, status, chassis, bay.mark, by, "", entails, reasons, thing=thing.item)


def _free_units(chassis: Chassis) -> list[PlugInUnit]:
    rows = PlugInUnit.objects.filter(
        model__fits=chassis.model_id, item__gone_on__isnull=True, item__lent_to="", item__missed_on__isnull=True
    )
    return list(rows.exclude(seatings__until__isnull=True, seatings__isnull=False).select_related("model", "item"))


def _reasons(pair: PairRow | None) -> tuple[str, ...]:
    return tuple(reason.text for reason in pair.reasons) if pair else ()


def _to_neutralize(pair: PairRow | None) -> tuple[str, ...]:
    if pair is None:
        return ()
    if pair.state == DUE:
        return (f"neutralize {pair.unit.name} on {pair.chassis.name} before it goes on the air",)
    if pair.state == RESET_AND_VERIFY:
        return (f"set {pair.setting} back on {pair.unit.name} and verify the null",)
    return ()


def companion_lines(chassis: Chassis, on: date) -> list[Line]:
    """A line for everything that belongs with a set: here and its own, doubtful, or not here."""
    rows = pairing_table(on, PairFilter(chassis_key=chassis.pk, kinds=(COMPANION_ROW,)))
    told = []
    for row in rows:
        status = {MATCHED: IN_PLACE, MATE_MISSING: SHORT}.get(row.state, DOUBTFUL)
        by = row.unit.name if row.state != MATE_MISSING else ""
        told.append(Line(COMPANION, f"its {row.unit.model}", status, chassis, by=by, reasons=_reasons(row)))
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


def part_lines(plan: Plan, sets: Sequence[Chassis]) -> list[Line]:
    """Known weak parts of the sets, and what the keeper added."""
    rows = Requirement.objects.filter(plan=plan.pk or 0, struck="")
    own = list(rows.select_related("type", "chassis__model", "chassis__item", "weak"))
    taken_up: dict[tuple[int, int], Requirement] = {
        (row.weak_id, row.chassis_id): row for row in own if row.weak_id and row.chassis_id
    }
    weak: dict[int, list[WeakPart]] = defaultdict(list)
    for part in WeakPart.objects.filter(set_model__in={one.model_id for one in sets}).select_related("type"):
        weak[part.set_model_id].append(part)
    cover = parts_cover(plan, sets)
    told = []
    for one in sets:
        for part in weak[one.model_id]:
            if (part.pk, one.pk) not in taken_up:
                told.append(_weak_line(part, one, cover))
    told += [_own_line(row, row.chassis or sets[0], cover) for row in own if row.chassis or sets]
    return told


def _weak_line(part: WeakPart, chassis: Chassis, cover: PartCover) -> Line:
    reasons = tuple(text for text in (part.why, f"Source: {part.source}." if part.source else "") if text)
    status, by, more = cover.of_weak(part, chassis)
    need = f"{part}{f' x {part.quantity}' if part.quantity > 1 else ''}"
    return Line(
        WEAK, need, status, chassis, part.mark, by=by, reasons=(*reasons, *more), before_power=status == TO_DO,
        check=part_check(part),
    )  # fmt: skip


def part_check(part: WeakPart) -> str:
    """The key of the check of the start sheet that looks at a weak part."""
    return f"part {part}"


def _own_line(row: Requirement, chassis: Chassis, cover: PartCover) -> Line:
    need = f"{row.words}{f' x {row.quantity}' if row.quantity > 1 else ''}"
    check = part_check(row.weak) if row.weak else f"line {row.words}" if row.before_power else ""
    if row.done_on:
        return Line(OWN, need, DONE, chassis, reasons=(f"Done on {row.done_on}.",), requirement=row)
    if row.waiting_for:
        told = (f"It waits for {row.waiting_for}.",)
        return Line(
            OWN, need, WAITING, chassis, reasons=told, before_power=row.before_power, requirement=row, check=check
        )
    status, by, reasons = cover.of_line(row)
    if row.note:
        reasons = (row.note, *reasons)
    return Line(
        OWN, need, status, chassis, by=by, reasons=reasons, before_power=row.before_power, requirement=row, check=check
    )
