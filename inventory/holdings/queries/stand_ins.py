"""The curated stand-ins, as ``fixtures/reference`` tells them; no row of the database is asked."""

import csv
from functools import cache

from django.conf import settings

from inventory.holdings.rules.part_kinds import PartFigures, kinds_alike
from inventory.holdings.rules.part_text import kind_named
from inventory.holdings.rules.stand_ins import StandIn, named_by, read_stand_ins
from inventory.house.words_on_parts import WordOnPart, words_on_parts


@cache
def stand_in_table() -> tuple[StandIn, ...]:
    """Every curated stand-in. Raises ValueError naming the row that is damaged."""
    return read_stand_ins(_rows("stand_ins.csv"), _rows("stand_in_sources.csv"))


def stand_ins_for(figures: PartFigures, text: str = "") -> tuple[StandIn, ...]:
    """What may serve in the place of a part of such figures, where its kind or the words on it say so."""
    return named_by(stand_in_table(), figures.kind, f"{figures.construction} {text}")


def own_words_on(figures: PartFigures, text: str) -> tuple[WordOnPart, ...]:
    """The keeper's own words on parts of any set model that are of such a kind: by the general entry that they follow,
    by the kind that their part is called by, or by a circuit mark that the text names: these first.
    """
    general = {one.key for one in stand_ins_for(figures, text)}
    alike = kinds_alike(figures.kind)
    said = {word.casefold() for word in text.split()}
    found = (
        one for one in words_on_parts()
        if one.general in general or kind_named(one.part) in alike or said & set(_marks(one.part))
    )  # fmt: skip
    return tuple(sorted(found, key=lambda one: not said & set(_marks(one.part))))


def _marks(part: str) -> list[str]:
    return [word.casefold() for word in part.split() if any(map(str.isdigit, word)) and word[0].isalpha()]


def _rows(name: str) -> list[dict[str, str]]:
    with (settings.REFERENCE_DIR / name).open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))
