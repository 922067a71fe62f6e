"""What the house must know of this area."""

from inventory.holdings.archived import SPECS
from inventory.holdings.lists_out import LISTS
from inventory.holdings.queries.search import search
from inventory.house.areas import Area, Kind, Way

AREA = Area(
    "Holdings",
    urls="inventory.holdings.urls",
    ways=(Way("Tubes", "holdings:tube-list", 30), Way("Places", "holdings:place-list", 40, names="place")),
    kinds=(
        Kind("tube", "tube", "T", "tube", "holdings:tube", ("tube__type",), 10, told="marked"),
        Kind("parts", "part lot", "P", "partlot", "holdings:part", ("partlot",), 50),
    ),
    archive=SPECS,
    lists=LISTS,
    search=search,
)
