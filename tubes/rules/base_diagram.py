"""A base as it is drawn from below for one type: which electrode is on which pin, and how sure that is.

Pins come from a basing code where its diagram is known, else from a handbook of tests (as wired for a test: the
suppressor stands with the cathode, the grids of a mixer together), else only their numbers are drawn.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from tubes.rules.bases import BOSS, DOT, ENDS, GAP, KEY, Base, base_named
from tubes.rules.basing import NAMES, Basing, as_wired
from tubes.rules.figures import TypeFigures
from tubes.rules.handbook import ONE_SYSTEM, BookRow, socket_of, vague

CAPS: Mapping[str, str] = {"cap": "top cap", "cap2": "second cap"}
DRAWN, TESTED, NUMBERED = "basing", "as tested", "numbers only"
AS_TESTED: Mapping[str, str] = {
    "h": "heater", "k": "cathode and what is tied to it", "g1": "grid 1", "g1b": "grid 1 of another section",
    "g2": "grid 2", "a": "plate", "a2": "plate of another section", "d1": "diode plate", "d2": "diode plate",
}  # fmt: skip
_OF_CAP = {"plate": "P", "grid": "G1"}
_MARKS: Mapping[str, str] = {
    KEY: "the key at the bottom", GAP: "the gap at the bottom", ENDS: "the last and the first pin at the bottom",
    BOSS: "the boss at the bottom", DOT: "the coloured dot at the left",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Terminal:
    """A pin or cap with what is on it: codes as ``basing`` writes them (``tested``: as the handbook does)."""

    name: str
    codes: tuple[str, ...] = ()
    tested: bool = False
    differs: bool = False

    @property
    def called(self) -> str:
        return CAPS.get(self.name, f"pin {self.name}")

    @property
    def short(self) -> str:
        """For a drawing: P' is the plate of the second section."""
        if self.tested:
            return "+".join(self.codes)
        return "+".join(f"{code[:-1]}\u2032" if code.endswith("b") else code for code in self.codes)

    @property
    def words(self) -> str:
        names = AS_TESTED if self.tested else NAMES
        return " and ".join(names.get(code, code) for code in self.codes)


@dataclass(frozen=True, slots=True)
class Diagram:
    """One base drawn for one type. ``told``: by what the electrodes are known; ``source``: keys of the texts."""

    base: Base
    code: str
    terminals: tuple[Terminal, ...]
    told: str
    source: str = ""
    apart: str = ""  # why pins that somebody draws are not shown, in sentences
    of: str = ""  # the type whose pins these are, where it is another: one that a row relates it to

    @property
    def pins(self) -> tuple[Terminal, ...]:
        return tuple(one for one in self.terminals if one.name not in CAPS)

    @property
    def caps(self) -> tuple[Terminal, ...]:
        return tuple(one for one in self.terminals if one.name in CAPS)

    @property
    def in_use(self) -> tuple[Terminal, ...]:
        return tuple(one for one in self.terminals if one.codes)

    @property
    def spacing(self) -> str:
        """Whether the pins stand as they are drawn, in words."""
        text = "" if self.base.true else "The spacing is not drawn true: count the pins."
        return " ".join(filter(None, (text, self.base.note)))

    @property
    def counting(self) -> str:
        mark = _MARKS.get(self.base.mark, "")
        way = "pins count clockwise" if self.base.clockwise else ""
        return ", ".join(filter(None, ("Seen from below", mark, way)))

    @property
    def electrodes_told(self) -> str:
        """How the electrodes are known, in words."""
        if self.told == TESTED:
            how = "Pins as wired for a test by a handbook: what is tied together there is not told apart."
        else:
            how = "" if self.told == DRAWN else "Which electrode is on which pin is not known here."
        taken = f"Taken from {self.of}." if self.of else ""
        return " ".join(filter(None, (self.apart, how, taken)))

    def described(self, name: str) -> str:
        """All that the drawing shows, for whoever cannot see it."""
        on = "; ".join(f"{one.called} {one.words}" for one in self.in_use)
        parts = (f"Base of {name}: {self.base.title}", self.counting, on, self.electrodes_told, self.spacing)
        return ". ".join(part.rstrip(".") for part in parts if part) + "."


