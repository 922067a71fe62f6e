"""What the house must know of this area."""

from inventory.house.areas import Area

AREA = Area("Lists in, everything out", urls="inventory.exchange.urls")
