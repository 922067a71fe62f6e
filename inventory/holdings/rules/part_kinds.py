"""Kinds of parts and what is known of each as figures; whether one may stand for another as far as figures go.

A new kind is a row of ``PART_KINDS``. A value is one number in the unit of its kind. A part in stock serves where it is
of the kind, its value lies within the tolerance that is wanted, and no rating is lower (common practice, no source).
"""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

from inventory.holdings.rules.part_sections import sections_in
from inventory.holdings.rules.part_values import POINTED, in_full
from tubes.rules.units import UnitFault, parse_quantity

RELATIVE_SLIP = 1e-9  # two figures that differ by less are one
WORKS_UP_TO = 1.2  # how many times the voltage that is asked may be what a coil is for; common practice, no source


@dataclass(frozen=True, slots=True)
class PartKind:
    """A kind of part: its word, the unit of its value (empty: it has none), how large values are written, and in what
    it is rated. ``single``: such parts have serials, and one is no other. ``works_at``: of its ratings those that are
    no bounds but what it works at: the coil of a relay. ``impedance``: ohms said of it are one figure more, no value.
    """

    key: str
    unit: str = ""
    steps: tuple[tuple[float, str], ...] = ()  # from so much on, in that unit
    ratings: tuple[str, ...] = ()
    single: bool = False
    works_at: tuple[str, ...] = ()
    impedance: bool = False
    same: str = ""  # the kind that it is another word for: one answers for the other


HENRIES = ((0, "uH"), (1e3, "mH"), (1e6, "H"))
PART_KINDS = (
    PartKind("capacitor", "pF", ((1, "pF"), (1e3, "mfd")), ("volts",)),
    PartKind("resistor", "ohm", ((0, "ohm"), (1e3, "kohm"), (1e6, "Mohm")), ("watts", "volts")),
    PartKind("inductor", "uH", HENRIES, ("amps",)),
    PartKind("crystal", "kc", ((0, "kc"),)),
    PartKind("fuse", "A", ((0, "A"),), ("volts",)),
    PartKind("lamp", "V", ((0, "V"),), ("amps", "watts")),
    PartKind("transformer", ratings=("volts", "amps"), impedance=True),
    PartKind("choke", "uH", HENRIES, ("amps", "volts"), same="inductor"),
    PartKind("meter", single=True),
    PartKind("relay", ratings=("volts", "amps"), works_at=("volts",), impedance=True),
    *(PartKind(word, ratings=("volts", "amps")) for word in ("switch", "connector", "socket")),
    PartKind("vibrator", ratings=("volts", "amps"), works_at=("volts",)),
    PartKind("dynamotor", ratings=("volts", "amps"), single=True, works_at=("volts",)),
    PartKind("rectifier", ratings=("volts", "amps")),
    PartKind("microphone", single=True, impedance=True),
    PartKind("headset", impedance=True),
    *(PartKind(word) for word in ("key", "knob", "cable", "hardware", "other")),
)
KINDS = {kind.key: kind for kind in PART_KINDS}
_SAID = {
    "capacitor": ("condenser", "kondensator", "condensateur"), "inductor": ("coil",), "headset": ("headphone",),
    "lamp": ("bulb",),
}  # fmt: skip
#: Words that may end a longer one: Ölkondensator, Papierkondensatoren; what stands before them is left.
_ENDING = {"kondensator": r"kondensator(?:en|s)?(?![\w-])"}
_QUANTITY = re.compile(rf"{POINTED}|(?<![\d.,/])[.,]?\d[\d.,/]*\s*[^\W\d_]+")  # a number with what may be its unit
_SCALE = {"pF": 1.0, "mfd": 1e6, "ohm": 1.0, "kohm": 1e3, "Mohm": 1e6, "uH": 1.0, "mH": 1e3, "H": 1e6}


def kinds_alike(kind: str) -> tuple[str, ...]:
    """The kinds that are one thing by other words, the kind itself among them: a choke is an inductor."""
    first = KINDS[kind].same or kind
    return tuple(one.key for one in PART_KINDS if first in (one.key, one.same))


def a_kind(kind: str) -> str:
    """A kind with its article: a capacitor, an inductor."""
    return f"{'an' if kind[0] in 'aeiou' else 'a'} {kind}"


