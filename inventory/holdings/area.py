"""What the house must know of this area."""

from datetime import date

from inventory.holdings.archived import SPECS
from inventory.holdings.lists_out import LISTS
from inventory.holdings.queries.conditions import looks_due
from inventory.holdings.queries.loans import loans_due
from inventory.holdings.queries.search import search
from inventory.holdings.queries.type_hazards import hazards_panel
from inventory.holdings.wording import first_page as told
from inventory.house.areas import Area, Kind, Section, Way


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
        Way("Tubes", "holdings:tube-list", 30),
        Way("Parts", "holdings:part-list", 35, names="part"),
        Way("Places", "holdings:place-list", 40, names="place"),
        Way("Hazards", "holdings:hazard-list", 45, names="hazard"),
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
