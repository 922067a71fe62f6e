"""Columns that hold the values and ratings of parts, known by their cells: Value is else what a thing is worth.

Heading words: common practice, no source.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from inventory.holdings.rules.part_text import sorts_in
from inventory.lists.rules import fields as f

if TYPE_CHECKING:
    from inventory.lists.rules.headings import Proposal

#: Folded headings under which values of parts may stand; those of the second row may stand beside such a column.
_VALUE = frozenset("value values rating ratings wert werte waarde waarden valeur valeurs".split())
_BESIDE = frozenset(
    "voltage volts tolerance tol wattage watts power current spannung toleranz leistung belastbarkeit tension "
    "puissance spanning tolerantie vermogen".split()
)
_OF_PARTS = frozenset({"value"})
_RATED = frozenset({"value", "volts", "ac", "watts", "amps"})
SHARE = 0.5  # of the cells


def of_values(found: list["Proposal"], folded: Sequence[str], columns: Sequence[Sequence[str]]) -> list["Proposal"]:
    """The same proposals, where a column of values is one; ``folded``: the headings, ``columns``: the cells of each.

    Under a heading that else tells of readings there must stand values that no reading has: ohms, farads, henries.
    """
    at_hand = [
        at for at, one in enumerate(found)
        if one.field in (f.INSURED, f.OTHER, f.READING) and _is_one_of(folded[at], _VALUE)
        and _share(columns[at], _OF_PARTS if one.field == f.READING else _RATED) >= SHARE
    ]  # fmt: skip
    if not at_hand:
        return found
    at_hand += [
        at for at, one in enumerate(found)
        if one.field in (f.OTHER, f.READING) and _is_one_of(folded[at].removeprefix("working "), _BESIDE)
        and _share(columns[at], _RATED | {"percent"}) >= SHARE
    ]  # fmt: skip
    told = list(found)
    for at in dict.fromkeys(at_hand):
        share = _share(columns[at], _RATED | {"percent"})
        reason = f"the heading says {found[at].heading!r}, and {share:.0%} of the cells are values of parts"
        told[at] = replace(found[at], field=f.VALUE, reason=reason, sure=share == 1.0, unit="")
    return told


def _is_one_of(heading: str, words: frozenset[str]) -> bool:
    parts = [part.strip() for part in heading.replace("&", "/").split("/")]
    return all(part in words for part in parts)


def _share(cells: Sequence[str], sorts: frozenset[str]) -> float:
    return sum(bool(sorts & sorts_in(cell)) for cell in cells) / len(cells) if cells else 0.0
