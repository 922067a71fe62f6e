"""What the house must know of this area."""

from inventory.house.areas import REFERENCE, Area, Way
from tubes.archived import SPECS
from tubes.models import HandbookRow, RecallDoubt, State

AREA = Area(
    "Tube knowledge",
    urls="tubes.urls",
    ways=(
        Way(
            "Tube types",
            "tubes:type-list",
            REFERENCE,
            "Figures, pins, marks and kin, each with a grade and a source.",
            10,
            whole=True,
        ),
        Way("Missing figures", "tubes:gap-list", REFERENCE, "Which types owned or wanted lack what.", 20, ("gap",)),
        Way("Limits", "tubes:limit-list", REFERENCE, "Every limit that something is judged by.", 30, ("limit",)),
        Way("Sources", "tubes:source-list", REFERENCE, "Books and sheets that figures rest on.", 40, ("source",)),
    ),
    archive=SPECS,
    not_archived=(State, HandbookRow, RecallDoubt),
)
