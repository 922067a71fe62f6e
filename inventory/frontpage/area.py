"""What the house must know of this area."""

from inventory.house.areas import TODAY, Area, Way

AREA = Area(
    "Front page",
    urls="inventory.frontpage.urls",
    ways=(
        Way("Today", "frontpage:home", TODAY, "What needs a hand, most urgent first.", 10, whole=True),
        Way("Look up", "frontpage:look-up", TODAY, "Read a stamp; find a tag, a serial, a name, a place.", 20),
        Way(
            "Pocket page",
            "frontpage:pocket",
            TODAY,
            "One type at a fair or at the shelf: owned, good, where, at what price.",
            30,
            ("pocket",),
        ),
    ),
)
