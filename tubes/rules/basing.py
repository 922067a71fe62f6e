"""Which electrode is on which pin, and what changes when a tube of another basing goes into a socket.

Electrodes: ``H`` heater, ``F`` filament, ``HM``/``FM`` its middle, ``K`` cathode, ``P`` plate, ``G1`` to ``G5`` grids,
``D`` diode plate, ``T`` target, ``J`` jumper, ``S`` shell or shield; a ``b`` after it: of the second section
(``Pb``, ``G1b``). Two electrodes on one pin are joined with ``+``. ``cap`` and ``cap2`` are terminals on the glass.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

ELECTRODES = {
    "H": "heater",
    "F": "filament",
    "HM": "heater middle",
    "FM": "filament middle",
    "K": "cathode",
    "P": "plate",
    "G1": "grid 1",
    "G2": "grid 2",
    "G3": "grid 3",
    "G4": "grid 4",
    "G5": "grid 5",
    "D": "diode plate",
    "T": "target",
    "J": "jumper",
    "S": "shell",
}
SECOND = {f"{code}b": f"{ELECTRODES[code]} of section 2" for code in ("K", "P", "G1", "G2", "D")}
NAMES = ELECTRODES | SECOND
_PIN = re.compile(r"(?P<pin>[1-9]|1[0-4]|cap2?)=(?P<what>\S+)")


class PinFault(ValueError):
    """A text of pins that does not follow the grammar."""


@dataclass(frozen=True, slots=True)
class Basing:
    """The pins of one basing code; ``socket``: the base that it is drawn on; ``source``: key of the text."""

    code: str
    socket: str
    pins: tuple[tuple[str, frozenset[str]], ...]
    source: str = ""


@dataclass(frozen=True, slots=True)
class PinChange:
    """Where an electrode is found: pins of the wanted basing and of the candidate's (empty: it has none)."""

    electrode: str
    wanted: tuple[str, ...]
    candidate: tuple[str, ...]

    def __str__(self) -> str:
        before, after = (" and ".join(pins) or "none" for pins in (self.wanted, self.candidate))
        return f"{NAMES[self.electrode]} {before} -> {after}"


def parse_pins(text: str) -> tuple[tuple[str, frozenset[str]], ...]:
    """The pins of a text such as ``1=S 2=H 3=P 5=G1 7=H 8=K``. Raises PinFault."""
    pins: dict[str, frozenset[str]] = {}
    for part in text.split():
        match = _PIN.fullmatch(part)
        if not match:
            raise PinFault(f"{part!r}, expected pin=electrode such as 3=P or cap=G1")
        if match["pin"] in pins:
            raise PinFault(f"pin {match['pin']} again, expected it once")
        what = match["what"].split("+")
        if unknown := [code for code in what if code not in NAMES]:
            raise PinFault(f"{unknown[0]!r} is no electrode; expected one of {', '.join(NAMES)}")
        pins[match["pin"]] = frozenset(what)
    if not pins:
        raise PinFault("no pins, expected pin=electrode such as 3=P")
    return tuple(pins.items())


def _plain(pins: tuple[tuple[str, frozenset[str]], ...]) -> dict[str, set[str]]:
    """Electrode to pins, as the wiring sees it: a filament is a heater; a cathode tied to a heater pin is that pin;
    a shell or shield asks for nothing."""
    found: dict[str, set[str]] = {}
    for pin, what in pins:
        for code in as_wired(what):
            found.setdefault(code, set()).add(pin)
    return found


def as_wired(what: Iterable[str]) -> frozenset[str]:
    """The electrodes of one pin as the wiring sees them: a filament is a heater, a cathode on it too; no shell."""
    codes = {code.replace("F", "H") if code in ("F", "FM") else code for code in what} - {"S"}
    return frozenset(codes - {"K"} if "H" in codes else codes)


def shell_pins(basing: Basing | None) -> tuple[str, ...]:
    """The pins that the shell or shield of a tube is on; none where its diagram is not known."""
    return tuple(pin for pin, what in basing.pins if "S" in what) if basing else ()


def _order(pins: set[str]) -> tuple[str, ...]:
    return tuple(sorted(pins, key=lambda pin: (not pin.isdigit(), int(pin) if pin.isdigit() else 0, pin)))


@lru_cache(maxsize=20_000)
def pin_changes(wanted: Basing, candidate: Basing) -> tuple[PinChange, ...]:
    """What moves from pin to pin when a tube of basing ``candidate`` is to work where ``wanted`` was wired.

    A connection that only one of the two has is a change too; shells and shields are left out. The two sections of a
    double tube are not exchanged to save changes.
    """
    before, after = _plain(wanted.pins), _plain(candidate.pins)
    return tuple(
        PinChange(code, _order(before.get(code, set())), _order(after.get(code, set())))
        for code in NAMES
        if before.get(code, set()) != after.get(code, set())
    )


Ends = tuple[tuple[str, ...], tuple[str, ...]]


def heater_ends(basing: Basing | None, side_by_side: bool) -> Ends | None:
    """The pins of either end of a heater. ``side_by_side``: its halves in parallel, the middle being one end of both.

    None where the diagram is not known, or does not tell two ends (and a middle, where it is asked for).
    """
    if basing is None:
        return None
    found = _plain(basing.pins)
    outer, middle = _order(found.get("H", set())), _order(found.get("HM", set()))
    if len(outer) != 2 or (side_by_side and not middle):
        return None
    return (outer, middle) if side_by_side else (outer[:1], outer[1:])


def changes_in_words(wanted: Basing, candidate: Basing, side_by_side: tuple[bool, bool] = (False, False)) -> list[str]:
    """``pin_changes`` in words, the heater by how it is connected: of the wanted type, of the candidate."""
    changes = pin_changes(wanted, candidate)
    before, after = (heater_ends(*one) for one in zip((wanted, candidate), side_by_side, strict=True))
    if not any(side_by_side) or before is None or after is None:
        return [f"{one}{_left_free(one)}" for one in changes]
    ends = [f"{'+'.join(old)} -> {'+'.join(new)}" for old, new in zip(before, after, strict=True) if old != new]
    rest = [str(one) for one in changes if one.electrode not in ("H", "HM")]
    return [*([f"heater {', '.join(ends)}"] if ends else []), *rest]


def _left_free(change: PinChange) -> str:
    """The middle of a heater whose halves are in series goes nowhere."""
    return " (left free)" if change.electrode == "HM" and not change.wanted else ""


def same_socket(base: str, other: str, wanted: Basing | None, candidate: Basing | None) -> bool:
    """Whether tubes of two bases go into one socket: the bases are called alike, or both are drawn on one socket."""
    return base == other or (wanted is not None and candidate is not None and wanted.socket == candidate.socket)


Basings = Mapping[str, Basing]
