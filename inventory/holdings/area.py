"""What the house must know of this area."""

from datetime import date

from inventory.holdings.archived import SPECS
from inventory.holdings.lists_out import LISTS
from inventory.holdings.queries.conditions import looks_due
from inventory.holdings.queries.loans import loans_due
from inventory.holdings.queries.search import search
from inventory.holdings.queries.type_hazards import hazards_panel
from inventory.holdings.wording import first_page as told
from inventory.house.areas import BENCH, HELPER, PLACES, REFERENCE, TODAY, TUBES, VISITOR, Area, Kind, Section, Way


def needs_hand(on: date) -> tuple[Section, ...]:
    """Loans, and things to be looked at again, that are overdue or due within a fortnight."""
    return (
        Section(
            "Loans due", "holdings/loans_section.html", loans_due(on),
            told.loans_heading, told.loans_in_lines, "loans_due", told.loans_as_json,
        ),
        Section(
            "Look again", "holdings/looks_section.html", looks_due(on),
            told.looks_heading, told.looks_in_lines, "looks_due", told.looks_as_json,
        ),
    )  # fmt: skip


AREA = Area(
    "Holdings",
    urls="inventory.holdings.urls",
    ways=(
        Way(
            "Tubes",
            "holdings:tube-list",
            TUBES,
            "Every tube: type, state, place, hours; narrowed, ordered, grouped.",
            10,
            ("tube", "view"),
            whole=True,
        ),
        Way("Add tubes", "holdings:tube-add", TUBES, "One stamp, one or many tubes.", 12, role=HELPER),
        Way(
            "Shelf session",
            "holdings:shelf",
            TUBES,
            "A shelf from left to right, one line a tube.",
            14,
            ("shelf",),
            role=HELPER,
        ),
        Way(
            "Stamps from a photograph",
            "holdings:stamp-photo",
            TUBES,
            "A picture of tubes or cartons, each reading yours to confirm.",
            16,
            role=HELPER,
        ),
        Way("Want list", "holdings:want-list", TUBES, "What is looked for, and what it may cost.", 20, ("want",)),
        Way(
            "Part lots",
            "holdings:part-list",
            TUBES,
            "Resistors, capacitors, crystals and the rest, by value and rating.",
            60,
            ("part",),
        ),
        Way(
            "A replacement from stock",
            "holdings:part-find",
            TUBES,
            "A part in words, and what here can stand in for it.",
            62,
            ("api-find",),
        ),
        Way("Stand-ins", "holdings:part-stand-ins", TUBES, "What does the work of parts that are not to be had.", 64),
        Way("Read a marking", "holdings:part-marking", BENCH, "Colours, dots and codes on parts and wires.", 60),
        Way(
            "Places", "holdings:place-list", PLACES, "Rooms, shelves and boxes, and what lies in each.", 10, ("place",)
        ),
        Way(
            "Scan a label",
            "holdings:label-scan",
            TODAY,
            "By the camera or a photograph: opens what it stands for.",
            40,
            role=VISITOR,
        ),
        Way(
            "Move several things",
            "holdings:things-move",
            PLACES,
            "From anywhere into one place.",
            12,
            ("things", "item"),
            role=HELPER,
        ),
        Way(
            "Stock-takes",
            "holdings:place-counts",
            PLACES,
            "What should lie there against what does.",
            20,
            ("place-count",),
        ),
        Way(
            "Labels",
            "holdings:label-sheet",
            PLACES,
            "On common sheets, with a code that opens the page.",
            30,
            role=VISITOR,
        ),
        Way(
            "Box lists",
            "holdings:place-lists",
            PLACES,
            "What lies in a box, on paper; which of them to print again.",
            32,
            ("place-contents",),
        ),
        Way(
            "Loans",
            "holdings:loan-list",
            PLACES,
            "What is out, what is here from others, and until when.",
            40,
            ("loan",),
        ),
        Way(
            "Hazards",
            "holdings:hazard-list",
            PLACES,
            "Radium, mercury, oil and the rest: where, how sure, what to do.",
            50,
            ("hazard",),
        ),
        Way(
            "Figures for hazards",
            "holdings:hazard-figures",
            PLACES,
            "Stored charge, fields of an antenna, what one person may lift.",
            52,
        ),
        Way(
            "Kinds of parts",
            "holdings:part-types",
            REFERENCE,
            "By value and rating, as lots and plans name them.",
            60,
            ("part-type",),
        ),
    ),
    kinds=(
        Kind("tube", "tube", "T", "tube", "holdings:tube", ("tube__type",), 10, told="marked"),
        Kind("parts", "part lot", "P", "partlot", "holdings:part", ("partlot__type",), 50),
    ),
    needs_hand=needs_hand,
    archive=SPECS,
    lists=LISTS,
    search=search,
    panels={"tubes.tubetype": hazards_panel},
)
