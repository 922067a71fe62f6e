"""What a line of the demo's tables names: places, sets, units and tubes that earlier tables made."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from inventory.demo.actions.tables import Row
from inventory.holdings.actions.parts import save_part_type
from inventory.holdings.models import PartType, Place, Tube
from inventory.holdings.rules.part_kinds import read_value
from inventory.pairing.models import CompanionKind
from inventory.sets.models import Chassis, PlugInUnit, SetModel
from tubes.models import TubeType
from tubes.queries import Knowledge, type_for_stamp
from tubes.rules.units import UnitFault


@dataclass(frozen=True)
class Desk:
    """What the functions below need besides the row: who enters it, and what is known of marks and types."""

    by: Any
    known: Knowledge
    types: dict[str, TubeType]
    last_day: date  # of the story, whatever the clock of the machine says

    def type_named(self, row: Row, column: str) -> TubeType | None:
        name = row.text(column)
        if name and name not in self.types:
            raise row.fault(column, f"there is no tube type {name!r}")
        return self.types.get(name)

    def type_of_mark(self, row: Row) -> TubeType | None:
        name = type_for_stamp(self.known.read(row.text("marked")), self.known)
        return self.types.get(name) if name else None


def place_of(row: Row, column: str = "place") -> Place | None:
    return row.find_or_none(column, Place.objects.all(), "path")


def tube_of(row: Row) -> Tube:
    return row.find("tube", Tube.objects.select_related("item__place"), "item__tag")


def chassis_of(row: Row, column: str = "chassis") -> Chassis:
    return row.find(column, Chassis.objects.select_related("item__place", "model"), "item__tag")


def unit_of(row: Row) -> PlugInUnit:
    return row.find("unit", PlugInUnit.objects.select_related("item__place", "model"), "item__tag")


def set_model_of(row: Row, column: str = "set_model") -> SetModel:
    return row.find(column, SetModel.objects.all(), "name")


def kind_of(row: Row) -> CompanionKind:
    return row.find("kind", CompanionKind.objects.all(), "name", set_model=set_model_of(row))


def part_type_of(row: Row, desk: Desk) -> PartType:
    """The kind of part that a line gives by kind, value and volts; made where there is none yet."""
    try:
        value = read_value(row.text("kind"), row.text("value"))
    except (KeyError, UnitFault) as fault:
        raise row.fault("value", str(fault)) from fault
    figures = {"kind": row.text("kind"), "value": value, "volts": row.number("volts")}
    return PartType.objects.filter(**figures).first() or save_part_type(PartType(**figures), by=desk.by)


def cells(row: Row, *columns: str) -> dict[str, str]:
    return {column: row.text(column) for column in columns}
