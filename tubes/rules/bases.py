"""How the pins of a base stand, as seen from below: the table of bases, in angles from the key.

Angles are degrees clockwise, seen from below, from the key, the gap or the middle between the last pin and the first,
which is drawn at the bottom. ``true``: whether the spacing is that of the base; where it is not known well enough the
pins are drawn as a plain numbered ring, and whoever shows it says so.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from tubes.rules.sources import FROM_MEMORY

KEY, GAP, ENDS, BOSS, DOT, NONE = "key", "gap", "ends", "boss", "dot", ""
TURN, ON_RIM = 360.0, 1.2
MOST_PINS = 20  # of a bidecal base; a code that names more is no base


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a pin stands: degrees clockwise from the key as seen from below, distance from the middle (1: the ring)."""

    angle: float
    out: float = 1.0


@dataclass(frozen=True, slots=True)
class Base:
    """One base. ``mark``: what the pins are counted from; ``large``: its thicker pins; ``spots`` by pin number.

    ``standard``: the sheet that draws it, as recalled; ``source``: where the angles here are from.
    """

    name: str
    title: str
    spots: Mapping[int, Spot]
    mark: str = NONE
    large: frozenset[int] = frozenset()
    true: bool = True
    clockwise: bool = True
    note: str = ""
    standard: str = ""
    source: str = FROM_MEMORY

    @property
    def pins(self) -> int:
        return len(self.spots)


def even(count: int, out: float = 1.0) -> dict[int, Spot]:
    """Pins in equal steps all round, the key midway between the last and the first."""
    return {pin: Spot((pin - 0.5) * TURN / count, out) for pin in range(1, count + 1)}


def with_gap(count: int) -> dict[int, Spot]:
    """Pins in equal steps with one place left empty: the gap between the last and the first."""
    return {pin: Spot(pin * TURN / (count + 1)) for pin in range(1, count + 1)}


def in_line(count: int) -> dict[int, Spot]:
    """Leads in a row, left to right."""
    steps = [2 * at / (count - 1) - 1 for at in range(count)]
    return {at + 1: Spot(90.0 if step < 0 else 270.0, abs(step)) for at, step in enumerate(steps)}


_CROSS = {1: Spot(180.0), 2: Spot(0.0), 3: Spot(90.0), 4: Spot(270.0)}
_BRITISH = "The lone pin of the plate stands off from the others; its numbers do not go round."
_FIRST_LAST = "The first and the last pin are the thick ones."
_BAYONET = "A bayonet pin on the side of the shell is not drawn."


def _row(name: str, title: str, spots: Mapping[int, Spot], mark: str = NONE, **more: object) -> Base:
    return Base(name, title, spots, mark, **more)  # type: ignore[arg-type]


def _loose(name: str, title: str, count: int, mark: str = NONE, **more: object) -> Base:
    """A base of which only the number of pins and their order are known well."""
    return Base(name, title, even(count), mark, true=False, **more)  # type: ignore[arg-type]


_ENDS_LARGE = {4: frozenset({1, 4}), 6: frozenset({1, 6}), 7: frozenset({1, 7})}
_SQUARE = "Drawn as a square; the base is a few degrees off one."
_UNUSED = "Pins that a tube does not use are left out of its base."
_UNEVEN = "The five pins are set unevenly, so that it fits one way only."
_ACORN = "Three lugs on one side and two on the other; terminals at the ends besides."
_DISCS = "Rings of the bulb are terminals too: plate cap, grid disc, cathode shell."
_THREE_AND_FIVE = "in a group of three and one of five."


def _thick(name: str, title: str, count: int, note: str = _FIRST_LAST, standard: str = "") -> Base:
    """A base of the UX family: the first and the last pin are thicker."""
    return Base(name, title, even(count), ENDS, _ENDS_LARGE[count], note=note, standard=standard)


