"""What a mark on a part means, by the tables of ``fixtures/reference``; no row of the database is asked."""

import csv
from functools import cache

from django.conf import settings

from inventory.holdings.rules.markings import MarkingTables, decode
from inventory.holdings.rules.markings.decode import Decoded
from inventory.holdings.rules.markings.tables import read_tables


@cache
def marking_tables() -> MarkingTables:
    """Colours, letters, styles and gauges with their sources. Raises ValueError naming the row that is damaged."""
    names = ("marking_colours", "marking_colour_words", "marking_letters", "marking_styles", "wire_gauges")
    return read_tables(*(_rows(f"{name}.csv") for name in (*names, "marking_sources")))


def read_marking(text: str, kind: str | None = None) -> Decoded:
    """All readings of what is marked on a part; ``kind``: in that kind of marking alone. Raises ValueError."""
    return decode(text, marking_tables(), kind)


def _rows(name: str) -> list[dict[str, str]]:
    with (settings.REFERENCE_DIR / name).open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))
