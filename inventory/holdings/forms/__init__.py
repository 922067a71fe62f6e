"""Forms of the holdings."""

from inventory.holdings.forms.counts import (
    BeginCountForm,
    CloseCountForm,
    ManyForm,
    PlaceMoveForm,
)
from inventory.holdings.forms.facts import (
    FactForm,
)
from inventory.holdings.forms.hazards import (
    HazardForm,
    HazardsForm,
)
from inventory.holdings.forms.parts import (
    NewPartLotForm,
    PartLotForm,
    PartTypeForm,
)
from inventory.holdings.forms.record import (
    PartWithForm,
)
from inventory.holdings.forms.register import (
    MoveForm,
    NewTubeForm,
    PlaceForm,
    TubeForm,
)
from inventory.holdings.forms.shelf import (
    ShelfForm,
)
from inventory.holdings.forms.wants import (
    SettleForm,
    WantForm,
)

__all__ = [
    "BeginCountForm",
    "CloseCountForm",
    "FactForm",
    "HazardForm",
    "HazardsForm",
    "ManyForm",
    "MoveForm",
    "NewPartLotForm",
    "NewTubeForm",
    "PartLotForm",
    "PartTypeForm",
    "PartWithForm",
    "PlaceForm",
    "PlaceMoveForm",
    "SettleForm",
    "ShelfForm",
    "TubeForm",
    "WantForm",
]
