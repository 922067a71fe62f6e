"""Which figures of a type a bench would ask for and nobody has stated yet, by kind of tube.

A rectifier lacks no transconductance, a cold tube no heater, a zero-bias tube neither gain nor transconductance (they
vary with its current). Where the kind is not known, that lacks first, and only what every tube has is asked besides.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from tubes.rules.basing import Basings
from tubes.rules.figures import DIODES, MIXERS, RECTIFIERS, REGULATORS, SCREENED, TRIODES, TypeFigures

PINS, WAVE = "pins", "wave"
LABELS: Mapping[str, str] = MappingProxyType({
    "kind": "kind", "cathode": "cathode", "heater_v": "heater volts", "heater_a": "heater amperes", "base": "base",
    PINS: "pins", "cap": "top cap", WAVE: "full-wave or half-wave", "plate_v_max": "plate volts, max",
    "plate_w_max": "plate dissipation", "screen_v_max": "screen volts, max", "screen_w_max": "screen dissipation",
    "mu": "amplification factor", "gm_umho": "transconductance", "gc_umho": "conversion transconductance",
    "plate_ma_typ": "dc output", "regulation_v": "running volts", "regulation_ma": "largest current",
    "start_v": "starting volts",
})  # fmt: skip
_EVERY = ("cathode", "base", "cap")
_OF_SCREENED = ("plate_v_max", "plate_w_max", "screen_v_max", "screen_w_max")


@dataclass(frozen=True, slots=True)
class Gap:
    """A type with what lacks of it (keys of ``LABELS``), and how many there are or are wanted here.

    ``owned``: tubes; ``positions``: of set models that name it; ``wanted``: open lines of the want list.
    """

    type: str
    kind: str
    lacking: tuple[str, ...]
    owned: int = 0
    positions: int = 0
    wanted: int = 0

    @property
    def words(self) -> str:
        """What lacks, in words."""
        return ", ".join(LABELS[name] for name in self.lacking)

    @property
    def kind_words(self) -> str:
        return self.kind.replace("-", " ")

    @property
    def rank(self) -> tuple[object, ...]:
        """Most positions first, then most tubes, then most wanted."""
        return -self.positions, -self.owned, -self.wanted, -len(self.lacking), self.type

    def as_dict(self) -> dict[str, object]:
        return {
            "type": self.type,
            "owned": self.owned,
            "positions": self.positions,
            "lacking": list(self.lacking),
            "wanted": self.wanted,
            "kind": self.kind,
            "words": self.words,
        }


def lacking(figures: TypeFigures, basings: Basings) -> tuple[str, ...]:
    """What lacks of a type, in the order of ``LABELS``. ``basings``: diagrams by code; a code without one lacks."""
    asked = set(_asked(figures))
    known = figures.numbers.keys() | {name for name, word in figures.words.items() if word.value}
    known |= {PINS} if figures.word("basing") in basings else set()
    known |= {WAVE} if figures.form.wave else set()
    return tuple(name for name in LABELS if name in asked - known)


def _asked(figures: TypeFigures) -> Iterator[str]:
    kind = figures.form.kind
    yield from ("kind", *_EVERY, PINS)
    if not figures.cold and kind not in REGULATORS:
        yield from ("heater_v", "heater_a")
    if kind in TRIODES:
        yield from ("plate_v_max", "plate_w_max")
        if not figures.form.zero_bias:
            yield from ("mu", "gm_umho")
    elif kind in SCREENED or kind == "triode-pentode":
        yield from (*_OF_SCREENED, "gm_umho")
    elif kind in MIXERS and not (kind == "other" and figures.form.use in ("", "tuning indicator")):
        yield from (*_OF_SCREENED, "gc_umho")
    elif kind in REGULATORS:
        yield from ("regulation_v", "regulation_ma", "start_v")
    elif kind in DIODES:
        yield from ("plate_v_max", "plate_ma_typ")
        if kind in RECTIFIERS:
            yield WAVE
