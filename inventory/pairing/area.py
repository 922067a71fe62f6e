"""What the house must know of this area."""

from inventory.house.areas import Area, Kind, Way
from inventory.pairing.archived import SPECS
from inventory.pairing.lists_out import LISTS
from inventory.pairing.queries.search import search

AREA = Area(
    "Pairing",
    urls="inventory.pairing.urls",
    ways=(Way("Pairings", "pairing:table", 70),),
    kinds=(Kind("companion", "companion", "K", "companion", "pairing:companion", ("companion__kind__set_model",), 40),),
    archive=SPECS,
    lists=LISTS,
    search=search,
)
