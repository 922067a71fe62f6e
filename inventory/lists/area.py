"""What the house must know of this area."""

from inventory.house.areas import DESK, Area, Way
from inventory.lists.archived import SPECS

AREA = Area(
    "Lists in and out",
    urls="inventory.lists.urls",
    ways=(
        Way(
            "Lists in and out", "lists:lists", DESK, "Any list as a file; a file of yours taken in.", 20, ("list-out",)
        ),
        Way("Lists taken in", "lists:lists-in", DESK, "What came of each list, and the way back.", 22, whole=True),
        Way("Rows to count", "lists:lists-to-count", DESK, "Rows of lists that did not say how many.", 24),
    ),
    archive=SPECS,
)
