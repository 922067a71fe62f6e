"""What the house must know of this area."""

from inventory.house.areas import Area

AREA = Area("Valuation")
