"""How the rows of this area stand in the archive, each after everything that it refers to."""

from inventory.holdings.models import Place
from inventory.house.archived import ModelClass, Spec
from inventory.lists.models import (
    ImportMade,
    ImportMapping,
    ImportRow,
    ImportRun,
)
from inventory.pairing.models import CompanionKind
from inventory.sets.models import SetModel, UnitModel
from tubes.models import TubeType

_MADE_BESIDES: tuple[tuple[str, str, ModelClass], ...] = (  # what an undone list takes away besides its things
    ("counts", "made_places", Place),
    ("counts", "made_set_models", SetModel),
    ("counts", "made_unit_models", UnitModel),
    ("counts", "made_companion_kinds", CompanionKind),
    ("counts", "made_types", TubeType),
)
SPECS = (
    Spec("import_mappings", ImportMapping, ("name",), ("name",)),
    Spec("import_runs", ImportRun, numbered=True, inside=_MADE_BESIDES),
    Spec("import_rows", ImportRow, ("run", "row"), then=("run_id", "row", "pk")),
    Spec("import_made", ImportMade, ("item",), then=("row__run_id", "row__row", "pk")),
)  # fmt: skip
