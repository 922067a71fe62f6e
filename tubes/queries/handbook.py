"""What the handbook of tests tells of types, and where it contradicts the tables."""

from dataclasses import asdict
from typing import Any

from tubes.models import HandbookRow
from tubes.queries.judging import Court, court
from tubes.queries.keeping import kept
from tubes.rules.explained import why_handbook
from tubes.rules.figures import TypeFigures
from tubes.rules.handbook import BookRow, Handbook, Told, parse_test_pins

_CELLS = (
    "type", "system", "electrodes", "base", "pins_as_tested", "cap", "heater_v", "test_plate_v", "test_grid_v",
    "test_screen_v", "test_plate_ma", "test_gm_umho", "remarks", "source__key",
)  # fmt: skip


def _row(cells: tuple[Any, ...]) -> BookRow:
    name, system, electrodes, base, pins, cap, *rest = cells
    return BookRow(name, system, electrodes, base, parse_test_pins(pins), tuple(cap.split()), *rest)


def handbook() -> Handbook:
    """All rows of the handbook (one query, kept until a row of tube knowledge changes)."""
    return kept("handbook", lambda: Handbook(map(_row, HandbookRow.objects.values_list(*_CELLS))))


def handbook_of(name: str, judges: Court | None = None) -> Told:
    """What the handbook tells of one type, by the figures of the type's own or of the same tube."""
    judges = judges or court()
    return _told(handbook(), judges, judges[name])


def _told(book: Handbook, judges: Court, figures: TypeFigures) -> Told:
    return book.told(figures, judges.basings.get(figures.word("basing")))


def contradictions() -> list[dict[str, object]]:
    """Figures of the tables that a row of the handbook contradicts, or that make the row one of another tube."""
    judges, book = court(), handbook()
    found: list[dict[str, object]] = []
    for name in sorted(judges.figures):
        figures = judges.figures[name]
        if not figures.borrows:  # what was taken from another type is told of that one
            told = _told(book, judges, figures)
            other = bool(told.others)
            against = [one for one in told.said if not one.agrees]
            found += [asdict(one) | {"why": why_handbook(name, one.field, other)} for one in against]
    return found
