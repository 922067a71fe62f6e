"""What the house must know of this area."""

from inventory.house.areas import Area
from inventory.valuation.archived import SPECS

AREA = Area("Valuation", archive=SPECS)
