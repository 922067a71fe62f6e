"""What the house must know of this area."""

from inventory.house.areas import Area
from inventory.restoration.archived import SPECS

AREA = Area("Restoration", archive=SPECS)
