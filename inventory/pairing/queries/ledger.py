"""The dated facts behind the pairs: fetched for the rules, and told line by line for a page."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Q

from inventory.pairing.models import Disturbance, Neutralization
from inventory.pairing.queries.rows import End, end_of
from inventory.pairing.rules.events import Null, TubeStay, Upset, moment_of_null, moment_of_upset, moment_of_work
from inventory.sets.models import Chassis, Fitting, PlugInUnit


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


def ledger_up_to(on: date) -> Ledger:
    """Fetch the events (five queries)."""
    by_unit: dict[int, list[Null]] = defaultdict(list)
    by_chassis: dict[int, list[Null]] = defaultdict(list)
    for chassis, unit, day, at, setting, by_whom in Neutralization.objects.filter(on__lte=on, struck="").values_list(
        "chassis_id", "unit_id", "on", "at", "setting", "by_whom"
    ):
        null = Null(unit, chassis, moment_of_null(day, at), setting, by_whom)
        by_unit[unit].append(null)
        by_chassis[chassis].append(null)
    upsets_of_unit: dict[int, list[Upset]] = defaultdict(list)
    upsets_of_chassis: dict[int, list[Upset]] = defaultdict(list)
    for chassis, unit, day, at, cause, note in Disturbance.objects.filter(on__lte=on, struck="").values_list(
        "chassis_id", "unit_id", "on", "at", "cause", "note"
    ):
        accident = cause in Disturbance.ACCIDENTS
        upset = Upset(moment_of_upset(day, at, accident), _CAUSES.get(cause, cause), unit, chassis, note, accident)
        if unit is not None:
            upsets_of_unit[unit].append(upset)
        else:
            upsets_of_chassis[chassis].append(upset)
    chassis_rows = Chassis.objects.values_list("pk", "serial", "item__tag")
    chassis_names = {key: serial or tag for key, serial, tag in chassis_rows}
    unit_rows = PlugInUnit.objects.values_list("pk", "model__name", "serial", "item__tag")
    unit_names = {key: f"{model} {serial or tag}" for key, model, serial, tag in unit_rows}
    return Ledger(by_unit, by_chassis, upsets_of_unit, upsets_of_chassis, tube_stays(on), chassis_names, unit_names)


_CAUSES = {key: words.removesuffix(", see note") for key, words in Disturbance.CAUSES}


def tube_stays(on: date) -> dict[int, list[TubeStay]]:
    """Tubes in neutralized positions, by chassis."""
    stays: dict[int, list[TubeStay]] = defaultdict(list)
    rows = Fitting.objects.filter(position__neutralized=True, since__lte=on).values_list(
        "chassis_id", "position__mark", "tube__item__tag", "since", "since_at", "until", "until_at"
    )
    for chassis, mark, tag, since, since_at, until, until_at in rows:
        end = moment_of_work(until, until_at) if until else None
        stays[chassis].append(TubeStay(mark, tag, moment_of_work(since, since_at), end))
    return stays


@dataclass(frozen=True)
class LedgerLine:
    """One dated event of the ledger for a page; ``pk`` and ``kind`` say which record to correct."""

    day: date
    at: Any
    kind: str
    pk: int | None
    text: str
    by_whom: str
    note: str
    other: End | None = None
    struck: str = ""


def ledger_of(*, chassis: Chassis | None = None, unit: PlugInUnit | None = None) -> list[LedgerLine]:
    """Neutralizations, disturbances and changes of neutralized tubes of a chassis or a unit, the latest first."""
    about = Q(chassis=chassis) if chassis else Q(unit=unit)
    ends = ("chassis__model", "chassis__item", "unit__model", "unit__item")
    lines = [_null_line(row, chassis) for row in Neutralization.objects.filter(about).select_related(*ends)]
    lines += [_upset_line(row) for row in Disturbance.objects.filter(about).select_related(*ends)]
    if chassis:
        lines += _tube_lines(chassis)
    return sorted(lines, key=lambda line: (line.day, str(line.at or ""), line.kind, line.text), reverse=True)


def ledger_of_pair(chassis: Chassis, unit: PlugInUnit) -> list[LedgerLine]:
    """What bears on one pair: its records, those of unit or chassis alone, other settings of the capacitor."""
    in_unit = chassis.model.neutralizing == "unit"
    holder = Q(unit=unit) if in_unit else Q(chassis=chassis)
    ends = ("chassis__model", "chassis__item", "unit__model", "unit__item")
    lines = [
        _null_line(row, None if in_unit else chassis)
        for row in Neutralization.objects.filter(holder).select_related(*ends)
    ]
    about = Q(unit=unit, chassis=chassis) | Q(unit=unit, chassis=None) | Q(unit=None, chassis=chassis)
    lines += [_upset_line(row) for row in Disturbance.objects.filter(about).select_related(*ends)]
    lines += _tube_lines(chassis)
    return sorted(lines, key=lambda line: (line.day, str(line.at or ""), line.kind, line.text), reverse=True)


def _null_line(row: Neutralization, chassis: Chassis | None) -> LedgerLine:
    parts = [f"setting {row.setting}" if row.setting else "no setting written down"]
    parts += [row.get_method_display()] if row.method else []
    parts += [f"at {row.frequency_kc:g} kc"] if row.frequency_kc else []
    parts += [f"dial {row.dial_scale}"] if row.dial_scale else []
    parts += [f"null reading {row.null_reading}"] if row.null_reading else []
    parts += ["LOCK NOT TIGHTENED"] if row.locked is False else []
    other = end_of(row.unit) if chassis else end_of(row.chassis)
    text = f"Neutralized {'with' if chassis else 'on'} {other.name}: {', '.join(parts)}."
    return LedgerLine(row.on, row.at, "neutralized", row.pk, text, row.by_whom, row.note, other, row.struck)


def _upset_line(row: Disturbance) -> LedgerLine:
    of = " and ".join(str(thing) for thing in (row.unit, row.chassis) if thing)
    text = f"{row.get_cause_display().removesuffix(', see note').capitalize()} of {of}."
    return LedgerLine(row.on, row.at, "disturbed", row.pk, text, row.by_whom, row.note, None, row.struck)


def _tube_lines(chassis: Chassis) -> list[LedgerLine]:
    rows = Fitting.objects.filter(chassis=chassis, position__neutralized=True).select_related("tube__item", "position")
    lines = []
    for row in rows:
        lines.append(
            LedgerLine(
                row.since, row.since_at, "tube changed", None, f"{row.tube.tag} into {row.position.mark}.", "", row.note
            )
        )
        if row.until:
            text = f"{row.tube.tag} out of {row.position.mark}."
            lines.append(LedgerLine(row.until, row.until_at, "tube changed", None, text, "", ""))
    return lines