def kind_choices() -> list[tuple[str, str]]:
    """The kinds as choices of a column; asked late, so that a new one needs no migration."""
    return [(kind.key, kind.key) for kind in PART_KINDS]


@dataclass(frozen=True, slots=True)
class PartFigures:
    """What is known of a part: kind, value in the unit of its kind, tolerance, ratings. None: not known."""

    kind: str
    value: float | None = None
    tolerance_pct: float | None = None
    volts: float | None = None
    watts: float | None = None
    construction: str = ""
    amps: float | None = None
    safety: str = ""  # its class by IEC 60384-14, such as X1 or Y2
    words: str = ""  # what it is where no value says it: 24 V coil, 1/4 in shaft
    marked: str = ""  # its mounting and marking, in which such words may stand as well


RATINGS = {"volts": "V", "watts": "W", "amps": "A"}


def kind_by_value(text: str) -> tuple[str, float]:
    """The kind of part that a value with its unit is of, and the value in the unit of that kind. Raises UnitFault."""
    for kind in ("capacitor", "resistor", "inductor", "crystal"):
        try:
            value = read_value(kind, text)
        except UnitFault as fault:
            if "can mean" in str(fault):
                raise
            continue
        if value is not None:
            return kind, value
    raise UnitFault(f"{text!r} cannot be read; expected a value with its unit, such as 270 ohm, 0.01 mfd or 2.5 mH")


def read_value(kind: str, text: str) -> float | None:
    """A value with its unit, such as 0.01 mfd or 270 kohm, in the unit of the kind; None for an empty text.

    Raises UnitFault.
    """
    if not text.strip():
        return None
    unit = KINDS[kind].unit
    if not unit:
        raise UnitFault(f"{a_kind(kind).capitalize()} has no value here; write what it is in words.")
    value = parse_quantity(in_full(text), unit)
    if value <= 0:
        raise UnitFault(f"{text!r} is no value; expected more than 0, such as 3.6 {unit}")
    return value


def show_value(kind: str, value: float | None) -> str:
    """A value as drawings write it: 0.01 mfd, 270 kohm; empty where none is known."""
    if value is None:
        return ""
    unit = next((unit for least, unit in reversed(KINDS[kind].steps) if value >= least), KINDS[kind].unit)
    return f"{value / _SCALE.get(unit, 1.0):.6g} {unit}"


def falls_short(wanted: PartFigures, offered: PartFigures) -> tuple[str, ...]:
    """In what a part falls short of another, in words; nothing where it may stand for it as far as figures go."""
    return tuple(shortfalls(wanted, offered).values())


def shortfalls(wanted: PartFigures, offered: PartFigures) -> dict[str, str]:
    """As above, by the name of the figure. A figure that is wanted and not known of the part is a shortfall, too."""
    if offered.kind not in kinds_alike(wanted.kind):
        return {"kind": f"{a_kind(offered.kind)}, no {wanted.kind}"}
    told = {}
    if wanted.value is not None and not _within(wanted, offered):
        told["value"] = f"value {show_value(offered.kind, offered.value) or 'not known'}"
    for name, unit in RATINGS.items():
        least, has = getattr(wanted, name), getattr(offered, name)
        works_at = name in KINDS[wanted.kind].works_at
        if least is not None and has is None:
            told[name] = f"what it works at is not known in {unit}" if works_at else f"rating in {unit} not known"
        elif least is not None and has is not None and has < least * (1 - RELATIVE_SLIP):
            told[name] = f"{'works at' if works_at else 'rated for'} {has:g} {unit}"
        elif least is not None and has is not None and works_at and has > least * WORKS_UP_TO:
            told[name] = f"works at {has:g} {unit}"
    if wanted.value is None and (missing := words_missing(wanted.words.split(), _said(offered))):
        told["words"] = f"nothing on it says {', '.join(missing)}"
    if tolerance := tolerance_short(wanted, offered):
        told["tolerance_pct"] = tolerance
    if wanted.construction and wanted.construction.lower() != offered.construction.lower():
        told["construction"] = offered.construction or "construction not known"
    if wanted.safety and not is_of_class(offered.safety, wanted.safety):
        told["safety"] = f"class {offered.safety}" if offered.safety else "of no safety class"
    return told


