"""What the house must know of this area."""

from inventory.house.areas import BENCH, HELPER, SETS, Area, Kind, Way
from inventory.pairing.archived import SPECS
from inventory.pairing.lists_out import LISTS
from inventory.pairing.queries.search import search

AREA = Area(
    "Pairing",
    urls="inventory.pairing.urls",
    ways=(
        Way(
            "Pairings",
            "pairing:table",
            SETS,
            "Every chassis with every unit: neutralized, due, or to be reset.",
            30,
            whole=True,
        ),
        Way("Station", "pairing:station", SETS, "What can work a frequency now, all sets at one glance.", 32),
        Way(
            "Companions",
            "pairing:companion-list",
            SETS,
            "Calibration books and coils, and the set each belongs to.",
            40,
            ("companion", "mated", "comparison"),
        ),
        Way(
            "Record a neutralization",
            "pairing:neutralize",
            BENCH,
            "A unit on a chassis: setting, residual, by what method.",
            20,
            ("neutralization",),
            role=HELPER,
        ),
        Way(
            "Record a disturbance",
            "pairing:disturb",
            BENCH,
            "A tube changed, a cover opened: what upsets which pairs.",
            22,
            ("disturbance",),
            role=HELPER,
        ),
        Way(
            "Find the null",
            "pairing:null-finder",
            BENCH,
            "From readings around it, with its error and the next setting.",
            24,
        ),
    ),
    kinds=(Kind("companion", "companion", "K", "companion", "pairing:companion", ("companion__kind__set_model",), 40),),
    archive=SPECS,
    lists=LISTS,
    search=search,
)
