"""What the column of kinds says of a part: it becomes its name, and where no value is its kind."""

from typing import Any

from inventory.holdings.rules.part_kinds import KINDS
from inventory.holdings.rules.part_text import PartTextFault, kind_named, read_part


def with_sort(name: str, value: str, sort: str) -> tuple[str, str, str]:
    """Name, value and a line for the note of a part that a list describes by ``name`` and calls a ``sort``.

    What names no kind of part, such as a drawer of the keeper's, goes to the note.
    """
    if not sort or sort.casefold() in name.casefold():
        return name, value, ""
    if not kind_named(sort):
        return name, value, f"kind: {sort}"
    return (f"{sort}, {name}", value, "") if value else (sort, name, "")


def columns_by_sort(name: str, value: str, sort: str) -> dict[str, Any]:
    """The columns of the kind of a part that has no value to go by: a relay, a meter, a dynamotor, by its words.

    Empty where the list does not say it in a column of kinds: words elsewhere may be of another thing.
    """
    kind = kind_named(sort)
    if not kind or KINDS[kind].unit:
        return {}
    try:
        told = read_part(f"{name} {value}")
    except PartTextFault:
        told = None
    if told is None or told.figures.kind != kind:
        return {"kind": kind, "words": (value or name)[:120]}
    words = " ".join((*told.left, *(["AC"] if told.alternating else [])))
    ratings = {name: getattr(told.figures, name) for name in ("volts", "watts", "amps")}
    return {"kind": kind, "words": (words or value or name)[:120], **ratings}
