"""The curated stand-ins, as ``fixtures/reference`` tells them; no row of the database is asked."""

import csv
from functools import cache

from django.conf import settings

from inventory.holdings.rules.part_kinds import PartFigures
from inventory.holdings.rules.stand_ins import StandIn, named_by, read_stand_ins


@cache
def stand_in_table() -> tuple[StandIn, ...]:
    """Every curated stand-in. Raises ValueError naming the row that is damaged."""
    return read_stand_ins(_rows("stand_ins.csv"), _rows("stand_in_sources.csv"))


def stand_ins_for(figures: PartFigures, text: str = "") -> tuple[StandIn, ...]:
    """What may serve in the place of a part of such figures, where its kind or the words on it say so."""
    return named_by(stand_in_table(), figures.kind, f"{figures.construction} {text}")


def _rows(name: str) -> list[dict[str, str]]:
    with (settings.REFERENCE_DIR / name).open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))
