"""How the rows of this area stand in the archive, each after everything that it refers to."""

from inventory.house.archived import Spec
from inventory.pairing.models import (
    Companion,
    CompanionCheck,
    CompanionKind,
    Disturbance,
    Neutralization,
    OnAirRecord,
)

SPECS = (
    Spec("neutralizations", Neutralization, then=("on", "pk")),
    Spec("disturbances", Disturbance, then=("on", "pk")),
    Spec("on_air_records", OnAirRecord, then=("on", "pk")),
    Spec("companion_kinds", CompanionKind, ("set_model", "name"), ("set_model__name", "name")),
    Spec("companions", Companion, ("item",), ("item__tag",)),
    Spec("comparisons", CompanionCheck, then=("on", "pk")),
)  # fmt: skip
