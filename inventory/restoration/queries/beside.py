"""The lines of a plan beside its tubes: bays, companions, known weak parts, hazards, and the keeper's own lines."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date

from inventory.holdings.models import HazardMark
from inventory.pairing.queries import PairFilter, PairRow, pairing_table
from inventory.pairing.queries.rows import COMPANION as COMPANION_ROW
from inventory.pairing.queries.table import rows_of
from inventory.pairing.rules.companions import MATCHED, MATE_MISSING
from inventory.pairing.rules.fold import DUE, RESET_AND_VERIFY
from inventory.restoration.models import Plan, Requirement, WeakPart
from inventory.restoration.queries.lines import BAY, COMPANION, HAZARD, OWN, WEAK, Line
from inventory.restoration.queries.part_words import PartAnswer, told_of_line
from inventory.restoration.queries.parts import Deal, Key
from inventory.restoration.rules.words import COVERED, DONE, DOUBTFUL, IN_PLACE, SETTLE_FIRST, SHORT, TO_DO, WAITING
from inventory.sets.models import Bay, Chassis, PlugInUnit, Seating, UnitModel

MOST_NAMED = 4


def beside_lines(plan: Plan, sets: Sequence[Chassis], on: date, deal: Deal) -> list[Line]:
    """All lines that ask for no tube (a fixed number of queries, however many sets). ``deal``: of the parts."""
    bays, companions = bay_lines(sets, on), companion_lines(sets, on)
    told = [line for one in sets for line in (*bays[one.pk], *companions[one.pk])]
    return [*told, *hazard_lines(sets), *part_lines(plan, sets, deal)]


def bay_lines(sets: Sequence[Chassis], on: date) -> dict[int, list[Line]]:
    """A line for each bay, by set: the unit in it, and whether the pair is due; or the units at hand that go there."""
    bays: dict[int, list[Bay]] = defaultdict(list)
    for bay in Bay.objects.filter(set_model__in={one.model_id for one in sets}):
        bays[bay.set_model_id].append(bay)
    if not bays:
        return {one.pk: [] for one in sets}
    rows = Seating.objects.filter(chassis__in=[one.pk for one in sets], until__isnull=True)
    seated = {
        (row.chassis_id, row.bay_id): row.unit for row in rows.select_related("unit__model", "unit__item")
    }  # fmt: skip
    free = _free_units(sets)
    named = {
        (one.pk, unit.pk)
        for one in sets
        for bay in bays[one.model_id]
        if (unit := seated.get((one.pk, bay.pk)) or next(iter(free[one.model_id]), None))
    }
    pairs = {(row.chassis.key, row.unit.key): row for row in rows_of(on, sorted(named))}
    return {
        one.pk: [
            _bay_line(bay, one, seated.get((one.pk, bay.pk)), free[one.model_id], pairs) for bay in bays[one.model_id]
        ]
        for one in sets
    }


def _bay_line(
    bay: Bay,
    chassis: Chassis,
    unit: PlugInUnit | None,
    free: Sequence[PlugInUnit],
    pairs: Mapping[tuple[int | None, int | None], PairRow],
) -> Line:
    need = f"a plug-in unit in bay {bay.mark}"
    thing = unit or (free[0] if free else None)
    if thing is None:
        why = "Nothing is in it, and no unit that goes there is free."
        return Line(BAY, need, SHORT, chassis, bay.mark, reasons=(why,))
    pair = pairs.get((chassis.pk, thing.pk))
    entails = _to_neutralize(pair)
    if unit is not None:
        status, by = DOUBTFUL if entails else IN_PLACE, str(unit)
        reasons = _reasons(pair) or (f"{unit} sits in it.",)
    else:
        status, reasons = COVERED, ("Nothing is in it; these are free.",)
        by = ", ".join(str(one) for one in free[:MOST_NAMED]) + (" ..." if len(free) > MOST_NAMED else "")
    return Line(BAY, need, status, chassis, bay.mark, by, "", entails, reasons, thing=thing.item)


def _free_units(sets: Sequence[Chassis]) -> dict[int, list[PlugInUnit]]:
    """Units that sit nowhere, by the set model that they go into."""
    goes: dict[int, set[int]] = defaultdict(set)  # set models by unit model
    for unit_model, set_model in UnitModel.fits.through.objects.filter(
        setmodel__in={one.model_id for one in sets}
    ).values_list("unitmodel_id", "setmodel_id"):
        goes[unit_model].add(set_model)
    rows = PlugInUnit.objects.filter(
        model__in=goes, item__gone_on__isnull=True, item__lent_to="", item__missed_on__isnull=True
    )
    found: dict[int, list[PlugInUnit]] = defaultdict(list)
    for unit in rows.exclude(seatings__until__isnull=True, seatings__isnull=False).select_related("model", "item"):
        for set_model in goes[unit.model_id]:
            found[set_model].append(unit)
    return found


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


def companion_lines(sets: Sequence[Chassis], on: date) -> dict[int, list[Line]]:
    """A line for everything that belongs with a set, by set: here and its own, doubtful, or not here."""
    told: dict[int, list[Line]] = {one.pk: [] for one in sets}
    by_key = {one.pk: one for one in sets}
    for row in pairing_table(on, PairFilter(kinds=(COMPANION_ROW,))) if sets else ():
        if (chassis := by_key.get(row.chassis.key or 0)) is None:
            continue
        status = {MATCHED: IN_PLACE, MATE_MISSING: SHORT}.get(row.state, DOUBTFUL)
        by = row.unit.name if row.state != MATE_MISSING else ""
        need = f"its {row.unit.model}"
        told[chassis.pk].append(Line(COMPANION, need, status, chassis, by=by, reasons=_reasons(row)))
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


def part_lines(plan: Plan, sets: Sequence[Chassis], deal: Deal) -> list[Line]:
    """Known weak parts of the sets, and what the keeper added."""
    rows = Requirement.objects.filter(plan=plan.pk or 0, struck="")
    own = list(rows.select_related("type", "chassis__model", "chassis__item", "weak").order_by("pk"))
    done: dict[tuple[int, int], Requirement] = {}
    settled = Requirement.objects.filter(struck="", weak__isnull=False, chassis__in=[one.pk for one in sets])
    for row in settled.select_related("plan"):
        done[row.weak_id or 0, row.chassis_id or 0] = row
    weak: dict[int, list[WeakPart]] = defaultdict(list)
    for part in WeakPart.objects.filter(set_model__in={one.model_id for one in sets}).select_related("type"):
        weak[part.set_model_id].append(part)
    told = []
    for one in sets:
        for part in weak[one.model_id]:
            taken_up = done.get((part.pk, one.pk))
            if taken_up is None or (taken_up.plan_id != plan.pk and not taken_up.done_on):
                told.append(_weak_line(part, one, deal))
            elif taken_up.plan_id != plan.pk:
                reasons = (f"Done on {taken_up.done_on} in {taken_up.plan}.",)
                told.append(Line(WEAK, str(part), DONE, one, part.mark, reasons=reasons))
    return told + [_own_line(row, row.chassis or sets[0], deal) for row in own if row.chassis or sets]


def _of_parts(deal: Deal, key: Key) -> PartAnswer:
    """How a line of parts stands; to be done where it names no kind of part."""
    number = deal.at.get(key)
    return PartAnswer(TO_DO, "", ()) if number is None else told_of_line(deal, number)


def _why_weak(part: WeakPart) -> tuple[str, ...]:
    return tuple(text for text in (part.why, f"Source: {part.source}." if part.source else "") if text)


def _weak_line(part: WeakPart, chassis: Chassis, deal: Deal) -> Line:
    found = _of_parts(deal, ("weak", part.pk, chassis.pk))
    need = f"{part}{f' x {part.quantity}' if part.quantity > 1 else ''}"
    return Line(
        WEAK, need, found.status, chassis, part.mark, by=found.by, reasons=(*_why_weak(part), *found.reasons),
        before_power=found.status == TO_DO, thing=found.lot.item if found.lot else None, offer=found.offer,
        check=part_check(part),
    )  # fmt: skip


def part_check(part: WeakPart) -> str:
    """The key of the check of the start sheet that looks at a weak part."""
    return f"part {part}"


def _own_line(row: Requirement, chassis: Chassis, deal: Deal) -> Line:
    need = f"{row.words}{f' x {row.quantity}' if row.quantity > 1 else ''}"
    mark = row.weak.mark if row.weak else ""
    check = part_check(row.weak) if row.weak else f"line {row.words}" if row.before_power else ""
    if row.done_on:
        return Line(OWN, need, DONE, chassis, mark, reasons=(f"Done on {row.done_on}.",), requirement=row)
    if row.waiting_for:
        told = (f"It waits for {row.waiting_for}.",)
        return Line(
            OWN, need, WAITING, chassis, mark, reasons=told, before_power=row.before_power, requirement=row, check=check
        )
    found = _of_parts(deal, ("line", row.pk, 0))
    beside = (*(_why_weak(row.weak) if row.weak else ()), *((row.note,) if row.note else ()))
    return Line(
        OWN, need, found.status, chassis, mark, by=found.by, reasons=(*beside, *found.reasons),
        before_power=row.before_power, requirement=row, thing=found.lot.item if found.lot else None,
        reserved=found.kept >= row.quantity, offer=found.offer, kept=found.kept,
        check=check,
    )  # fmt: skip
