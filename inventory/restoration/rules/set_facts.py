"""What of a set decides which checks its start sheet asks for: positions, hazards, weak parts, lines of the plan."""

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass

RECTIFIERS = frozenset({"rectifier", "gas-rectifier"})
REGULATORS = frozenset({"gas-regulator"})
HIGH_V = 500.0  # plate voltage from which doors have interlocks (common practice, no source)
X_RAY_V = 10_000.0  # below it X-rays of tubes are negligible (R. Lyles, Amps list, March 2001)
LIVE_V = 90.0  # heaters in series that come to so much are fed from the mains itself (common practice, no source)
MAINS_HEATER_V = (
    25.0  # heaters from here on were mostly made for sets without a transformer (common practice, no source)
)
SUPPLY = "power unit"
TRANSMITTER = "transmitter"


@dataclass(frozen=True, slots=True)
class SocketFacts:
    """A position: the type it wants and the type in it (empty: not known, none), and what kinds of tube these are.

    ``heater_v``: at the socket, or by the rating of the type wanted; ``branch``: its letter on the filament supply.
    ``heater_pct``: by how many per cent it may be off for the type wanted, on the word of ``heater_source``.
    ``stand_in``: what sits there in the place of a tube (empty: nothing), and what changes with it, in words.
    """

    mark: str
    wanted: str = ""
    held: str = ""
    kinds: frozenset[str] = frozenset()
    mercury: bool = False
    heater_v: float | None = None
    plate_v: float | None = None
    branch: str = ""
    neutralized: bool = False
    heater_pct: float | None = None
    heater_source: str = ""
    regulation_v: float | None = None
    stand_in: str = ""
    stand_in_changes: str = ""


@dataclass(frozen=True, slots=True)
class HazardFacts:
    """A hazard of the set: its mark, who says so, what is usual with it."""

    hazard: str
    told: str
    care: str = ""


@dataclass(frozen=True, slots=True)
class WeakFacts:
    """A part that is known to be weak in sets of the model. ``key``: of its check; empty: its name; ``said``: what the
    words on it come to, empty where nobody gave one.
    """

    name: str
    why: str = ""
    source: str = ""
    key: str = ""
    said: str = ""


@dataclass(frozen=True, slots=True)
class LineFacts:
    """What the plan wants done before power. ``key``: of its check; empty: its words."""

    words: str
    key: str = ""


@dataclass(frozen=True, slots=True)
class SetFacts:
    """A set as its start sheet sees it. ``kind``: of its model; ``lines``: what the plan wants done before power.

    ``mercury_care``: how its mercury rectifiers are handled, with the source, where it has such. ``overload``: what its
    heaters would do to their winding, in words, or that nobody knows; empty where they do not overload it.
    ``no_tubes``: its model is said to have no positions at all. ``supply_v``: of its filament supply, where recorded.
    """

    kind: str
    sockets: tuple[SocketFacts, ...] = ()
    hazards: tuple[HazardFacts, ...] = ()
    weak: tuple[WeakFacts, ...] = ()
    lines: tuple[LineFacts, ...] = ()
    mercury_care: str = ""
    mercury_source: str = ""
    overload: str = ""
    no_tubes: bool = False
    supply_v: float | None = None

    def marks(self, that: Callable[[SocketFacts], bool]) -> tuple[str, ...]:
        """The marks of the positions of which something holds."""
        return tuple(socket.mark for socket in self.sockets if that(socket))

    @property
    def tubeless(self) -> bool:
        """Whether it is known that no tube belongs in it."""
        return self.no_tubes and not self.sockets

    @property
    def rectifiers(self) -> tuple[str, ...]:
        return self.marks(lambda socket: bool(socket.kinds & RECTIFIERS))

    @property
    def mercury(self) -> tuple[str, ...]:
        return self.marks(lambda socket: socket.mercury)

    @property
    def regulators(self) -> tuple[str, ...]:
        return self.marks(lambda socket: bool(socket.kinds & REGULATORS))

    @property
    def stood_in(self) -> tuple[SocketFacts, ...]:
        """Positions in which a stand-in sits."""
        return tuple(socket for socket in self.sockets if socket.stand_in)

    @property
    def unknown(self) -> tuple[str, ...]:
        """Positions of which nobody can say what stands there."""
        return self.marks(lambda socket: not socket.kinds)

    @property
    def transmits(self) -> bool:
        return self.kind == TRANSMITTER

    @property
    def highest_v(self) -> float | None:
        """The highest plate voltage that is recorded of a position."""
        return max((socket.plate_v for socket in self.sockets if socket.plate_v), default=None)

    @property
    def plate_unknown(self) -> str:
        """What is not known of its plate voltages, in words; empty where each position that has one says it.

        Diodes and rectifiers have none on record, so a position without one counts only where its type is not known.
        """
        if self.highest_v is None:
            return "no plate voltage is recorded of this model"
        marks = self.marks(lambda socket: not socket.kinds and socket.plate_v is None)
        return f"neither type nor plate voltage of {', '.join(marks)} is known" if marks else ""

    @property
    def strings(self) -> dict[str, tuple[SocketFacts, ...]]:
        """Positions with their heaters in series, by the letter of their branch."""
        by_letter: dict[str, list[SocketFacts]] = defaultdict(list)
        for socket in self.sockets:
            if socket.branch:
                by_letter[socket.branch].append(socket)
        return {letter: tuple(several) for letter, several in by_letter.items() if len(several) > 1}

    @property
    def perhaps_on_mains(self) -> tuple[SocketFacts, ...]:
        """Positions in no string whose heater could hang on the mains; none where the filament supply is known."""
        if self.supply_v and self.supply_v < LIVE_V:
            return ()
        return tuple(
            one for one in self.sockets if one.branch not in self.strings and (one.heater_v or 0) >= MAINS_HEATER_V
        )

    @property
    def heater_volts(self) -> dict[float | None, tuple[str, ...]]:
        """Marks by heater voltage (None: not known) of the positions in no string, rectifiers left out."""
        by_volts: dict[float | None, list[str]] = defaultdict(list)
        for socket in self.sockets:
            if socket.branch not in self.strings and not socket.kinds & (RECTIFIERS | REGULATORS):
                by_volts[socket.heater_v].append(socket.mark)
        return {volts: tuple(by_volts[volts]) for volts in sorted(by_volts, key=lambda one: (one is None, one or 0))}

    def hazard(self, mark: str) -> HazardFacts | None:
        """That hazard, where the set has it."""
        return next((one for one in self.hazards if one.hazard == mark), None)
