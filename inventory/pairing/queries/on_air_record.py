"""On-air records of a set, and what hung on its metered filament supply on the day of each."""

from datetime import date
from functools import cached_property

from django.db.models import F, QuerySet

from inventory.pairing.models import OnAirRecord
from inventory.pairing.rules.filament_volts import BranchHeater
from inventory.pairing.rules.on_air_checks import FilamentAnswer, Heater, check_filament_current
from inventory.sets.models import Chassis, Fitting, Position
from tubes.queries import figure_of


class Supply:
    """The metered filament supply of a chassis: what hung on it on a day. Each question is asked once, for all days."""

    def __init__(self, chassis: Chassis) -> None:
        self.chassis = chassis
        self._figures: dict[str, dict[str, float]] = {}

    @cached_property
    def _stays(self) -> list[Fitting]:
        """Tubes that are or were in positions that hang on it."""
        rows = Fitting.objects.filter(chassis=self.chassis).exclude(position__heater_branch="")
        return list(rows.select_related("position__type", "tube__type").order_by("position_id"))

    @cached_property
    def _positions(self) -> list[Position]:
        return list(self.chassis.model.positions.exclude(heater_branch="").order_by("id"))

    def tubes(self, on: date | None) -> list[Fitting]:
        """Tubes fitted on a day (None: now) in positions that hang on it."""
        if on is None:
            return [stay for stay in self._stays if stay.until is None]
        return [stay for stay in self._stays if stay.since <= on and (stay.until is None or stay.until > on)]

    def empty(self, on: date | None) -> list[Position]:
        """Positions on it that held no tube on a day."""
        held = {stay.position_id for stay in self.tubes(on)}
        return [position for position in self._positions if position.pk not in held]

    def figures(self, name: str) -> dict[str, float]:
        """By type a figure of the tubes and of the types that their positions want, ``heater_a`` for example."""
        if name not in self._figures:
            kinds = {kind.name for one in self._stays for kind in (one.tube.type, one.position.type) if kind}
            self._figures[name] = {kind: value for kind, (value, _) in figure_of(kinds, name).items()}
        return self._figures[name]


def on_air_records(chassis: Chassis) -> QuerySet[OnAirRecord]:
    """The records of a chassis, the latest first, struck ones among them; one without a time ends its day."""
    rows = chassis.on_air_records.select_related("chassis__model", "unit__model", "unit__item")
    return rows.order_by("-on", F("at").desc(nulls_first=True), "-pk")


def record_before(row: OnAirRecord) -> OnAirRecord | None:
    """The record of the same chassis before this one that has an output, a row not yet written counting as the last."""
    rows = list(on_air_records(row.chassis).filter(struck="", on__lte=row.on))
    if row.pk:
        rows = rows[next((n + 1 for n, one in enumerate(rows) if one.pk == row.pk), 0) :]
    return next((one for one in rows if one.output_w), None)


def filament_check(
    chassis: Chassis, measured_a: float, on: date | None = None, supply: Supply | None = None
) -> FilamentAnswer | None:
    """The filament current against what the tubes fitted on a day should draw.

    None where no position says on which branch of the metered supply its heater is: without that the tubes on the
    meter are not known, and nothing is guessed. A position left without a branch is taken as not on this meter.
    """
    supply = supply or Supply(chassis)
    heaters = [_heater(fitting, supply.figures("heater_a")) for fitting in supply.tubes(on)]
    return check_filament_current(heaters, measured_a) if heaters else None


def _heater(fitting: Fitting, amps: dict[str, float]) -> Heater:
    position = fitting.position
    name = fitting.tube.type.name if fitting.tube.type else ""
    wanted = position.type.name if position.type else ""
    could_be = ((wanted, amps[wanted]),) if wanted != name and wanted in amps else ()
    return Heater(position.mark, amps.get(name), position.heater_branch, could_be)


def volts_wanted(row: OnAirRecord, supply: Supply) -> list[BranchHeater]:
    """The heaters on the supply on the day of a record, each with the volts that its tube wants."""
    volts = supply.figures("heater_v")
    empty = {one.heater_branch for one in supply.empty(row.on)}  # a branch with an empty socket wants nothing
    return [
        BranchHeater(f.position.mark, volts.get(f.tube.type.name if f.tube.type else ""), f.position.heater_branch)
        for f in supply.tubes(row.on)
        if f.position.heater_branch not in empty
    ]
