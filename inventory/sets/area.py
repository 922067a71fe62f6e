"""What the house must know of this area."""

from inventory.house.areas import SETS, Area, Kind, Way
from inventory.sets.archived import SPECS
from inventory.sets.lists_out import LISTS
from inventory.sets.queries.panels import stand_ins_panel
from inventory.sets.queries.search import search

AREA = Area(
    "Sets",
    urls="inventory.sets.urls",
    ways=(
        Way(
            "Sets",
            "sets:chassis-list",
            SETS,
            "Every set: what it holds, what it lacks, whether it may go on.",
            10,
            whole=True,
        ),
        Way(
            "Plug-in units",
            "sets:unit-list",
            SETS,
            "Every unit, its range, and where it is at home.",
            20,
            ("unit", "seat"),
        ),
    ),
    kinds=(
        Kind("chassis", "chassis", "C", "chassis", "sets:chassis", ("chassis__model",), 20, "untagged"),
        Kind("unit", "plug-in unit", "U", "pluginunit", "sets:unit", ("pluginunit__model",), 30, "untagged"),
    ),
    archive=SPECS,
    lists=LISTS,
    search=search,
    panels={"sets.setmodel": stand_ins_panel, "sets.chassis": stand_ins_panel},
)
