"""What the house must know of this area."""

from inventory.house.areas import BENCH, TUBES, Area, Way
from inventory.restoration.archived import SPECS
from inventory.restoration.lists_out import LISTS
from inventory.restoration.queries.panels import of_model, of_set

AREA = Area(
    "Restoration",
    urls="inventory.restoration.urls",
    ways=(
        Way(
            "Restorations",
            "restoration:plan-list",
            BENCH,
            "Plans: what is covered, what is short, and why.",
            50,
            whole=True,
        ),
        Way("Who gets what", "restoration:assignment", BENCH, "Tubes and parts dealt to all open plans at once.", 52),
        Way(
            "How many spares are enough",
            "restoration:spares",
            TUBES,
            "Failures ahead, and what to keep for them.",
            50,
            ("spares",),
        ),
    ),
    archive=SPECS,
    lists=LISTS,
    panels={"sets.chassis": of_set, "sets.setmodel": of_model},
)
