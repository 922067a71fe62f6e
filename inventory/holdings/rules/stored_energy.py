"""What a bank of capacitors holds, and how long it takes to let it go.

``E = C V^2 / 2``, ``t = R C ln(V0/V)``. That power capacitors are brought below 50 V within 5 minutes is a rule of
power engineers (electrotechnik.net, October 2009), far too slow at a bench: there it is seconds, and then a meter
proves it. Charge that comes back: DOE-HDBK-1092, 10.10.1 (nuclearpowerradiation.tpub.com).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

SAFE_V = 50.0
CAUTION = (
    "Figures prove nothing: bleeders open without warning, and a switched-off carrier can leave high voltage on. Power"
    " off and locked; prove the meter on a live source, then the bank dead; discharge it through a resistor on an"
    " insulated stick, with one hand, never alone; then short it and leave it shorted while hands are in. A capacitor"
    " recovers charge from its dielectric after it was shorted, also on the shelf. Local codes and licensed practice"
    " come first."
)


class BankFault(ValueError):
    """Figures that are none of a bank; the message names the one at fault."""


@dataclass(frozen=True, slots=True)
class Bank:
    """A bank of ``uf`` microfarad at ``volts``."""

    uf: float
    volts: float

    def __post_init__(self) -> None:
        _positive(capacitance=self.uf, voltage=self.volts)

    @property
    def energy_j(self) -> float:
        """Joule that it holds."""
        return self.uf * 1e-6 * self.volts**2 / 2

    def seconds(self, ohm: float, down_to: float = SAFE_V) -> float:
        """Until a resistor has brought it down to a voltage; 0 where it is not above that. Raises BankFault."""
        _positive(resistance=ohm, **{"voltage to come down to": down_to})
        return ohm * self.uf * 1e-6 * max(0.0, math.log(self.volts / down_to))

    def watts(self, ohm: float) -> float:
        """What a bleeder of so many ohm dissipates as long as the supply is on. Raises BankFault."""
        _positive(resistance=ohm)
        return self.volts**2 / ohm

    def largest_ohm(self, seconds: float, down_to: float = SAFE_V) -> float | None:
        """The largest resistor that brings it down in time; None where it is not above that. Raises BankFault."""
        _positive(time=seconds, **{"voltage to come down to": down_to})
        if self.volts <= down_to:
            return None
        return seconds / (self.uf * 1e-6 * math.log(self.volts / down_to))


def joined_uf(capacitors: Sequence[float], in_series: bool = False) -> float:
    """Capacitors as one, in parallel or in series. Raises BankFault.

    In series the voltages add; how they share it depends on their leakage, so each wants a resistor of its own.
    """
    if not capacitors:
        raise BankFault("no capacitor is named")
    for one in capacitors:
        _positive(capacitance=one)
    return 1 / sum(1 / one for one in capacitors) if in_series else math.fsum(capacitors)


def _positive(**figures: float) -> None:
    for name, figure in figures.items():
        if not (math.isfinite(figure) and figure > 0):
            raise BankFault(f"{name} {figure:g}; expected more than 0")
