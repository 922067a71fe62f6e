"""Forms of the holdings."""

from inventory.holdings.forms.register import (
    LendForm,
    MoveForm,
    NewTubeForm,
    PlaceForm,
    TubeForm,
)

__all__ = [
    "LendForm",
    "MoveForm",
    "NewTubeForm",
    "PlaceForm",
    "TubeForm",
]
