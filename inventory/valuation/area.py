"""What the house must know of this area."""

from inventory.house.areas import DESK, HELPER, Area, Way
from inventory.valuation.archived import SPECS
from inventory.valuation.lists_out import LISTS
from inventory.valuation.queries.evidence import of_set_model, of_type
from inventory.valuation.queries.promises import of_thing

AREA = Area(
    "Valuation",
    urls="inventory.valuation.urls",
    ways=(
        Way(
            "Prices",
            "valuation:prices",
            DESK,
            "Sales and offers noted here, the evidence for every estimate.",
            30,
            ("evidence", "note"),
        ),
        Way("What one is worth", "valuation:estimate", DESK, "A type, model or unit, with every sale it rests on.", 32),
        Way(
            "What the collection is worth",
            "valuation:collection",
            DESK,
            "Thing by thing and by building.",
            34,
            whole=True,
            role=HELPER,
        ),
        Way(
            "Appraisals",
            "valuation:appraisals",
            DESK,
            "Frozen with all that went into them.",
            36,
            ("appraisal",),
            role=HELPER,
        ),
        Way(
            "Sales",
            "valuation:sales",
            DESK,
            "Lots, their reserves and what they fetched.",
            38,
            ("sale", "lot", "api-sale"),
        ),
        Way(
            "Whom to ask",
            "valuation:asking",
            DESK,
            "People who know, and what is promised to whom.",
            40,
            ("contact", "promise"),
            role=HELPER,
        ),
    ),
    archive=SPECS,
    lists=LISTS,
    panels={"tubes.tubetype": of_type, "sets.setmodel": of_set_model, "holdings.item": of_thing},
)
