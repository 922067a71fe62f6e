"""The ledger of a chassis, a unit or a pair: fetched, told line by line, and drawn as a time line."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import zip_longest
from typing import Any

from django.db.models import Q, QuerySet

from inventory.house.records.moments import Moment
from inventory.pairing.models import Disturbance, Neutralization, OnAirRecord
from inventory.pairing.queries.lines import NULL, OTHER, TUBE, UPSET, LedgerLine, Rows, lines_of
from inventory.pairing.queries.rows import end_of
from inventory.pairing.rules.events import moment_of_null
from inventory.pairing.rules.fold import IN_CHASSIS, IN_UNIT
from inventory.pairing.rules.timeline import STATE, Happening, Stretch, Timeline, timeline
from inventory.sets.models import READ, Chassis, Fitting, PlugInUnit, Seating

LANES = {NULL: "neutralized", OTHER: "other partners", UPSET: "disturbed", TUBE: "tubes changed"}
ORDER = (STATE, "neutralized", "other partners", "set for", "disturbed", "sits in", "tubes changed")
DOTS = {NULL: "null", OTHER: "other", UPSET: "upset", TUBE: "tube"}
ENDS = ("chassis__model", "chassis__item", "unit__model", "unit__item")


@dataclass(frozen=True)
class Told:
    """A ledger, the latest line first, and its chart."""

    lines: tuple[LedgerLine, ...]
    chart: Timeline | None


def told_of(*, chassis: Chassis | None = None, unit: PlugInUnit | None = None, on: date, states: Any = ()) -> Told:
    """All that bears on a chassis, on a unit, or (both named) on the pair, with its chart up to a day.

    Of a chassis: what was done with it, its neutralized tubes, the units seated in it, and what happened to the units
    that were neutralized on it. Of a unit: the same of the chassis that it was neutralized on, sat in, or bears the
    serial of. ``states``: stretches to draw first (of a pair). A fixed number of queries.
    """
    rows = _rows(chassis, unit)
    lines = lines_of(rows, chassis, unit)
    happenings = [
        Happening(line.day, LANES[line.kind], DOTS[line.kind], line.text, line.struck)
        for line in lines
        if line.kind in LANES and not (chassis and line.kind == TUBE)
    ]
    stretches = [*states, *_seats(rows, chassis, unit), *_settings(rows, chassis, unit)]
    if chassis:
        stretches += [Stretch(f.position.mark, "tube", f.tube.tag, f.since, f.until) for f in rows.fittings]
    return Told(tuple(lines), timeline(happenings, stretches, on, ORDER))


def _rows(chassis: Chassis | None, unit: PlugInUnit | None) -> Rows:
    if chassis and unit:
        return _rows_of_pair(chassis, unit)
    about = Q(chassis=chassis) if chassis else Q(unit=unit)
    nulls = list(Neutralization.objects.filter(about).select_related(*ENDS))
    seatings = list(Seating.objects.filter(about).select_related("bay", *ENDS))
    since = _since(nulls, seatings, chassis, unit)
    alone = Q(chassis=None) if chassis else Q(unit=None)
    theirs = (alone | Q(both=True)) & (Q(unit__in=since) if chassis else Q(chassis__in=since))
    uses = list(OnAirRecord.objects.filter(about, struck="", unit__isnull=False).select_related(*ENDS))
    found = Disturbance.objects.filter(about | theirs).select_related(*ENDS)
    upsets = [row for row in found if _matters(row, chassis, unit, since)]
    fittings = Fitting.objects.filter(position__neutralized=True).select_related(
        "tube__item", "position", "chassis__model", "chassis__item"
    )
    of = fittings.filter(chassis=chassis) if chassis else fittings.filter(chassis__in=since)
    others, elsewhere = _others(nulls, chassis, unit)
    turned = [row for row in _turned(nulls, uses) if _holds(row, chassis, unit)] + elsewhere
    return Rows(nulls, upsets, list(of), seatings, others, since, turned)


def _rows_of_pair(chassis: Chassis, unit: PlugInUnit) -> Rows:
    in_unit = chassis.model.neutralizing == IN_UNIT
    holder = Q(unit=unit, chassis__model__neutralizing=IN_UNIT) if in_unit else Q(chassis=chassis)
    nulls = list(Neutralization.objects.filter(holder).select_related(*ENDS))
    uses = OnAirRecord.objects.filter(holder, struck="", unit__isnull=False).select_related(*ENDS)
    own = [row for row in nulls if row.unit_id == unit.pk and row.chassis_id == chassis.pk]
    about = Q(unit=unit, chassis=chassis) | Q(unit=unit, chassis=None) | Q(unit=None, chassis=chassis)
    about |= Q(both=True) & (Q(unit=unit) | Q(chassis=chassis))
    fittings = Fitting.objects.filter(chassis=chassis, position__neutralized=True)
    return Rows(
        own,
        list(Disturbance.objects.filter(about).select_related(*ENDS)),
        list(fittings.select_related("tube__item", "position", "chassis__model", "chassis__item")),
        list(Seating.objects.filter(unit=unit).select_related("bay", *ENDS)),
        [row for row in nulls if row not in own],
        uses=_turned(nulls, uses),
    )


def _turned(nulls: Iterable[Neutralization], uses: Iterable[OnAirRecord]) -> list[OnAirRecord]:
    """On-air records with another partner than the capacitor was last set for, by neutralization or use."""
    rows: list[Any] = [*(row for row in nulls if not row.struck), *uses]
    rows.sort(key=lambda row: (moment_of_null(row.on, row.at), isinstance(row, OnAirRecord), row.pk))
    set_for: dict[tuple[bool, int], int] = {}
    found = []
    for row in rows:
        in_unit = row.chassis.model.neutralizing == IN_UNIT
        holder, partner = (row.unit_id, row.chassis_id) if in_unit else (row.chassis_id, row.unit_id)
        if isinstance(row, OnAirRecord) and set_for.get((in_unit, holder)) != partner:
            found.append(row)
        set_for[in_unit, holder] = partner
    return [row for row in found if row.chassis.model.neutralizing in (IN_UNIT, IN_CHASSIS)]


def _holds(row: OnAirRecord, chassis: Chassis | None, unit: PlugInUnit | None) -> bool:
    """Whether the capacitor of an on-air record sits in the thing that a ledger is of."""
    return row.chassis.model.neutralizing == (IN_CHASSIS if chassis else IN_UNIT)


def _since(
    nulls: Iterable[Neutralization], seatings: Iterable[Seating], chassis: Chassis | None, unit: PlugInUnit | None
) -> dict[int, date]:
    """Partners by key, with the day from which on what happens to them bears on the pair."""
    days: dict[int, date] = {}
    met = [(row, row.on) for row in nulls if not row.struck] + [(row, row.since) for row in seatings]
    for row, day in met:
        partner = row.unit_id if chassis else row.chassis_id
        days[partner] = min(day, days.get(partner, day))
    thing = chassis or unit
    if thing and thing.serial and thing.serial_reading == READ:
        twins: Any = (
            PlugInUnit.objects.filter(model__fits=chassis.model_id)
            if chassis
            else Chassis.objects.filter(model__in=unit.model.fits.all())  # type: ignore[union-attr]
        )
        for key in twins.filter(serial=thing.serial, serial_reading=READ).values_list("pk", flat=True):
            days[key] = date.min
    return days


def _matters(row: Disturbance, chassis: Chassis | None, unit: PlugInUnit | None, since: Mapping[int, date]) -> bool:
    if (chassis and row.chassis_id == chassis.pk) or (unit and row.unit_id == unit.pk):
        return True
    partner = row.unit_id if chassis else row.chassis_id
    return partner is not None and partner in since and row.on >= since[partner]


def _others(
    nulls: Sequence[Neutralization], chassis: Chassis | None, unit: PlugInUnit | None
) -> tuple[list[Neutralization], list[OnAirRecord]]:
    """The capacitor of a partner set for another, by neutralization and by use: the first time after each own one."""
    home, partner = (IN_UNIT, "unit_id") if chassis else (IN_CHASSIS, "chassis_id")
    own: dict[int, list[Moment]] = defaultdict(list)
    for row in nulls:
        if row.chassis.model.neutralizing == home and not row.struck:
            own[getattr(row, partner)].append(moment_of_null(row.on, row.at))
    if not own:
        return [], []
    elsewhere = ~Q(chassis=chassis) if chassis else ~Q(unit=unit)
    same = {f"{partner}__in": own, "chassis__model__neutralizing": home}
    about = elsewhere & Q(**same, struck="", unit__isnull=False)
    return (
        list(_first_after(Neutralization.objects.filter(about), own, partner)),
        list(_first_after(OnAirRecord.objects.filter(about), own, partner)),
    )


def _first_after(rows: QuerySet[Any], own: Mapping[int, list[Moment]], partner: str) -> QuerySet[Any]:
    """Of records of partners elsewhere, the first after each neutralization with the partner here."""
    first: dict[tuple[int, Moment], int] = {}
    for key, pk, day, at in rows.order_by("on", "at", "pk").values_list(partner, "pk", "on", "at"):
        before = [moment for moment in own[key] if moment <= moment_of_null(day, at)]
        if before:
            first.setdefault((key, max(before)), pk)
    return rows.model._default_manager.filter(pk__in=first.values()).select_related(*ENDS)


def _seats(rows: Rows, chassis: Chassis | None, unit: PlugInUnit | None) -> list[Stretch]:
    """Where a unit sat, or what sat in each bay of a chassis."""
    if unit:
        return [_beside("sits in", "seat", row.chassis, row.since, row.until) for row in rows.seatings]
    return [_beside(f"bay {row.bay.mark}", "seat", row.unit, row.since, row.until) for row in rows.seatings]


def _beside(lane: str, kind: str, partner: Chassis | PlugInUnit, start: date, end: date | None) -> Stretch:
    named = end_of(partner)
    return Stretch(lane, kind, named.name, start, end, named.mark)


def _settings(rows: Rows, chassis: Chassis | None, unit: PlugInUnit | None) -> list[Stretch]:
    """For whom the capacitor of a unit, or of a chassis, was set, until it was set for another."""
    if chassis and unit:
        return []
    home = IN_CHASSIS if chassis else IN_UNIT
    own: list[Any] = [row for row in rows.nulls if not row.struck and row.chassis.model.neutralizing == home]
    own += [row for row in rows.uses if _holds(row, chassis, unit)]
    own.sort(key=lambda row: (moment_of_null(row.on, row.at), row.pk))
    whom = [_set_for(row, chassis) for row in own]
    turns = [at for at, named in enumerate(whom) if at == 0 or named != whom[at - 1]]
    return [
        Stretch("set for", "set", whom[at][0], own[at].on, own[after].on if after is not None else None, whom[at][1])
        for at, after in zip_longest(turns, turns[1:])
    ]


def _set_for(row: Any, chassis: Chassis | None) -> tuple[str, str]:
    """For whom, and the same in short."""
    end = end_of(row.unit if chassis else row.chassis)
    if isinstance(row, OnAirRecord) and row.readied == OnAirRecord.NOT:
        return f"not known, on the air with {end.name}", f"not known, {end.mark}"
    return end.name, end.mark
