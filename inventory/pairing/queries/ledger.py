"""The dated facts behind the pairs, fetched for the rules. For a page they are told line by line, see ``lines``."""

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date

from django.db.models import Q, QuerySet

from inventory.pairing.models import Disturbance, Neutralization, OnAirRecord
from inventory.pairing.rules.causes import ACCIDENTS, TOLD
from inventory.pairing.rules.events import Null, TubeStay, Upset, Use, moment_of_null, moment_of_upset, moment_of_work
from inventory.sets.models import Chassis, Fitting, PlugInUnit, plate_words


@dataclass(frozen=True)
class Ledger:
    """All dated facts up to a day, by what they concern."""

    nulls_of_unit: Mapping[int, list[Null]]
    nulls_of_chassis: Mapping[int, list[Null]]
    upsets_of_unit: Mapping[int, list[Upset]]
    upsets_of_chassis: Mapping[int, list[Upset]]
    stays: Mapping[int, list[TubeStay]]
    chassis_names: Mapping[int, str]
    unit_names: Mapping[int, str]
    uses_of_unit: Mapping[int, list[Use]]
    uses_of_chassis: Mapping[int, list[Use]]
    capacitors: Mapping[int, str]  # where that of each chassis sits


def ledger_up_to(on: date, pairs: Collection[tuple[int, int]] | None = None) -> Ledger:
    """Fetch the events (seven queries); ``pairs`` (keys of chassis and unit): only those that bear on them."""
    bears, of = Q(), None
    if pairs is not None:
        of = {chassis for chassis, _ in pairs}
        bears = Q(chassis__in=of) | Q(unit__in={unit for _, unit in pairs})
    by_unit: dict[int, list[Null]] = defaultdict(list)
    by_chassis: dict[int, list[Null]] = defaultdict(list)
    nulls = Neutralization.objects.filter(bears, on__lte=on, struck="")
    for chassis, unit, day, at, setting, by_whom, locked in nulls.values_list(
        "chassis_id", "unit_id", "on", "at", "setting", "by_whom", "locked"
    ):
        null = Null(unit, chassis, moment_of_null(day, at), setting, by_whom, locked)
        by_unit[unit].append(null)
        by_chassis[chassis].append(null)
    upsets_of_unit, upsets_of_chassis = _upsets(Disturbance.objects.filter(bears, on__lte=on, struck=""))
    chassis_rows = list(
        Chassis.objects.values_list("pk", "model__neutralizing", "serial", "serial_reading", "item__tag")
    )
    chassis_names = {key: plate_words(*plate) for key, _, *plate in chassis_rows}
    capacitors = {key: sits for key, sits, *_ in chassis_rows}
    unit_rows = PlugInUnit.objects.values_list("pk", "model__name", "serial", "serial_reading", "item__tag")
    unit_names = {key: f"{model} {plate_words(*plate)}" for key, model, *plate in unit_rows}
    stays = tube_stays(on, of)
    uses = _uses(OnAirRecord.objects.filter(bears, on__lte=on, struck="", unit__isnull=False))
    upsets = (upsets_of_unit, upsets_of_chassis)
    return Ledger(by_unit, by_chassis, *upsets, stays, chassis_names, unit_names, *uses, capacitors)


def _uses(rows: QuerySet[OnAirRecord]) -> tuple[dict[int, list[Use]], dict[int, list[Use]]]:
    """When units were on the air, by unit and by chassis."""
    of_unit: dict[int, list[Use]] = defaultdict(list)
    of_chassis: dict[int, list[Use]] = defaultdict(list)
    for chassis, unit, day, at, readied in rows.values_list("chassis_id", "unit_id", "on", "at", "readied"):
        assert unit is not None
        use = Use(unit, chassis, moment_of_null(day, at), readied)
        of_unit[unit].append(use)
        of_chassis[chassis].append(use)
    return of_unit, of_chassis


def _upsets(rows: QuerySet[Disturbance]) -> tuple[dict[int, list[Upset]], dict[int, list[Upset]]]:
    """Disturbances by unit (also of a pair), and by chassis where they concern that alone or both."""
    of_unit: dict[int, list[Upset]] = defaultdict(list)
    of_chassis: dict[int, list[Upset]] = defaultdict(list)
    columns = ("chassis_id", "unit_id", "on", "at", "cause", "note", "both")
    for chassis, unit, day, at, cause, note, both in rows.values_list(*columns):
        accident = cause in ACCIDENTS
        moment = moment_of_upset(day, at, accident)
        upset = Upset(moment, TOLD.get(cause, cause), unit, chassis, note, accident, both)
        if unit is not None:
            of_unit[unit].append(upset)
        if chassis is not None and (both or unit is None):
            of_chassis[chassis].append(upset)
    return of_unit, of_chassis


def tube_stays(on: date, of: Collection[int] | None = None) -> dict[int, list[TubeStay]]:
    """Tubes in neutralized positions, by chassis; ``of``: the keys of those wanted."""
    stays: dict[int, list[TubeStay]] = defaultdict(list)
    fittings = Fitting.objects.filter(position__neutralized=True, since__lte=on)
    rows = (fittings if of is None else fittings.filter(chassis__in=of)).values_list(
        "chassis_id", "position__mark", "tube__item__tag", "since", "since_at", "until", "until_at"
    )
    for chassis, mark, tag, since, since_at, until, until_at in rows:
        end = moment_of_work(until, until_at) if until else None
        stays[chassis].append(TubeStay(mark, tag, moment_of_work(since, since_at), end))
    return stays
