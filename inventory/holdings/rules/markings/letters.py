"""Tolerance letters, shared by letter codes and type designations."""

from decimal import Decimal

from inventory.holdings.rules.markings.answers import MarkingFault, listed
from inventory.holdings.rules.markings.tables import MarkingTables


def tolerance_of(letter: str, tables: MarkingTables) -> tuple[Decimal | None, tuple[str, ...], str]:
    """Per cent, remarks and source of a tolerance letter. Raises MarkingFault."""
    found = tables.letter("tolerance", letter.upper())
    if not found:
        known = listed([key for use, key in tables.letters if use == "tolerance"])
        raise MarkingFault(f"{letter!r} is no tolerance letter; expected {known}")
    one = found[0]
    return one.per_cent, (f"Tolerance {one.note}",) if one.note else (), one.source


def counted(code: str) -> Decimal:
    """Figures and a number of zeros: 103 is 10000; with R for the point: 4R7. The rest must be figures."""
    if "R" in code:
        return Decimal(code.replace("R", "."))
    return Decimal(code[:-1]).scaleb(int(code[-1]))
