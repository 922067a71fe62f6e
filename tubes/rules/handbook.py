"""Rows of a published handbook of tests: what they tell of a type, and where they speak of another tube of that number.

The handbook writes 6SN7 where a tube bears 6SN7GT: types whose letters tell of glass, metal, base or ruggedized build
share the row. Pins are as wired for a test: the grids of a mixer stand together, a suppressor stands with the cathode,
the two sections of a double tube in either order. A row with a remark is shown and never used.
"""

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from tubes.rules.basing import Basing
from tubes.rules.figures import MIXERS, TypeFigures
from tubes.rules.handbook_names import SHARED
from tubes.rules.heater_halves import halved
from tubes.rules.text import fold_key

#: What the electrodes of a row may be in the tables (kinds of ``tables.KINDS``); of others nothing is told.
KINDS: Mapping[str, frozenset[str]] = {
    "T": frozenset({"triode"}),
    "P": frozenset({"pentode", "beam-tetrode", "tetrode"}),
    "TT": frozenset({"duotriode"}),
    "PP": frozenset({"pentode", "beam-tetrode", "tetrode"}),
    "DDT": frozenset({"duodiode-triode", "triode"}),
    "DT": frozenset({"triode", "duodiode-triode"}),
    "DDP": frozenset({"pentode"}),
    "DP": frozenset({"pentode"}),
    "TP": frozenset({"triode-pentode"}),
    "TH": frozenset({"triode-hexode", "heptode"}),
    "H": frozenset({"heptode"}),
}
#: Bases of one socket that the handbook and the tables call differently; those not named here are compared as written.
_SOCKET = {"UX7-medium": "UX7", "UX7-small": "UX7", "UX4-small": "UX4", "B7A": "septar"}
#: Bases about which a word of ours says too little to contradict anybody.
_VAGUE = frozenset({"", "special", "special-4", "special-5", "special-9"})
HEATER_PCT = 6  # a tester sets 12 V for 12.6 V and 1.2 V for 1.25 V
SAME_POINT_PCT = 25  # of gm and plate current at one and the same test point


@dataclass(frozen=True, slots=True)
class BookRow:
    """One system of a tube in the handbook: V, mA, micromho; ``pins`` (pin, electrode), ``cap`` electrodes on top."""

    type: str
    system: int
    electrodes: str
    base: str
    pins: tuple[tuple[str, str], ...] = ()
    cap: tuple[str, ...] = ()
    heater_v: float | None = None
    plate_v: float | None = None
    grid_v: float | None = None
    screen_v: float | None = None
    plate_ma: float | None = None
    gm_umho: float | None = None
    remarks: str = ""
    source: str = ""
    another: bool = False  # looked at when it was loaded: it is of another tube than what bears its number

    @property
    def usable(self) -> bool:
        return not self.remarks

    @property
    def halved(self) -> bool:
        """Whether its heater volts are those of two halves side by side."""
        return halved(self.type, self.heater_v, self.pins)


@dataclass(frozen=True, slots=True)
class Said:
    """What a row says of one figure of a type: ours, theirs, whether they agree, and in which row it stands."""

    type: str
    field: str
    ours: str | float
    theirs: str | float
    agrees: bool
    row: str
    source: str
    own: bool = False  # ours is the keeper's own figure
    of: str = ""  # the type whose figure ours is, where it is that of another
    why: str = ""


@dataclass(frozen=True, slots=True)
class Told:
    """What the handbook tells of a type. ``shared``: the number under which its rows stand, where that is not its own.

    ``others``: rows of that number whose base or heater contradicts the type's own: they are of another tube.
    """

    rows: tuple[BookRow, ...] = ()
    shared: str = ""
    others: tuple[BookRow, ...] = ()
    said: tuple[Said, ...] = ()

    @property
    def agreed(self) -> frozenset[str]:
        """Figures that a row bears out and none contradicts."""
        against = {one.field for one in self.said if not one.agrees}
        return frozenset(one.field for one in self.said if one.agrees) - against


def parse_test_pins(text: str) -> tuple[tuple[str, str], ...]:
    """``1=h 2=a`` as pairs. Raises ValueError for anything else."""
    found = []
    for part in text.split():
        pin, sign, what = part.partition("=")
        if not (pin.isdecimal() and sign and what):
            raise ValueError(f"{part!r}, expected pin=electrode such as 3=a")
        found.append((pin, what))
    return tuple(found)


