"""What the house must know of this area."""

from datetime import date

from inventory.house.areas import BENCH, HELPER, SETS, TODAY, TUBES, Area, Section, Way
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
    ways=(
        Way("Hours and tests", "running:home", BENCH, "What runs, what was tested, what is due.", 10, whole=True),
        Way("Test session", "running:session", BENCH, "One tube after another on one instrument.", 12, role=HELPER),
        Way("Tests", "running:test-list", BENCH, "Every reading, with its instrument and its word.", 14, ("test",)),
        Way(
            "Instruments",
            "running:instrument-list",
            BENCH,
            "Testers and meters, their checks and minimums.",
            16,
            ("instrument", "minimum"),
        ),
        Way(
            "Hours of tubes",
            "running:hours-list",
            TUBES,
            "Filament hours and starts, and how sure they are.",
            30,
            ("earlier", "hours"),
        ),
        Way(
            "Matched pairs and quads",
            "running:matching",
            TUBES,
            "By readings of one instrument that compare.",
            40,
            ("match",),
        ),
        Way("How long they last", "running:survival", TUBES, "Life here, from failures and those that still run.", 45),
        Way(
            "Hours of sets",
            "running:chassis-list",
            SETS,
            "Run log and meters, and where they part.",
            50,
            ("chassis", "run", "meter", "reading"),
        ),
        Way(
            "Recurring work",
            "running:schedules",
            TODAY,
            "Tests and care by the calendar, and when each is due.",
            60,
            ("schedules", "care"),
        ),
    ),
    needs_hand=needs_hand,
    archive=SPECS,
    search=search,
)
