"""Where in a circuit a part sits, and what that asks of it. A new place is a row.

Across the mains class X, from the mains to the chassis or over an isolation class Y: IEC 60384-14 (class meanings:
J. Crabb, emc-pstc list, msg09293). What the dielectric of a tuned circuit, a coupling or a filter must be, and how far
a value may be off where nothing is said: common practice, no source.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

X, Y = "X", "Y"
TUNING = "its capacitance moves with temperature, voltage and age, and its losses are high"
MAINS = (
    "Mains voltage: a wrong part here can kill or burn. Unplug first, and leave it to somebody licensed for such work "
    "where local rules say so."
)
TOUCHES = "Its value sets the current that a person feels who touches the chassis: never a larger one."
STORED = "It holds its charge: discharge it through a resistor, prove it with a meter, then short it."


@dataclass(frozen=True, slots=True)
class PartPlace:
    """A place in a circuit. ``fit``: only these constructions may sit there (empty: any); ``unfit``: these may not, and
    why; ``care``: these may, and what to mind. ``slack_pct``: how far a value may be off where nothing is said.
    ``safety``: the class that it must be of; ``alternating``: alternating current is on it.
    """

    key: str
    words: tuple[str, ...]
    kind: str = "capacitor"
    slack_pct: float = 20.0
    fit: tuple[str, ...] = ()
    unfit: Mapping[str, str] = field(default_factory=dict)
    care: Mapping[str, str] = field(default_factory=dict)
    safety: str = ""
    cautions: tuple[str, ...] = ()
    alternating: bool = False


POLARIZED = "it is polarized and leaks: here it would be spoiled, or spoil the bias"
_POLARIZED = dict.fromkeys(("electrolytic", "tantalum"), POLARIZED)

PART_PLACES = (
    PartPlace(
        "across the mains", ("across the mains", "across the line", "line to line", "mains filter", "line filter",
        "across mains", "X capacitor", "across the primary", "across primary", "mains primary"),
        safety=X, cautions=(MAINS,), alternating=True,
    ),
    PartPlace(
        "mains to chassis", ("mains to chassis", "line to chassis", "mains-chassis", "line to ground", "line to earth",
        "mains to earth", "mains to ground", "line bypass", "mains bypass", "Y capacitor", "antenna isolation",
        "aerial isolation", "isolation", "primary to chassis", "line cord", "mains lead"), safety=Y, alternating=True,
        cautions=(MAINS, TOUCHES),
    ),
    PartPlace(
        "tuned circuit", ("tuned circuit", "tuned", "tank", "tank circuit", "padder", "trimmer", "oscillator",
        "if transformer", "neutralizing", "neutralization"), slack_pct=5.0,
        fit=("mica", "silvered mica", "NP0 ceramic", "air", "vacuum", "glass", "polystyrene"),
        care={"polystyrene": "heat of soldering and of the set ruins it, and its capacitance falls as it warms"},
        unfit={
            "ceramic": "only ceramic that is known to be NP0 keeps its capacitance with temperature",
            **dict.fromkeys(("paper", "paper in oil", "polyester", "polypropylene", *_POLARIZED), TUNING),
        },
    ),
    PartPlace(
        "cathode bypass", ("cathode bypass", "cathode by-pass"), slack_pct=50.0,
    ),
    PartPlace(
        "bypass", ("bypass", "by-pass", "decoupling", "screen bypass", "plate bypass", "rf bypass"),
        unfit=_POLARIZED,
    ),
    PartPlace(
        "coupling", ("coupling", "blocking", "grid coupling", "interstage", "plate blocking"), unfit=_POLARIZED,
        care={
            "paper": "leakage lifts the next grid and can lose the tube",
            "paper in oil": "leakage lifts the next grid and can lose the tube",
        },
    ),
    PartPlace(
        "filter", ("filter", "smoothing", "reservoir", "power supply filter", "input capacitor"), cautions=(STORED,),
    ),
    PartPlace(
        "buffer", ("buffer", "vibrator buffer", "timing capacitor"), slack_pct=10.0,
        unfit={
            **_POLARIZED,
            "ceramic": "its capacitance falls with voltage, and the buffer must have its value",
        },
        cautions=("A buffer of another value burns vibrator contacts; its peaks are far above the plate supply.",),
    ),
    PartPlace(
        "motor capacitor", ("motor run", "motor-run", "motor start", "motor-start", "motor capacitor", "run capacitor",
        "start capacitor", "power factor correction"), slack_pct=10.0,
        cautions=(MAINS, STORED), alternating=True,
    ),
    PartPlace("grid leak", ("grid leak", "grid resistor"), "resistor"),
    PartPlace("plate load", ("plate load", "plate resistor", "anode load"), "resistor", 10.0),
    PartPlace("cathode", ("cathode resistor", "bias resistor", "cathode"), "resistor", 10.0),
    PartPlace("dropping", ("dropping", "dropper", "screen dropping", "screen resistor"), "resistor", 10.0),
    PartPlace(
        "bleeder", ("bleeder",), "resistor",
        cautions=("A bleeder that opens gives no sign and leaves the charge: keep it well under its rating.",),
    ),
    PartPlace(
        "multiplier", ("multiplier", "meter multiplier", "shunt", "meter shunt"), "resistor", 1.0,
    ),
)  # fmt: skip
#: Where no place is said. Resistors more than about 10 % off are changed (radiobanter.com/445871-post7.html).
ANYWHERE = PartPlace("", (), "", 10.0)

_NAMES = sorted(((word, place) for place in PART_PLACES for word in place.words), key=lambda one: -len(one[0]))


def place_in(kind: str, text: str) -> tuple[PartPlace | None, str]:
    """The place of a part of a kind that a text names, by its longest word, and the text without it; or None."""
    for word, place in _NAMES:
        if place.kind == kind and (match := re.search(rf"(?<![\w-]){re.escape(word)}(?![\w-])", text, re.IGNORECASE)):
            return place, text[: match.start()] + " " + text[match.end() :]
    return None, text
