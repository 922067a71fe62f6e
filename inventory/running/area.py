"""What the house must know of this area."""

from datetime import date

from inventory.house.areas import Area, Section, Way
from inventory.running.archived import SPECS
from inventory.running.queries import due_and_apart
from inventory.running.queries.search import search


def needs_hand(on: date) -> tuple[Section, ...]:
    """Tests and care that fall due within a month; sets whose log and meter are apart."""
    care, apart = due_and_apart(on)
    return (
        Section(
            "Tests and care due", "running/care_section.html", care,
            f"Tests and care due within a month: {len(care)}",
            [f"{line.due.thing}: {line.due.what}, {line.due.when}; {line.due.why}" for line in care],
        ),
        Section(
            "Log and meter apart", "running/apart_section.html", apart,
            f"Log and meter apart: {len(apart)} {'set' if len(apart) == 1 else 'sets'}",
            [
                f"{one.chassis}: {a.percent:.1f} % ({a.log_h:.1f} h by the log, {a.meter_h:.1f} h by {a.name})"
                for one in apart for a in one.flagged
            ],
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
