"""Emission of hot cathodes and what voltage does to it and to life. Indications only: show the author with each.

Richardson-Dushman ``J = A * T**2 * exp(-W / (k T))``. Constants: simion.com/definition/richardson_dushman.html, a table
from B. Wolf, Handbook of Ion Sources, 1995, p. 27, and Smithells 1967; texts differ, so only ratios are safe. Usual
temperatures are from memory. That temperature goes with voltage to the power 0.42 is a figure of lamps (Wikipedia,
Lamp rerating); for thoriated and oxide emitters it is an assumption.
"""

import math
from dataclasses import dataclass

from tubes.rules.limits import Limits
from tubes.rules.sources import DERIVED

BOLTZMANN_EV = 8.617333262e-5  # eV/K
TEMPERATURE_BY_VOLTAGE = 0.42


@dataclass(frozen=True, slots=True)
class Emitter:
    """Work function in eV, emission constant in A/cm2/K2, usual temperature in K."""

    work_ev: float
    constant: float
    usual_k: float


EMITTERS = {
    "tungsten": Emitter(4.54, 60, 2500),
    "thoriated": Emitter(2.63, 3.0, 1950),
    "oxide": Emitter(0.95, 0.01, 1050),
}


def emission(emitter: Emitter, kelvin: float) -> float:
    """Saturation emission, A/cm2; nothing at absolute zero, to which the law tends."""
    if kelvin <= 0:
        return 0.0
    return emitter.constant * kelvin**2 * math.exp(-emitter.work_ev / (BOLTZMANN_EV * kelvin))


def percent_per_percent(emitter: Emitter, kelvin: float | None = None) -> float:
    """Per cent of emission for a per cent of temperature: 2 + W/(kT)."""
    return 2 + emitter.work_ev / (BOLTZMANN_EV * (kelvin or emitter.usual_k))


def percent_per_percent_volt(emitter: Emitter) -> float:
    """Per cent of emission for a per cent of heater voltage, at the usual temperature."""
    return TEMPERATURE_BY_VOLTAGE * percent_per_percent(emitter)


def emission_ratio(emitter: Emitter, voltage_ratio: float, kelvin: float | None = None) -> float:
    """Emission at a part of the rated voltage, relative to that at the rated voltage."""
    rated = kelvin or emitter.usual_k
    return emission(emitter, rated * voltage_ratio**TEMPERATURE_BY_VOLTAGE) / emission(emitter, rated)


def exponent(times: float, percent: float) -> float:
    """n of ``L/L0 = (V/V0) ** -n`` when ``percent`` more voltage (less: negative) makes life ``times`` as long."""
    return -math.log(times) / math.log(1 + percent / 100)


def life_ratio(voltage_ratio: float, n: float) -> float:
    """Life relative to that at rated voltage, by the power law."""
    return float(voltage_ratio**-n)


# Against current, tungsten-halogen lamps at 95 to 105 % of rated current: SPIE Field Guide to Illumination, 2007.
SPIE_VOLTAGE, SPIE_LIFE, SPIE_TEMPERATURE = 1.9, -25.0, 0.80


@dataclass(frozen=True, slots=True)
class Lamp:
    """A lamp at a part of its rated current: V, h, K, all relative to rating."""

    volts: float
    life: float
    kelvin: float


def lamp_at(current_ratio: float) -> Lamp:
    """The lamp law of the SPIE guide (stated for 0.95 to 1.05 of rated current)."""
    return Lamp(current_ratio**SPIE_VOLTAGE, current_ratio**SPIE_LIFE, current_ratio**SPIE_TEMPERATURE)


@dataclass(frozen=True, slots=True)
class LifeSaying:
    """What an author says of life at a deviation: ``times`` rated life (two where a range is given), n, who."""

    times: tuple[float, ...]
    n: tuple[float, ...]
    author: str
    source: str

    def as_dict(self) -> dict[str, object]:
        return {"times": list(self.times), "n": list(self.n), "author": self.author, "source": self.source}


OTHER_SIDE = (
    "Disputed: Measures has each 3 % of over-voltage halve emissive life; others find that too little voltage costs "
    "emission faster than too much, and that few tubes die of lost carbide. Lower it only after showing spare emission."
)


def life_sayings(emitter: str, deviation_pct: float, limits: Limits) -> tuple[LifeSaying, ...]:
    """What is said of life at a deviation from rated voltage, never beyond the range that its author states.

    Oxide cathodes: no law is known, so nothing. Thoriated tungsten: one author, disputed (``OTHER_SIDE``).
    """
    ratio = 1 + deviation_pct / 100
    if emitter == "thoriated" and abs(deviation_pct) <= limits["life.thoriated_range_pct"]:
        n = exponent(0.5, limits["life.thoriated_halving_pct"])
        source = limits.source("life.thoriated_halving_pct")
        return (LifeSaying((life_ratio(ratio, n),), (n,), "R. L. Measures, 1997 (disputed)", source),)
    if emitter != "tungsten":
        return ()
    found = []
    if -limits["life.tungsten_range_pct"] <= deviation_pct <= 0:
        n = exponent(2, -limits["life.tungsten_doubling_pct"])
        source = limits.source("life.tungsten_doubling_pct")
        found.append(LifeSaying((life_ratio(ratio, n),), (n,), "RCA wartime notice", source))
    if abs(deviation_pct) <= limits["life.lamp_range_pct"]:
        band = (limits["life.lamp_low"], limits["life.lamp_high"])
        times = tuple(life_ratio(ratio, n) for n in band)
        found.append(LifeSaying(times, band, "lamp exponents", limits.source("life.lamp_low", "life.lamp_high")))
        current = ratio ** (1 / SPIE_VOLTAGE)
        if abs(current - 1) * 100 <= limits["life.lamp_range_pct"]:
            n = -SPIE_LIFE / SPIE_VOLTAGE
            found.append(
                LifeSaying((lamp_at(current).life,), (n,), "SPIE field guide, lamps", f"spie-fg11 ({DERIVED})")
            )
    return tuple(found)