class Handbook:
    """The rows of a handbook by the number that they stand under."""

    def __init__(self, rows: Iterable[BookRow]) -> None:
        self._rows: dict[str, list[BookRow]] = defaultdict(list)
        for row in rows:
            self._rows[fold_key(row.type)].append(row)

    @property
    def names(self) -> list[str]:
        """The numbers as printed, each once."""
        return [rows[0].type for rows in self._rows.values()]

    @property
    def rows(self) -> list[BookRow]:
        """All rows, as printed."""
        return [row for rows in self._rows.values() for row in rows]

    def rows_of(self, name: str) -> tuple[tuple[BookRow, ...], str]:
        """The rows of a type, and the number that they stand under where the letters of its form are left out there."""
        key = fold_key(name)
        if key in self._rows:
            return tuple(self._rows[key]), ""
        match = SHARED.fullmatch(key)
        rows = self._rows.get(match["number"], []) if match else []
        return tuple(rows), rows[0].type if rows else ""

    def told(
        self, figures: TypeFigures, basing: Basing | None = None, tables: TypeFigures | None = None, under: str = "",
        this: bool = False,
    ) -> Told:  # fmt: skip
        """What the rows say of a type with its own figures; ``basing``: the diagram of its base, where it is known.

        ``tables``: what it is by the tables alone, where the keeper has figures of his own: whether a row is of another
        tube goes by those, so that a slip of his throws no row away. ``under``: the rows of a mark of it, not its name.
        ``this``: it was looked at before, and they are of this very tube.
        """
        rows, shared = self.rows_of(under or figures.name)
        mine = self.rows_of(figures.name)[0]
        by, at = tables or figures, basing if tables is None else None
        looked = () if this else tuple(row for row in rows if row.usable)
        others = tuple(row for row in looked if row.another or of_another(row, by, at, mine))
        said = [one for row in rows if row.usable for one in _said(row, figures, basing, row in others)]
        return Told(tuple(row for row in rows if row not in others), shared, others, tuple(said))


PLATES, GRIDS = frozenset({"a", "a2"}), frozenset({"g1", "g1b"})
ONE_SYSTEM = frozenset({"T", "P", "DDT", "DT", "DDP", "DP"})


def pins_of_one(row: BookRow) -> bool:
    """Whether a row of a triode has the pins of one: 6N2P, a double triode, and 6U9, a triode-pentode, stand as T."""
    if row.electrodes != "T":
        return True
    on_pins = [what for _, what in row.pins]
    several = len(PLATES.intersection(on_pins)) > 1 or len(GRIDS.intersection(on_pins)) > 1
    if several or any(what.startswith("g2") for what in on_pins):
        return False
    doubled = [sum(what in electrodes for what in on_pins) > 1 for electrodes in (PLATES, GRIDS, {"k"})]
    return not all(doubled)  # a high-frequency triode has two leads of some of them: 6AF4 of plate and grid


def alike(field: str, ours: float | str, theirs: float | str) -> bool:
    """Whether a figure is the handbook's: volts as near as a tester sets them, gain as near as of one test point."""
    if isinstance(ours, str) or isinstance(theirs, str):
        return _SOCKET.get(str(ours), ours) == _SOCKET.get(str(theirs), theirs)
    return abs(theirs / ours - 1) <= (HEATER_PCT if field == "heater_v" else SAME_POINT_PCT) / 100 if ours else False


def heater_agrees(row: BookRow, figures: TypeFigures) -> bool | None:
    """Whether heater volts are the same, in either connection of a tapped heater; None where one of them lacks."""
    ours = [figures.number(name) for name in ("heater_v", "alt_heater_v")]
    known = [volts for volts in ours if volts]
    if row.heater_v is None or not known:
        return None
    theirs = [row.heater_v, 2 * row.heater_v] if row.halved else [row.heater_v]
    return any(abs(volts / own - 1) <= HEATER_PCT / 100 for volts in theirs for own in known)


def base_agrees(row: BookRow, figures: TypeFigures) -> bool | None:
    """Whether the bases go into one socket; None where one of them says too little."""
    ours, theirs = figures.word("base"), row.base
    if vague(ours) or vague(theirs):
        return None
    return socket_of(ours) == socket_of(theirs)


def vague(base: str) -> bool:
    """Whether a word for a base says too little to contradict anybody."""
    return base in _VAGUE or base.startswith("handbook code")


def socket_of(base: str) -> str:
    """A base by the name of the socket that it goes into."""
    return _SOCKET.get(base, base)


def of_another(row: BookRow, figures: TypeFigures, basing: Basing | None, mine: Iterable[BookRow] = ()) -> bool:
    """Whether a row is of another tube: its base or heater is not that of the type.

    Still the same tube, whose figure is told as the book has it: one on the very pins of a row of the type's own name
    (``mine``), one heater being alike (1291 and 3B7, octal for loctal); one whose heater is set near its volts (3 V for
    3.3 V), or that of one half of it (2E30), on the same base and pins.
    """
    heater, base = heater_agrees(row, figures), base_agrees(row, figures)
    if heater is not False and base is not False:
        return False
    if any(row is not one and row.pins == one.pins and row.electrodes == one.electrodes for one in mine if row.pins):
        return heater is False and base is False
    kinds = KINDS.get(row.electrodes, frozenset())
    fits = base is True and figures.word("kind") in kinds and (basing is None or _on_pins(row, basing, figures))
    return not (fits and _set_otherwise(row, figures))