def diagram_of(figures: TypeFigures, basing: Basing | None, rows: Iterable[BookRow] = ()) -> Diagram | None:
    """The base of a type as far as it is known. ``rows``: of the handbook, about this very tube.

    A basing of another base than the type's lends no pins, nor do rows that tell of more than one tube. None where
    neither base nor basing code nor any pin is known.
    """
    code, name = figures.word("basing"), figures.word("base")
    usable = [row for row in rows if row.usable and row.pins]
    told, known, source, apart = NUMBERED, {}, "", ""
    if basing is not None and _goes_with(name, basing.socket):
        told, source = DRAWN, basing.source
        known = {pin: tuple(sorted(what, key=list(NAMES).index)) for pin, what in basing.pins}
    else:
        apart = f"Basing {code} is drawn on another base ({basing.socket}): its pins are not shown." if basing else ""
        if usable and not (ours := [row for row in usable if _goes_with(name, row.base)]):
            apart = f"{apart} The handbook has pins on another base alone ({usable[0].base})."
        elif usable and not _one_tube(ours):
            apart = f"{apart} The handbook gives this number more than one wiring: see its rows."
        elif usable:
            told, source, name = TESTED, ours[0].source, name or ours[0].base
            known = _tested(ours)
    name = name or (basing.socket if basing else "")
    if "cap" not in known and (on_cap := _OF_CAP.get(figures.word("cap"), "")):
        known["cap"] = (on_cap,) if told != TESTED else ({"P": "a", "G1": "g1"}[on_cap],)
    highest = max((int(pin) for pin in known if pin.isdigit()), default=0)
    base = base_named(name, code, highest)
    if base is None:
        return None
    order = [*map(str, base.spots), *(cap for cap in CAPS if cap in known)]
    terminals = tuple(Terminal(pin, known.get(pin, ()), told == TESTED) for pin in order)
    return Diagram(base, code, terminals, told, source, apart.strip())


def _goes_with(name: str, base: str) -> bool:
    """Whether a diagram of one base is one of a type's; a base that says too little goes with any."""
    return vague(name) or vague(base) or socket_of(name) == socket_of(base)


def _one_tube(rows: Sequence[BookRow]) -> bool:
    """Whether rows are the systems of one tube; of a tube of one system, or on two bases, each is another tube."""
    if len({(row.electrodes, row.base) for row in rows}) > 1:
        return False
    return rows[0].electrodes not in ONE_SYSTEM or len({(frozenset(row.pins), row.cap) for row in rows}) == 1


def _tested(rows: Sequence[BookRow]) -> dict[str, tuple[str, ...]]:
    """Pins and caps of all systems of a tube as the handbook wires them."""
    found: dict[str, dict[str, None]] = {}
    caps: Counter[str] = Counter()
    for row in rows:
        for pin, what in row.pins:
            found.setdefault(pin, {})[what] = None
        caps |= Counter(one for one in row.cap if one != "?")
    on_top = {cap: (what,) for cap, what in zip(CAPS, caps.elements(), strict=False)}
    return {pin: tuple(codes) for pin, codes in found.items()} | on_top


def marked_against(diagram: Diagram, other: Diagram) -> Diagram:
    """The diagram with every terminal marked that has something else on it than in ``other``, as the wiring sees it.

    Nothing is marked where the bases are not alike, or the two are not told in one way: pins as tested say less than a
    basing.
    """
    if diagram.told != other.told or diagram.told == NUMBERED or diagram.base != other.base:
        return diagram
    there = {one.name: as_wired(one.codes) for one in other.terminals}
    terminals = tuple(
        replace(one, differs=as_wired(one.codes) != there.get(one.name, frozenset())) for one in diagram.terminals
    )
    return replace(diagram, terminals=terminals)
