"""What the house must know of this area."""

from inventory.house.areas import Area, Way
from inventory.valuation.archived import SPECS
from inventory.valuation.lists_out import LISTS
from inventory.valuation.queries.evidence import of_set_model, of_type
from inventory.valuation.queries.promises import of_thing

AREA = Area(
    "Valuation",
    urls="inventory.valuation.urls",
    ways=(Way("Prices", "valuation:prices", 82),),
    archive=SPECS,
    lists=LISTS,
    panels={"tubes.tubetype": of_type, "sets.setmodel": of_set_model, "holdings.item": of_thing},
)