def _on_pins(row: BookRow, basing: Basing, figures: TypeFigures) -> bool:
    return pins_agree(row, basing, figures.word("kind")) is not False


NEAR_PCT = 10  # a tester's next step beside a heater: 3 V for 3.3 V


def _set_otherwise(row: BookRow, figures: TypeFigures) -> bool:
    """Whether the volts of a row are near those of a heater, or those of one half of it or of two."""
    volts, theirs = figures.number("heater_v"), row.heater_v
    if not volts or not theirs:
        return False
    halves = any(abs(theirs * times / volts - 1) <= HEATER_PCT / 100 for times in (2, 0.5))
    return halves or abs(theirs / volts - 1) <= NEAR_PCT / 100


def _said(row: BookRow, figures: TypeFigures, basing: Basing | None, other: bool) -> Iterator[Said]:
    """Figures of a type that a row speaks of; of a row about another tube only what makes it one."""

    def say(field: str, ours: str | float, theirs: str | float, agrees: bool) -> Said:
        return Said(figures.name, field, ours, theirs, agrees, row.type, row.source)

    heater, base = heater_agrees(row, figures), base_agrees(row, figures)
    volts = figures.number("heater_v")
    if heater is not None and volts is not None and row.heater_v is not None and (not other or not heater):
        yield say("heater_v", volts, row.heater_v, heater)
    if base is not None and (not other or not base):
        yield say("base", figures.word("base"), row.base, base)
    if other:
        return
    kind = figures.word("kind")
    if kind and row.electrodes in KINDS and kind not in MIXERS and pins_of_one(row):
        yield say("kind", kind, row.electrodes, kind in KINDS[row.electrodes])
    cap = figures.word("cap")
    if (fits := cap_agrees(row, cap)) is not None:
        yield say("cap", cap, " ".join(row.cap) or "none", fits)
    if basing is not None and base is not False and (pins := pins_agree(row, basing, kind)) is not None:
        yield say("basing", basing.code, " ".join(f"{pin}={what}" for pin, what in row.pins), pins)
    yield from _at_one_point(row, figures, say)


_CAPS: Mapping[str, set[str]] = {"none": set(), "grid": {"g1"}, "plate": {"a"}}


def cap_agrees(row: BookRow, cap: str) -> bool | None:
    """Whether the cap of a row is this one; None where either of them cannot be told."""
    return {one.removesuffix("b") for one in row.cap} == _CAPS[cap] if cap in _CAPS and "?" not in row.cap else None


_TESTED: Mapping[str, frozenset[str]] = {
    "H": frozenset({"h"}), "F": frozenset({"h"}), "HM": frozenset({"h"}), "FM": frozenset({"h"}),
    "K": frozenset({"k", "h"}), "Kb": frozenset({"k", "h"}), "P": frozenset({"a", "a2"}), "Pb": frozenset({"a", "a2"}),
    "G1": frozenset({"g1", "g1b"}), "G1b": frozenset({"g1", "g1b"}), "G2": frozenset({"g2", "a"}),
    "G2b": frozenset({"g2", "a"}), "G3": frozenset({"k", "h", "g3"}), "D": frozenset({"d1", "d2", "a"}),
    "Db": frozenset({"d1", "d2", "a"}), "S": frozenset({"k"}), "T": frozenset({"a", "a2", "g2"}),
}  # fmt: skip


def pins_agree(row: BookRow, basing: Basing, kind: str) -> bool | None:
    """Whether pins as tested are those of a diagram, pin by pin; None where too few are in both, and of mixers."""
    if kind in MIXERS or kind in ("triode-hexode", ""):
        return None
    drawn = {pin: what for pin, what in basing.pins if pin.isdigit()}
    both = [(drawn[pin], what) for pin, what in row.pins if pin in drawn and drawn[pin] != {"J"}]
    if len(both) < 3:
        return None
    return all(any(what in _TESTED.get(code, frozenset()) for code in codes) for codes, what in both)


_POINT = re.compile(r"(?:^|[; ])(?:typical(?: figures)?|per section) at ([\d.]+) V(?:, screen [\d.]+ V)?, -([\d.]+) V")


def _at_one_point(row: BookRow, figures: TypeFigures, say) -> Iterator[Said]:  # type: ignore[no-untyped-def]
    """Transconductance and plate current, where the note of the type names the very point that the row tests at."""
    match = _POINT.search(figures.word("note"))
    if match is None or row.plate_v != float(match[1]) or row.grid_v != -float(match[2]):
        return
    for field, theirs in (("gm_umho", row.gm_umho), ("plate_ma_typ", row.plate_ma)):
        ours = figures.number(field)
        if ours and theirs:
            yield say(field, ours, theirs, abs(theirs / ours - 1) <= SAME_POINT_PCT / 100)
