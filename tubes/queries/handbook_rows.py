"""The rows of the handbook of tests."""

from typing import Any

from tubes.models import HandbookRow
from tubes.queries.keeping import kept
from tubes.rules.handbook import BookRow, Handbook, parse_test_pins

_CELLS = (
    "type", "system", "electrodes", "base", "pins_as_tested", "cap", "heater_v", "test_plate_v", "test_grid_v",
    "test_screen_v", "test_plate_ma", "test_gm_umho", "remarks", "source__key", "of_another",
)  # fmt: skip


def _row(cells: tuple[Any, ...]) -> BookRow:
    name, system, electrodes, base, pins, cap, *rest = cells
    return BookRow(name, system, electrodes, base, parse_test_pins(pins), tuple(cap.split()), *rest)


def handbook() -> Handbook:
    """All rows of the handbook (one query, kept until a row of tube knowledge changes)."""
    return kept("handbook", lambda: Handbook(map(_row, HandbookRow.objects.values_list(*_CELLS))))
