"""What the house must know of this area."""

from datetime import date

from inventory.house.areas import Area, Section, Way
from inventory.running.archived import SPECS
from inventory.running.queries import due_and_apart
from inventory.running.queries.search import search
from inventory.running.wording import first_page as told


def needs_hand(on: date) -> tuple[Section, ...]:
    """Tests and care that fall due within a month; sets whose log and meter are apart."""
    care, apart = due_and_apart(on)
    return (
        Section(
            "Tests and care due", "running/care_section.html", care,
            told.due_heading, told.due_in_lines, "care_due", told.due_as_json,
        ),
        Section(
            "Log and meter apart", "running/apart_section.html", apart,
            told.apart_heading, told.apart_in_lines, "log_and_meter_apart", told.apart_as_json,
        ),
    )  # fmt: skip


AREA = Area(
    "Running",
    urls="inventory.running.urls",
    ways=(Way("Hours and tests", "running:home", 80),),
    needs_hand=needs_hand,
    archive=SPECS,
    search=search,
)
