"""What the house must know of this area."""

from inventory.house.areas import Area, Kind, Way
from inventory.sets.archived import SPECS
from inventory.sets.lists_out import LISTS
from inventory.sets.queries.panels import stand_ins_panel
from inventory.sets.queries.search import search

AREA = Area(
    "Sets",
    urls="inventory.sets.urls",
    ways=(Way("Sets", "sets:chassis-list", 50), Way("Plug-in units", "sets:unit-list", 60, names="unit")),
    kinds=(
        Kind("chassis", "chassis", "C", "chassis", "sets:chassis", ("chassis__model",), 20, "untagged"),
        Kind("unit", "plug-in unit", "U", "pluginunit", "sets:unit", ("pluginunit__model",), 30, "untagged"),
    ),
    archive=SPECS,
    lists=LISTS,
    search=search,
    panels={"sets.setmodel": stand_ins_panel, "sets.chassis": stand_ins_panel},
)
