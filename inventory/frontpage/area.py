"""What the house must know of this area."""

from inventory.house.areas import Area, Way

AREA = Area("Front page", urls="inventory.frontpage.urls", ways=(Way("Bench", "frontpage:home", 10),))
