"""What came of a list, in words."""

from collections.abc import Mapping

from inventory.holdings.rules import fields as f

_ONE_AND_MORE = {
    f.TUBES: ("tube", "tubes"),
    f.PARTS: ("lot of parts", "lots of parts"),
    f.CHASSIS: ("chassis", "chassis"),
    f.UNITS: ("plug-in unit", "plug-in units"),
    f.COMPANIONS: ("companion", "companions"),
    f.OTHERS: ("other thing", "other things"),
}


def rows_in_words(count: int) -> str:
    return "1 row" if count == 1 else f"{count} rows"


def things_in_words(records: Mapping[str, int]) -> str:
    """25 tubes, 1 chassis, 1 plug-in unit; "" for none. ``records``: how many of each kind."""
    named = [(count, _ONE_AND_MORE[kind]) for kind, count in records.items() if count and kind in _ONE_AND_MORE]
    return ", ".join(f"{count} {one if count == 1 else more}" for count, (one, more) in named)
