"""What was read from a row as plain facts and words: what has no column of its own is kept, never dropped."""

from collections.abc import Iterable
from typing import Any

from inventory.holdings.rules.dates import DAY, DateReading
from inventory.lists.rules.fields import OTHERS, PARTS, TUBES
from inventory.lists.rules.quantities import AT_LEAST, AT_MOST, COUNTED, RANGE, UNKNOWN, Quantity
from inventory.lists.rules.rows import RowReading

LONGEST_MAKER = 80  # letters, of tubes and of parts


def facts_of(found: RowReading) -> dict[str, Any]:
    """What was read from a row and has neither a column nor a ``Fact`` of its own, ready for JSON.

    A tube has a column for its mark, other things for their model.
    """
    beside = ("model", found.model) if found.kind == TUBES else ("mark", found.mark)
    facts: dict[str, Any] = {
        "number": found.number,
        "wanted": _quantity(found.wanted),
        "quantity": _quantity(found.quantity),
        "for_set": found.for_set,
        "mate": {"serial": found.mate_serial, "text": found.mate_text} if found.mate_text else None,
        "places": list(found.places) if len(found.places) > 1 else None,
        beside[0]: beside[1] if found.mark != found.model else "",
    }
    return {name: value for name, value in facts.items() if value} | dict(found.register)


def _quantity(count: Quantity | None) -> dict[str, Any] | None:
    if count is None or (count.kind == COUNTED and not count.text.strip()):
        return None
    kept = {"text": count.text, "kind": count.kind, "figure": count.figure, "least": count.least, "most": count.most}
    bare = {name: value for name, value in kept.items() if value is not None}
    return bare | _filled({"duds": count.duds, "pair": count.pair})


def _filled(kept: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in kept.items() if value not in (None, "", False, 0)}


def exact_day(found: DateReading | None) -> Any:
    """The day of a date that is written to the day and sure; else None."""
    return found.first if found and found.precision == DAY and found.sure else None


def lines(*texts: str) -> str:
    """Texts one a line, each once, the empty ones left out."""
    return "\n".join(dict.fromkeys(text.strip() for text in texts if text and text.strip()))


def kept_lines(kept: Iterable[tuple[str, str]]) -> str:
    """Cells without a field as lines ``heading: cell``."""
    return "\n".join(f"{heading}: {' '.join(cell.split())}" for heading, cell in kept)


def hazards_of(found: RowReading) -> list[tuple[str, str]]:
    """(hazard, reason) of every mark that the words of the row propose, each hazard once."""
    marks: dict[str, str] = {}
    for hazard in found.hazards:
        marks[hazard.mark] = "; ".join(filter(None, (marks.get(hazard.mark, ""), hazard.reason)))[:200]
    return list(marks.items())


def note_of(found: RowReading, *, mate: bool = False) -> str:
    """The note of a thing: the words of the row, and every cell that no column took."""
    return lines(
        found.note,
        f"mate: {found.mate_text}" if mate and found.mate_text and not found.own else "",
        f"for: {found.for_set}" if found.for_set and not found.own else "",
        f"place by the list: {found.place_text}" if len(found.places) > 1 else "",
        kept_lines(found.kept),
    )


def making_of(found: RowReading) -> str:
    """Maker and date code of a thing whose record has no column for them."""
    in_column = found.kind in (PARTS, OTHERS) and len(found.maker) <= LONGEST_MAKER
    return lines(
        f"maker: {found.maker}" if found.maker and not in_column else "",
        f"date code: {found.date_code}" if found.date_code else "",
    )


def fitting_texts(found: RowReading, most: dict[str, int]) -> dict[str, str]:
    """Texts of a row for columns of so many letters; what is longer is left out here and kept by ``too_long_texts``."""
    texts = {name: getattr(found, name) for name in most}
    return {name: text if len(text) <= most[name] else "" for name, text in texts.items()}


def too_long_texts(found: RowReading, most: dict[str, int]) -> str:
    texts = {name: getattr(found, name) for name in most}
    return lines(*(f"{name.replace('_', ' ')}: {t}" for name, t in texts.items() if len(t) > most[name]))


def part_bounds(kind: str, figure: int | None, least: int | None, most: int | None) -> tuple[int | None, int | None]:
    """(least, most) of a part lot; duds are counted beside it."""
    if kind in (UNKNOWN, RANGE):
        return least, most
    if kind == AT_MOST:
        return None, most
    return figure, None if kind == AT_LEAST else figure
