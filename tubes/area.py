"""What the house must know of this area."""

from inventory.house.areas import Area, Way
from tubes.archived import SPECS
from tubes.models import HandbookRow, RecallDoubt, State

AREA = Area(
    "Tube knowledge",
    urls="tubes.urls",
    ways=(Way("Tube types", "tubes:type-list", 20),),
    archive=SPECS,
    not_archived=(State, HandbookRow, RecallDoubt),
)
