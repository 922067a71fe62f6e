"""What the house must know of this area."""

from inventory.house.areas import TODAY, Area, Way
from inventory.phone.archived import SPECS

AREA = Area(
    "Phone",
    urls="inventory.phone.urls",
    ways=(
        Way(
            "Without a signal",
            "phone:page",
            TODAY,
            "Entries written where no signal reaches, sent when it is back.",
            50,
            whole=True,
        ),
    ),
    archive=SPECS,
)
