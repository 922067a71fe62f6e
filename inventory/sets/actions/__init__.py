"""Changes of sets: models, chassis and units by serial, tubes in and out, units in and out of their bays."""

from inventory.sets.actions.models import (
    OPERATING,
    add_serialled,
    change_serialled,
    drop_approval,
    save_approval,
    save_bay,
    save_position,
    save_set_model,
    save_unit_model,
    tidy_serial,
)
from inventory.sets.actions.moves_filed import MOVES_STAND
from inventory.sets.actions.stays import (
    correct_stay,
    fit,
    seat,
    take_out,
    unseat,
)

__all__ = [
    "MOVES_STAND",
    "OPERATING",
    "add_serialled",
    "change_serialled",
    "correct_stay",
    "drop_approval",
    "fit",
    "save_approval",
    "save_bay",
    "save_position",
    "save_set_model",
    "save_unit_model",
    "seat",
    "take_out",
    "tidy_serial",
    "unseat",
]
