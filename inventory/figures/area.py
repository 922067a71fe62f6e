"""What the house must know of this area."""

from inventory.house.areas import DESK, Area, Way

AREA = Area(
    "Figures",
    urls="inventory.figures.urls",
    ways=(
        Way(
            "Figures",
            "figures:figures",
            DESK,
            "The collection counted and drawn: states, kinds, makers, growth, money.",
            10,
            whole=True,
        ),
    ),
)
