"""Why a finding about the reference rows stands: it was looked at, and no row is to be changed for it.

What holds of all findings of a sort is told by rule; what was looked up for one of them stands beside its figure. A
finding without a word here has not been looked at yet. What is said of single tubes is from memory.
"""

from collections.abc import Mapping
from types import MappingProxyType

ANOTHER = "Its base or heater is another: a tube of some other maker bears that number. Nothing is taken from the row."
DENIED = "The words of its mark tell of another tube. Nothing is taken from the row."
RECALLED = "Recalls differ, no text was found, and the tables say nothing: nothing rests on it until a text settles it."
IN_DOUBT = "Recalls differ and no text was found: what the tables say stands, in doubt, until a text settles it."
OWN = "Your own figure stands; that of the tables is kept beside it."
UNNAMED = "No row explains the mark: nothing rests on it."

_HANDBOOK: Mapping[tuple[str, str], str] = MappingProxyType({
    ("12AT6", "heater_v"): "Its number promises 12.6 V; the 6.3 V are those of the 6AT6, the same tube but for its "
    "heater.",
    ("20", "heater_v"): "The tester sets 3 V for 3.3 V; the rule lets 6 % pass, this is 9 %.",
    ("2E30", "heater_v"): "Its filament has a middle: 6 V in series, 3 V side by side, as the tester wires it.",
    ("1291", "base"): "Pins, heater and test are those of the 3B7, a loctal, in its own row: the base is a slip.",
    ("6PL12", "kind"): "Both its rows are called pentodes; their pins and tests are those of the 6BM8's two systems.",
    ("HK90", "heater_v"): "Pins are those of the 12BE6, the volts those of the 6BE6, the same tube but for its heater.",
    ("49", "kind"): "It has two grids and is tested with both tied, as a triode.",
})  # fmt: skip
_IMPLAUSIBLE: Mapping[str, str] = MappingProxyType({
    "9D2": "A number of a British maker, whose first figure tells no volts.",
    "12E1": "A number of a British maker, whose first figures tell no volts.",
    "DH63": "A number of a British maker, whose first letter tells no volts.",
})  # fmt: skip
_MARKS: Mapping[frozenset[str], str] = MappingProxyType({
    frozenset({"801", "801A"}): "One VT number was given to both: the reading gives both and chooses none; a row "
    "tells them apart, so neither counts as the other.",
})  # fmt: skip


def why_handbook(name: str, field: str, other_tube: bool) -> str:
    """Why a row of the handbook may say otherwise. ``other_tube``: whether it is of another tube of that number."""
    return _HANDBOOK.get((name, field)) or (ANOTHER if other_tube else "")


def why_implausible(types: tuple[str, ...]) -> str:
    """Why a figure may break a rule of plausibility."""
    return _IMPLAUSIBLE.get(types[0], "")


def why_marks(types: tuple[str, ...]) -> str:
    """Why rows of marks may contradict each other."""
    return _MARKS.get(frozenset(types), "")
