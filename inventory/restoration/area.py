"""What the house must know of this area."""

from inventory.house.areas import Area, Way
from inventory.restoration.archived import SPECS

AREA = Area(
    "Restoration",
    urls="inventory.restoration.urls",
    ways=(Way("Restorations", "restoration:plan-list", 85),),
    archive=SPECS,
)
