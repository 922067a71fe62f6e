"""What the house must know of this area."""

from inventory.house.areas import Area
from inventory.lists.archived import SPECS

AREA = Area(
    "Lists in and out",
    urls="inventory.lists.urls",
    archive=SPECS,
)