def tolerance_short(wanted: PartFigures, offered: PartFigures) -> str:
    """What the tolerance of a part has against it, in words; empty where none is wanted or it is as close."""
    has = offered.tolerance_pct
    if wanted.tolerance_pct is None or (has or 1e9) <= wanted.tolerance_pct + RELATIVE_SLIP:
        return ""
    return "tolerance not known" if has is None else f"tolerance {has:g} %"


def _said(offered: PartFigures) -> str:
    """All that is said of a part in words, with what it is rated in."""
    rated = [f"{figure:g} {unit}" for name, unit in RATINGS.items() if (figure := getattr(offered, name)) is not None]
    return " ".join((offered.words, offered.marked, offered.construction, *rated))


def words_missing(words: Sequence[str], text: str) -> list[str]:
    """Which of some words stand nowhere in a text, whatever their letters; a word of letters may begin a longer one."""
    return [one for word in words if (one := word.strip(".,;:()")) and not _stands_in(one, text)]


def _stands_in(word: str, text: str) -> bool:
    begins = rf"(?<![\w/]){re.escape(word)}"
    return bool(re.search(begins if word.isalpha() else rf"{begins}(?![\w/])", text, re.IGNORECASE))


def is_of_class(has: str, wanted: str) -> bool:
    """Whether a part of a class (X1, Y2, X1/Y2) may sit where a class is asked for: that letter, and no higher number.

    X1 bears pulses of 4 kV, X2 2.5 kV, Y1 8 kV, Y2 5 kV (IEC 60384-14, from memory).
    """
    letter, most = wanted[:1], wanted[1:2] or "9"
    return any(one[0] == letter and one[1] <= most for one in re.findall(r"[XY][1-4]", has.upper()))


def _within(wanted: PartFigures, offered: PartFigures) -> bool:
    if offered.value is None or wanted.value is None:
        return False
    allowed = wanted.value * (wanted.tolerance_pct or 0) / 100
    return abs(offered.value - wanted.value) <= allowed + wanted.value * RELATIVE_SLIP


def words_of(kind: str) -> tuple[str, ...]:
    """The words by which a kind of part goes in the trade (common practice, no source)."""
    return (kind, *_SAID.get(kind, ()))


def word_pattern(word: str) -> str:
    """A pattern of a word that a kind goes by, one or more of it."""
    return _ENDING.get(word, rf"(?<![\w-]){word}s?(?![\w-])")


def all_words_of(kind: str) -> tuple[str, ...]:
    """The same with the words of kinds that are one thing with it."""
    return tuple(word for one in kinds_alike(kind) for word in words_of(one))


def sounds_like(wanted: PartFigures, text: str) -> bool:
    """Whether the words on a lot name a part of a kind and, where a value is wanted, one that lies within it.

    Ratings are left to the keeper: this finds what to look at, and never what covers.
    """
    folded = text.casefold()
    if not any(word in folded for word in all_words_of(wanted.kind)):
        return False
    if wanted.value is None:
        return True
    if is_section_of(wanted, text):
        return True
    return any(
        _within(wanted, PartFigures(wanted.kind, value)) for one in _QUANTITY.findall(text)
        if (value := _value_or_none(wanted.kind, one)) is not None
    )  # fmt: skip


def is_section_of(wanted: PartFigures, text: str) -> bool:
    """Whether a text names a capacitor of several sections, one of which has the value that is wanted."""
    found = sections_in(text) if wanted.kind == "capacitor" else None
    return found is not None and any(_within(wanted, PartFigures(wanted.kind, one)) for one in found[1])


def _value_or_none(kind: str, text: str) -> float | None:
    try:
        return read_value(kind, text)
    except UnitFault:
        return None


def farness(wanted: PartFigures, offered: PartFigures) -> float:
    """How far the value of a part is from the one wanted, as a share of what is allowed; 0 for the very value."""
    if wanted.value is None or offered.value is None:
        return 0.0
    apart = abs(offered.value - wanted.value)
    if apart <= wanted.value * RELATIVE_SLIP:
        return 0.0
    allowed = wanted.value * (wanted.tolerance_pct or 0) / 100
    return apart / allowed if allowed else math.inf


def over_rated(wanted: PartFigures, offered: PartFigures) -> float:
    """By how many doublings the ratings of a part are above what is wanted, of volts and watts together."""
    told = 0.0
    for name in RATINGS:
        least, has = getattr(wanted, name), getattr(offered, name)
        if least and has and has > least:
            told += math.log2(has / least)
    return told
