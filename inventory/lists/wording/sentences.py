"""What came of a list, in words."""

from collections.abc import Mapping, Sequence

from inventory.holdings.models import Item
from inventory.lists.rules import fields as f
from inventory.lists.rules.columns import ColumnTold

_ONE_AND_MORE = {
    f.TUBES: ("tube", "tubes"),
    f.PARTS: ("lot of parts", "lots of parts"),
    f.CHASSIS: ("chassis", "chassis"),
    f.UNITS: ("plug-in unit", "plug-in units"),
    f.COMPANIONS: ("companion", "companions"),
    f.OTHERS: ("other thing", "other things"),
}

_KIND_OF = {
    Item.TUBE: f.TUBES, Item.PARTS: f.PARTS, Item.CHASSIS: f.CHASSIS, Item.UNIT: f.UNITS,
    Item.COMPANION: f.COMPANIONS,
}  # fmt: skip


def tags_told(tags: Sequence[str]) -> str:
    """Tags in a message: the first and the last of many."""
    return ", ".join(tags) if len(tags) <= 5 else f"{tags[0]} to {tags[-1]}, {len(tags)} in all"


def rows_in_words(count: int) -> str:
    return "1 row" if count == 1 else f"{count} rows"


def things_in_words(records: Mapping[str, int]) -> str:
    """25 tubes, 1 chassis, 1 plug-in unit; "" for none. ``records``: how many of each kind."""
    named = [(count, _ONE_AND_MORE[kind]) for kind, count in records.items() if count and kind in _ONE_AND_MORE]
    return ", ".join(f"{count} {one if count == 1 else more}" for count, (one, more) in named)


def columns_in_words(columns: Sequence[ColumnTold]) -> str:
    """Which columns nothing was read from, and why; "" where there is none."""
    named = [f"{one.column!r} ({one.reason})" for one in columns if one.is_text]
    return f"Kept as text, nothing read from it: {'; '.join(named)}." if named else ""


def undone_in_words(undone: Mapping[str, int]) -> str:
    """What left the register with an undone list: things by their kind, and apart from them the facts told of them."""
    things = things_in_words({_KIND_OF[kind]: count for kind, count in undone.items() if kind in _KIND_OF}) or "nothing"
    facts = undone.get("facts", 0)
    return f"{things}, with {facts} fact{'' if facts == 1 else 's'} told of them" if facts else things
