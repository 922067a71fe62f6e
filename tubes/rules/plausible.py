"""Figures that cannot all be right, or that their own number belies: told, never mended.

Gain of a triode is transconductance times plate resistance. A type that stands in for another has a heater of its size.
American numbers begin with the heater voltage; European ones with a letter for it (liqui-vt, tcuk-retma).
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Protocol

from tubes.rules.figures import TRIODES, TypeFigures
from tubes.rules.kinds import KIN_ONLY
from tubes.rules.relations import RUGGEDIZED, SAME, VARIANT, Relative

GAIN_PCT = 25
KIN_TIMES = 2.0  # heater watts or plate dissipation of kin, the larger to the smaller
_FIGURES_OF_KIN = (("heater watts", "W"), ("plate dissipation", "W"))
#: 6SN7, 12AU7, 117Z3; not the numbers of transmitting and special tubes, letter and two figures (2C39, 3E29).
_AMERICAN = re.compile(r"(?P<volts>[1-9][0-9]{0,2})[A-Z]{1,3}[1-9](?:[A-Z]{0,4})")
_LOCTAL = {7: 6.3, 14: 12.6}  # nominal 7 and 14 V of loctal tubes
_BATTERY = (1.0, 2.0)  # a 1 stands for all battery tubes up to 2 V: 1F4, 1H4G (common practice, no source)
#: Volts of the heater by the first letter, or amperes of a series string.
_EUROPEAN = re.compile(r"(?P<letter>[ADEGKPUV])[ABCDEFHKLMNQYZ]{1,3}[1-9][0-9]{1,2}")
_EUROPEAN_V: Mapping[str, tuple[float, float]] = {
    "A": (3.9, 4.1), "D": (0.5, 1.5), "E": (6.2, 6.4), "G": (4.5, 5.5), "K": (1.9, 2.1),
}  # fmt: skip
_EUROPEAN_A: Mapping[str, float] = {"P": 0.3, "U": 0.1, "V": 0.05}


@dataclass(frozen=True, slots=True)
class Implausible:
    """What breaks a rule: the types, the rule in a word, the figures in a sentence."""

    rule: str
    types: tuple[str, ...]
    text: str

    def as_dict(self) -> dict[str, object]:
        return {"rule": self.rule, "types": list(self.types), "text": self.text}


class Kin(Protocol):
    """Kinship of types, as ``tubes.rules.relations.Kinship`` gives it."""

    def same_as(self, name: str) -> frozenset[str]: ...
    def relatives(self, name: str) -> tuple[Relative, ...]: ...


def implausible(types: Iterable[TypeFigures], kin: Kin) -> list[Implausible]:
    """All that breaks a rule, by rule and type."""
    known = {one.name: one for one in types}
    found = [*_gains(known.values()), *_promises(known.values()), *_sizes(known, kin)]
    return sorted(found, key=lambda one: (one.rule, one.types))


def _own(figures: TypeFigures, name: str) -> float | None:
    """A figure of a type's own row: what was taken from another cannot contradict that one."""
    found = figures.numbers.get(name)
    return found.value if found and not found.via else None


def _gains(types: Iterable[TypeFigures]) -> Iterator[Implausible]:
    for one in types:
        mu, gm, rp = (_own(one, name) for name in ("mu", "gm_umho", "rp_ohm"))
        if one.form.kind not in TRIODES or not (mu and gm and rp):
            continue
        product = gm * rp / 1e6
        if abs(product / mu - 1) > GAIN_PCT / 100:
            text = f"{one.name}: {gm:g} micromho x {rp:g} ohm = {product:.1f}, amplification factor {mu:g}."
            yield Implausible("gm x rp = mu", (one.name,), text)


def _promises(types: Iterable[TypeFigures]) -> Iterator[Implausible]:
    for one in types:
        volts, amperes = _own(one, "heater_v"), _own(one, "heater_a")
        if one.form.kind in KIN_ONLY or one.cold or volts is None:
            continue
        heaters = [volts, *filter(None, [_own(one, "alt_heater_v")])]
        if match := _AMERICAN.fullmatch(one.name):
            promised = int(match["volts"])
            nominal = _LOCTAL.get(promised, promised)
            battery = promised == 1 and _BATTERY[0] <= volts <= _BATTERY[1]
            if not battery and not any(abs(v - nominal) < 1 or abs(v - promised) < 1 for v in heaters):
                text = f"{one.name}: its number promises about {promised} V, the heater has {volts:g} V."
                yield Implausible("heater volts of the number", (one.name,), text)
        elif match := _EUROPEAN.fullmatch(one.name):
            low, high = _EUROPEAN_V.get(match["letter"], (0.0, 1e9))
            series = _EUROPEAN_A.get(match["letter"])
            if not any(low <= v <= high for v in heaters):
                text = f"{one.name}: {match['letter']} promises {low:g} to {high:g} V, the heater has {volts:g} V."
                yield Implausible("heater of the European letter", (one.name,), text)
            elif series and amperes and abs(amperes / series - 1) > 0.1:
                text = f"{one.name}: {match['letter']} promises {series:g} A in series, the heater has {amperes:g} A."
                yield Implausible("heater of the European letter", (one.name,), text)


def _size(figures: TypeFigures, what: str) -> float | None:
    if what == "plate dissipation":
        return _own(figures, "plate_w_max")
    volts, amperes = _own(figures, "heater_v"), _own(figures, "heater_a")
    return volts * amperes if volts and amperes else None


def _sizes(known: Mapping[str, TypeFigures], kin: Kin) -> Iterator[Implausible]:
    """Types that are one tube, or of which one stands in for the other, with heaters or plates of another size."""
    for name, one in sorted(known.items()):
        close = {SAME, RUGGEDIZED, VARIANT}
        others = {r.type for r in kin.relatives(name) if r.relation in close and not r.unchecked and not r.never}
        for other in sorted(others | kin.same_as(name) - {name}):
            if other not in known or (other < name and _is_close(known[other].name, name, kin, close)):
                continue
            for what, unit in _FIGURES_OF_KIN:
                here, there = _size(one, what), _size(known[other], what)
                if here and there and max(here, there) > KIN_TIMES * min(here, there):
                    text = f"{what} of {name} {here:.3g} {unit}, of {other} {there:.3g} {unit}, which is close kin."
                    yield Implausible("size of kin", (name, other), text)


def _is_close(name: str, other: str, kin: Kin, close: set[str]) -> bool:
    """Whether the pair was told of from its other end."""
    return other in kin.same_as(name) or any(r.type == other and r.relation in close for r in kin.relatives(name))
