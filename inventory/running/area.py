"""What the house must know of this area."""

from inventory.house.areas import Area, Way

AREA = Area("Running", urls="inventory.running.urls", ways=(Way("Hours and tests", "running:home", 80),))