#: Angles are from memory throughout; ``standard`` says which sheet to hold them against.
_ROWS = (
    _row("octal", "octal, 8 pins at 45 degrees round a keyed spigot", even(8), KEY, standard="JEDEC B8, IEC 67-I-5a"),
    _row("lighthouse-octal", "octal base of a disc-seal tube, 8 pins at 45 degrees round a keyed spigot", even(8), KEY,
         note=_DISCS),
    _row("loctal", "loctal, 8 pins at 45 degrees round a keyed lock-in spigot", even(8), KEY, standard="BS 448 B8G"),
    _row("7-pin-miniature", "miniature, 7 pins at 45 degrees with a gap", with_gap(7), GAP,
         standard="JEDEC E7-1, BS 448 B7G, IEC 67-I-10a"),
    _row("noval", "noval, 9 pins at 36 degrees with a gap", with_gap(9), GAP,
         standard="JEDEC E9-1, BS 448 B9A, IEC 67-I-12a"),
    _row("magnoval", "magnoval, 9 pins at 36 degrees with a gap", with_gap(9), GAP, standard="BS 448 B9D"),
    _row("septar", "septar, 7 heavy pins at 45 degrees with a gap", with_gap(7), GAP,
         standard="JEDEC E7-2, BS 448 B7A"),
    _row("rimlock", "rimlock, 8 pins at 45 degrees, a boss on the rim of the glass", even(8), BOSS,
         standard="BS 448 B8A"),
    _thick("UX4", "medium 4-pin, two thick pins", 4, f"{_FIRST_LAST} {_BAYONET} {_SQUARE}", "JEDEC A4-10"),
    _thick("UX4-small", "small 4-pin, two thick pins", 4, f"{_FIRST_LAST} {_SQUARE}", "JEDEC A4-5"),
    _thick("UX6", "6-pin, two thick pins, 60 degrees apart", 6, standard="JEDEC A6-10"),
    _thick("UX7-small", "small 7-pin, two thick pins", 7),
    _thick("UX7-medium", "medium 7-pin, two thick pins", 7),
    _row("duodecal", "duodecal, places for 12 pins at 30 degrees round a keyed spigot", even(12), KEY,
         standard="JEDEC B12-43", note=_UNUSED),
    _row("magnal-11", "magnal, 11 pins round a keyed spigot", even(11), KEY, standard="JEDEC B11-66"),
    _row("diheptal", "diheptal, places for 14 pins round a keyed spigot", even(14), KEY, standard="JEDEC B14-38",
         note=_UNUSED),
    _row("duodecar-12", "duodecar, 12 pins with a gap", with_gap(12), GAP, standard="JEDEC E12-70"),
    _row("subminiature-5", "subminiature, leads in a row", in_line(5), DOT, clockwise=False, true=False,
         note="Leads count from the coloured dot."),
    _loose("subminiature-8", "subminiature, 8 leads in a ring", 8, standard="JEDEC E8-10, BS 448 B8D"),
    _loose("UX5", "5-pin, five like pins", 5, ENDS, note=_UNEVEN),
    _loose("jumbo-4", "jumbo 4-pin with a bayonet", 4, ENDS, note=_BAYONET, standard="JEDEC A4-29"),
    _loose("UV4", "4-pin with short pins and a bayonet", 4, ENDS, note=_BAYONET),
    _loose("giant-5", "giant 5-pin with a bayonet", 5, ENDS, note=_BAYONET),
    _loose("giant-7", "giant 7-pin with a bayonet", 7, ENDS, note=_BAYONET),
    _loose("special-4", "4 heavy pins, a base of its own", 4),
    _loose("special-5", "5 heavy pins in a metal shell, a base of its own", 5, ENDS),
    _loose("special-9", "9 contacts, a base of its own with a keyed spigot", 9, KEY),
    _loose("acorn", "acorn, 5 lugs round the seal", 5, note=_ACORN),
    _row("british-4", "British 4-pin", _CROSS, true=False, clockwise=False, note=_BRITISH, standard="BS 448 B4"),
    _row("british-5", "British 5-pin, the fifth in the middle", {**_CROSS, 5: Spot(0.0, 0.0)}, true=False,
         clockwise=False, note=_BRITISH, standard="BS 448 B5"),
    _loose("british-7", "British 7-pin", 7, ENDS, standard="BS 448 B7"),
    _loose("british-9", "British 9-pin", 9, ENDS, standard="BS 448 B9"),
    _loose("mazda-octal", "Mazda octal, 8 pins round a keyed spigot", 8, KEY, standard="BS 448 MO8",
           note="It does not go into an octal socket."),
    _loose("B9G", "B9G, 9 pins round a keyed metal spigot", 9, KEY, standard="BS 448 B9G"),
    _row("side-contact-8", "side contact, 8 contacts on the rim", even(8, ON_RIM), true=False, standard="BS 448 Ct8",
         note=f"Contacts stand {_THREE_AND_FIVE}"),
    _row("side-contact-5", "side contact, 5 contacts on the rim", even(5, ON_RIM), true=False, standard="BS 448 Ct5"),
    _loose("german-steel-8", "German steel tube, 8 pins round a keyed spigot", 8, KEY,
           note=f"Pins stand {_THREE_AND_FIVE}"),
    _loose("decal-10", "decal, 10 pins", 10, ENDS, standard="BS 448 B10B"),
    _loose("B3G", "3 short pins in the glass", 3, standard="BS 448 B3G"),
    _loose("C7", "7-pin of the Continent", 7),
    _loose("F8", "8-pin, as the handbook codes it", 8),
)  # fmt: skip
BASES: Mapping[str, Base] = {row.name: row for row in _ROWS}
#: Other names of the same ring of pins.
_SAME = {"UX7": "UX7-medium", "B7A": "septar", "UX4-medium": "UX4"}
_CODE = re.compile(r"([0-9]{1,2})[A-Z]{1,3}")


def base_named(name: str, code: str = "", highest: int = 0) -> Base | None:
    """The base of that name; else, where a basing code or known pins tell how many there are, a plain ring of them.

    ``code``: a basing code, which counts for a base that is not known alone; that of one or two figures and letters
    begins with the number of pins in use (RETMA, common practice, no source), any other tells nothing. ``highest``: the
    highest pin number that is known. None: nobody says how many pins there are.
    """
    found = BASES.get(_SAME.get(name, name))
    if found is not None and highest <= found.pins:
        return found
    match = _CODE.fullmatch(code)
    count = max(highest, int(match[1]) if match and found is None else 0)
    if not 0 < count <= MOST_PINS:
        return None
    called = f"{name.replace('-', ' ')} base" if name else "base not known"
    return Base(name, f"{called}, drawn as a ring of {count}", even(count), true=False)
