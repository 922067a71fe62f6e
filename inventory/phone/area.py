"""What the house must know of this area."""

from inventory.house.areas import Area
from inventory.phone.archived import SPECS

AREA = Area("Phone", urls="inventory.phone.urls", archive=SPECS)
