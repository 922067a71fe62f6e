"""What the house must know of this area."""

from inventory.house.areas import Area, Way

AREA = Area("Figures", urls="inventory.figures.urls", ways=(Way("Figures", "figures:figures", 88),))
