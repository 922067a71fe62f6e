"""What the house must know of this area."""

from inventory.house.areas import Area, Way
from inventory.restoration.archived import SPECS
from inventory.restoration.lists_out import LISTS
from inventory.restoration.queries.panels import of_model, of_set

AREA = Area(
    "Restoration",
    urls="inventory.restoration.urls",
    ways=(Way("Restorations", "restoration:plan-list", 85),),
    archive=SPECS,
    lists=LISTS,
    panels={"sets.chassis": of_set, "sets.setmodel": of_model},
)
