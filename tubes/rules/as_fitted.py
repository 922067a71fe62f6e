"""What stands across each heater of a branch with the tubes that are in it, droppers and shunts as first laid out.

A hot filament is no resistor: its current follows ``I/I0 = (V/V0) ** 0.55`` (lamp figure, *Lamp rerating*; taken for
every emitter, an assumption). In a string one current flows, so that each tube takes the voltage that asks for it.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from tubes.rules.supply import Heater

CURRENT_EXPONENT = 0.55
_STEPS = 80  # halvings at most: to the last bit of a float


@dataclass(frozen=True, slots=True)
class Seat:
    """A place in a branch: the heater in it (None: empty socket) and the shunt across it, ohm (0: none)."""

    heater: Heater | None
    shunt_ohm: float = 0.0


@dataclass(frozen=True, slots=True)
class Across:
    """Volts and amperes of one heater, and per cent over (or under) its rating."""

    volts: float
    amperes: float
    deviation_pct: float


def heater_amperes(heater: Heater, volts: float) -> float:
    """Current of a hot heater at a voltage, A."""
    return heater.amperes * float((volts / heater.volts) ** CURRENT_EXPONENT)


def _root(rises: Callable[[float], float], high: float) -> float:
    """Where a rising function is zero, between 0 and ``high``."""
    low = 0.0
    for _ in range(_STEPS):
        middle = (low + high) / 2
        if middle in (low, high):  # no float lies between
            break
        low, high = (low, middle) if rises(middle) > 0 else (middle, high)
    return (low + high) / 2


def _volts_at(seat: Seat, amperes: float, most: float) -> float:
    """Voltage across a seat that carries a current."""
    heater = seat.heater
    assert heater is not None
    if not seat.shunt_ohm:
        return min(heater.volts * float((amperes / heater.amperes) ** (1 / CURRENT_EXPONENT)), most)

    def over(volts: float) -> float:
        return heater_amperes(heater, volts) + volts / seat.shunt_ohm - amperes

    return _root(over, most)


def across(seats: Sequence[Seat], supply_v: float, dropper_ohm: float) -> tuple[float, list[Across | None]]:
    """Current of a branch (A) and what stands across each heater; an empty socket opens the branch.

    ``supply_v`` volts across the branch and its dropper (ohm). Shunts of an empty socket are taken as open too.
    """
    if not seats or any(seat.heater is None for seat in seats):
        return 0.0, [None] * len(seats)

    def over(amperes: float) -> float:
        spent = sum(_volts_at(seat, amperes, supply_v) for seat in seats)
        return spent + amperes * dropper_ohm - supply_v

    most = max(
        heater_amperes(s.heater, supply_v) + (supply_v / s.shunt_ohm if s.shunt_ohm else 0) for s in seats if s.heater
    )
    current = _root(over, most)
    found: list[Across | None] = []
    for seat in seats:
        heater = seat.heater
        assert heater is not None
        volts = _volts_at(seat, current, supply_v)
        found.append(Across(volts, heater_amperes(heater, volts), 100 * (volts / heater.volts - 1)))
    return current, found
