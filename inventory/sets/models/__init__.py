"""Set models, chassis and plug-in units by serial, what is fitted where, what stands in for what, mated things."""

from inventory.sets.models.mated import MatedPart, MatedSet
from inventory.sets.models.sets import (
    MISSING,
    READ,
    SERIAL_READINGS,
    UNREADABLE,
    Approval,
    Bay,
    Chassis,
    Fitting,
    PlugInUnit,
    Position,
    Seating,
    Serialled,
    SetModel,
    UnitModel,
    plate_words,
)
from inventory.sets.models.stand_ins import StandIn, StandInFitted
from inventory.sets.models.stays import Stay

__all__ = [
    "MISSING",
    "READ",
    "SERIAL_READINGS",
    "UNREADABLE",
    "Approval",
    "Bay",
    "Chassis",
    "Fitting",
    "MatedPart",
    "MatedSet",
    "PlugInUnit",
    "Position",
    "Seating",
    "Serialled",
    "SetModel",
    "StandIn",
    "StandInFitted",
    "Stay",
    "UnitModel",
    "plate_words",
]
