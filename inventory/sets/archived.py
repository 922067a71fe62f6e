"""How the rows of this area stand in the archive, each after everything that it refers to."""

from inventory.house.archived import Spec
from inventory.sets.models import (
    Approval,
    Bay,
    Chassis,
    Fitting,
    MatedPart,
    MatedSet,
    PlugInUnit,
    Position,
    Seating,
    SetModel,
    StandIn,
    StandInFitted,
    UnitModel,
)

SPECS = (
    Spec("set_models", SetModel, ("name",), ("name",)),
    Spec("positions", Position, ("set_model", "mark"), ("set_model__name",)),
    Spec("approvals", Approval, words=("position__set_model__name", "position__mark")),
    Spec("bays", Bay, ("set_model", "mark"), ("set_model__name",)),
    Spec("unit_models", UnitModel, ("name",), ("name",)),
    Spec("chassis", Chassis, ("item",), ("item__tag",)),
    Spec("units", PlugInUnit, ("item",), ("item__tag",)),
    Spec("fittings", Fitting, then=("since", "pk")),
    Spec("seatings", Seating, then=("since", "pk")),
    Spec("stand_ins", StandIn, numbered=True),
    Spec("stand_ins_fitted", StandInFitted, then=("since", "pk")),
    Spec("mated_sets", MatedSet, ("name",), ("name",)),
    Spec("mated_parts", MatedPart, ("mated_set", "name"), ("mated_set__name", "name")),
)  # fmt: skip
