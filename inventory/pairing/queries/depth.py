"""One pair in depth, and a set going on the air."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Q

from inventory.pairing.models import OnAirRecord
from inventory.pairing.queries.ledger import LedgerLine, ledger_of_pair, ledger_up_to
from inventory.pairing.queries.rows import UNIT, PairFilter, PairRow
from inventory.pairing.queries.table import facts_of, pairing_table
from inventory.pairing.rules.bridge import Bridge, BridgeFault, InRange, cn_pf, lies_in_range
from inventory.pairing.rules.fold import DUE, GOOD, NOT_NEEDED, PRESUMED, RESET_AND_VERIFY
from inventory.pairing.rules.on_air_checks import (
    FilamentAnswer,
    Heater,
    check_current,
    check_filament_current,
    check_power,
    dissipation,
    readable,
)
from inventory.pairing.rules.timeline import Timeline, timeline
from inventory.sets.models import Chassis, Fitting, PlugInUnit, Position, SetModel
from inventory.sets.queries import doubtful_fittings, open_fittings, units_here
from tubes.queries import figure_of

INSTEAD = "instead"
READY_FIRST = (GOOD, NOT_NEEDED, RESET_AND_VERIFY, PRESUMED, DUE)


@dataclass(frozen=True)
class PairDepth:
    """A pair with its state, its time line and every record about it."""

    row: PairRow
    chart: Timeline | None
    lines: tuple[LedgerLine, ...]
    tubes_now: tuple[Fitting, ...]


def pair_in_depth(chassis: Chassis, unit: PlugInUnit, on: date) -> PairDepth | None:
    """All about one pair; None where the unit does not go into the chassis."""
    rows = pairing_table(on, PairFilter(chassis_key=chassis.pk, unit_key=unit.pk, kinds=(UNIT,)))
    if not rows:
        return None
    chart = timeline(facts_of(chassis, unit, ledger_up_to(on)), on)
    fitted = open_fittings().filter(chassis=chassis, position__neutralized=True)
    tubes = tuple(fitted.select_related("tube__item", "tube__type", "position").order_by("position_id"))
    return PairDepth(rows[0], chart, tuple(ledger_of_pair(chassis, unit)), tubes)


@dataclass(frozen=True)
class OnAirUnit:
    """A unit for a frequency on a chassis, and what to do first."""

    row: PairRow
    todo: str

    def as_dict(self) -> dict[str, Any]:
        pair = self.row.as_dict()
        return {name: pair[name] for name in ("unit", "state", "setting", "reasons")} | {"todo": self.todo}


@dataclass(frozen=True)
class OnAir:
    """What a chassis needs before it goes on the air on a frequency, readiest units first."""

    chassis: Chassis
    frequency_kc: float
    on: date
    units: tuple[OnAirUnit, ...]
    doubtful: tuple[Fitting, ...]
    coverage_unknown: tuple[str, ...] = ()  # units that go on it, but whose range nobody has recorded

    def as_dict(self) -> dict[str, Any]:
        return {
            "chassis": {"model": self.chassis.model.name, "serial": self.chassis.serial or None},
            "frequency_kc": self.frequency_kc,
            "units": [unit.as_dict() for unit in self.units],
        }


def on_air(chassis: Chassis, frequency_kc: float, on: date) -> OnAir:
    """Units that cover the frequency on this chassis, with state, setting, reasons and what to do first."""
    rows = pairing_table(on, PairFilter(chassis_key=chassis.pk, frequency_kc=frequency_kc, kinds=(UNIT,)))
    rows.sort(key=lambda row: READY_FIRST.index(row.state))
    doubtful = tuple(doubtful_fittings().filter(chassis=chassis))
    open_range = Q(model__low_kc__isnull=True) | Q(model__high_kc__isnull=True)
    unknown = units_here().filter(open_range, model__fits=chassis.model_id)
    names = tuple(f"{unit} ({unit.tag})" for unit in unknown)
    return OnAir(chassis, frequency_kc, on, tuple(OnAirUnit(row, _todo(row)) for row in rows), doubtful, names)


def _todo(row: PairRow) -> str:
    if row.state == RESET_AND_VERIFY:
        return f"Set the dial to {row.setting}, then verify the null."
    return {
        GOOD: "Nothing: the neutralization stands.",
        NOT_NEEDED: "Nothing: this set needs no neutralization.",
        PRESUMED: "Verify the null once and record it; it was never checked here.",
        DUE: "Neutralize first, and write the dial setting down.",
    }[row.state]


@dataclass(frozen=True)
class BridgeLine:
    """What the neutralizing capacitor must have for a tube type in a position."""

    position: str
    type: str
    cgp_pf: float | None
    grade: str
    cn_pf: float | None
    range: InRange | None
    text: str


def bridge_of(model: SetModel, more_types: Iterable[str] = ()) -> list[BridgeLine]:
    """What the neutralizing capacitor needs for the type of each neutralized position, and for more types."""
    if not model.bridge_circuit:
        return []
    positions = list(model.positions.filter(neutralized=True, type__isnull=False).select_related("type"))
    wanted = [(position.mark, position.type.name) for position in positions if position.type]
    wanted += [(INSTEAD, name) for name in more_types]
    capacitances = figure_of((name for _, name in wanted), "cgp_pf")
    return [_bridge_line(model, mark, name, *capacitances.get(name, (None, "not known"))) for mark, name in wanted]


def _bridge_line(model: SetModel, mark: str, name: str, cgp: float | None, grade: str) -> BridgeLine:
    if cgp is None:
        return BridgeLine(mark, name, None, grade, None, None, "The grid-plate capacitance of this type is not known.")
    if mark == INSTEAD and model.bridge_circuit in ("split-stator", "grid-bridge"):
        text = "Not worked out: this circuit needs the other type's own capacitances to the cathode, strays included."
        return BridgeLine(mark, name, cgp, grade, None, None, text)
    try:
        needed = cn_pf(Bridge(model.bridge_circuit, cgp=cgp, **model.bridge))
    except BridgeFault as fault:
        return BridgeLine(mark, name, cgp, grade, None, None, f"Not worked out: {fault}.")
    within = None
    if model.cn_min_pf is not None and model.cn_max_pf is not None and 0 <= model.cn_min_pf < model.cn_max_pf:
        within = lies_in_range(needed, model.cn_min_pf, model.cn_max_pf)
    verdict = within.verdict if within else "the capacitor's range is not recorded"
    return BridgeLine(mark, name, cgp, grade, needed, within, f"{needed:.3g} pF needed for one tube: {verdict}.")


def filament_check(chassis: Chassis, measured_a: float, on: date | None = None) -> FilamentAnswer | None:
    """The filament current against what the tubes fitted on a day should draw.

    None where no position says on which branch of the metered supply its heater is: without that the tubes on the
    meter are not known, and nothing is guessed. A position left without a branch is taken as not on this meter.
    """
    rows = Fitting.objects.filter(chassis=chassis).exclude(position__heater_branch="")
    if on is None:
        rows = rows.filter(until__isnull=True)
    else:
        rows = rows.filter(Q(until__isnull=True) | Q(until__gt=on), since__lte=on)
    fittings = list(rows.select_related("position__type", "tube__type"))
    names = {kind.name for f in fittings for kind in (f.tube.type, f.position.type) if kind}
    amps = {name: amps for name, (amps, _) in figure_of(names, "heater_a").items()}
    heaters = [_heater(fitting.position, fitting, amps) for fitting in fittings]
    return check_filament_current(heaters, measured_a) if heaters else None


def _heater(position: Position, fitting: Fitting, amps: dict[str, float]) -> Heater:
    name = fitting.tube.type.name if fitting.tube.type else ""
    wanted = position.type.name if position.type else ""
    could_be = ((wanted, amps[wanted]),) if wanted != name and wanted in amps else ()
    return Heater(position.mark, amps.get(name), position.heater_branch, could_be)


def _empty_heaters(chassis: Chassis, on: date) -> list[str]:
    """Positions on the metered filament supply that held no tube on a day."""
    there = Fitting.objects.filter(Q(until__isnull=True) | Q(until__gt=on), chassis=chassis, since__lte=on)
    positions = chassis.model.positions.exclude(heater_branch="").exclude(pk__in=there.values("position_id"))
    return list(positions.order_by("id").values_list("mark", flat=True))


@dataclass(frozen=True)
class Remark:
    """What a check makes of a meter: ``agrees`` None where it cannot be judged."""

    text: str
    agrees: bool | None = None

    @property
    def word(self) -> str:
        return {True: "agrees", False: "does not agree", None: "cannot be judged"}[self.agrees]


def on_air_remarks(row: OnAirRecord) -> list[Remark]:
    """What the checks make of an on-air record; a figure that is not there is not checked."""
    checks = (_antenna_remark, _power_remark, _filament_remark, _input_remark)
    found = []
    for check in checks:
        try:
            remark = check(row)
        except ValueError as fault:
            remark = Remark(f"Not worked out: {fault}.")
        found += [remark] if remark else []
    return found


def _antenna_remark(row: OnAirRecord) -> Remark | None:
    if row.antenna_a is None:
        return None
    if row.antenna_scale_a and row.antenna_a > row.antenna_scale_a:
        return Remark(
            f"{row.antenna_a:g} A lies beyond the {row.antenna_scale_a:g} A scale: take care of the meter.", False
        )
    if row.output_w and row.load_ohm:
        answer = check_current(row.output_w, row.load_ohm, row.antenna_a, row.antenna_scale_a)
        return Remark(answer.text, answer.agrees)
    if row.antenna_scale_a and not readable(row.antenna_a, row.antenna_scale_a):
        part = f"{row.antenna_a:g} A lies below a third of the {row.antenna_scale_a:g} A scale"
        return Remark(f"{part}: a thermocouple meter cannot be read there.")
    return None


def _power_remark(row: OnAirRecord) -> Remark | None:
    rated = row.chassis.model.rated_power_w
    if not (row.output_w and rated):
        return None
    answer = check_power(row.output_w, rated)
    return Remark(answer.text, answer.agrees)


def _filament_remark(row: OnAirRecord) -> Remark | None:
    if row.filament_a is None:
        return None
    answer = filament_check(row.chassis, row.filament_a, row.on)
    if answer is None:
        return Remark(
            "Filament current: no position says on which branch of this supply its heater is, so nothing is judged."
        )
    empty = _empty_heaters(row.chassis, row.on)
    left_out = f" Empty that day: {', '.join(empty)}." if empty else ""
    agrees = None if answer.difference_a is None else not answer.suspects
    return Remark(answer.text + left_out, agrees)


def _input_remark(row: OnAirRecord) -> Remark | None:
    if not (row.supply_v and row.plate_ma and row.output_w):
        return None
    lost = dissipation(row.supply_v, row.plate_ma / 1000, row.output_w)
    return Remark(f"{lost.plate_w:.0f} W left on the plates, efficiency {100 * lost.efficiency:.0f} %.")
