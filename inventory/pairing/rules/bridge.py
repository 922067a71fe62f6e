"""The neutralizing capacitor as one arm of a bridge: what it must be, whether it can be, what another type needs.

All rules but the grid bridge's (common practice) follow from balancing two currents into one point; the balance holds
at every frequency, as long as the ratio of the circuit holds. Capacitances in pF (Cgp: grid to plate), turns as counts.

* ``plate-tap`` (tapped tank):      Cn = Cgp Np/Nn     Np, Nn: turns from the tap at RF ground to plate, to Cn
* ``split-stator`` (rotor grounded): Cn = Cgp Cb/(Ca + Cpk)   Ca, Cb: sections on the plate side, on the Cn side
* ``grid-tap``:                     Cn = Cgp Ng/Nx     Ng, Nx: turns from the tap to grid, to Cn
* ``grid-bridge`` (with bypass Cb): Cn = Cgp Cb/Cgf    Cgf: grid to filament, strays included
* ``cross`` (push-pull):            Cn = Cgp of the tube that it leaves
"""

import math
from dataclasses import dataclass, fields, replace

MEANINGS = {
    "cgp": "capacitance grid to plate",
    "np": "turns from the tap to the plate",
    "nn": "turns from the tap to the neutralizing end",
    "ca": "section of the tank capacitor on the plate side",
    "cb": "section of the tank capacitor on the neutralizing side, or the bypass of a grid bridge",
    "cpk": "capacitance plate to cathode",
    "ng": "turns from the tap to the grid",
    "nx": "turns from the tap to the neutralizing end of the grid coil",
    "cgf": "capacitance grid to filament, strays included",
}
NEEDS = {
    "plate-tap": ("np", "nn"),
    "split-stator": ("ca", "cb", "cpk"),
    "grid-tap": ("ng", "nx"),
    "grid-bridge": ("cb", "cgf"),
    "cross": (),
}
CIRCUITS = tuple(NEEDS)
LEAST_RATIO = 1e-6  # of the arms of a bridge; beyond it no circuit was ever built, and figures run out


class BridgeFault(ValueError):
    """A figure that is missing, out of place or none; ``option`` is its short name as in MEANINGS."""

    def __init__(self, option: str, text: str) -> None:
        super().__init__(f"{option} {text}")
        self.option = option


@dataclass(frozen=True, slots=True)
class Bridge:
    """A circuit, its own values and the capacitances of the tube. Raises BridgeFault for what does not make one."""

    circuit: str
    cgp: float | None = None
    np: float | None = None
    nn: float | None = None
    ca: float | None = None
    cb: float | None = None
    cpk: float | None = None
    ng: float | None = None
    nx: float | None = None
    cgf: float | None = None

    def __post_init__(self) -> None:
        if self.circuit not in NEEDS:
            raise BridgeFault("circuit", f"{self.circuit!r} is not known; expected one of {', '.join(CIRCUITS)}")
        needed = ("cgp", *NEEDS[self.circuit])
        for name in (field.name for field in fields(self) if field.name != "circuit"):
            value = getattr(self, name)
            if name in needed:
                _positive(name, value, f"{MEANINGS[name]}, for {self.circuit}")
            elif value is not None:
                raise BridgeFault(name, f"has no place in {self.circuit}, which takes {', '.join(needed)}")
        if not LEAST_RATIO <= ratio(self) <= 1 / LEAST_RATIO:
            told = f"makes the capacitor {ratio(self):g} times the tube's capacitance; look at {', '.join(needed[1:])}"
            raise BridgeFault(needed[-1], told)

    def value(self, name: str) -> float:
        return float(getattr(self, name))


def _positive(name: str, value: float | None, meaning: str) -> None:
    if value is None:
        raise BridgeFault(name, f"is missing ({meaning})")
    if not (math.isfinite(value) and value > 0):
        raise BridgeFault(name, f"is {value:g}; expected a figure above 0 ({meaning})")


def ratio(bridge: Bridge) -> float:
    """Cn over Cgp at balance."""
    get = bridge.value
    if bridge.circuit == "plate-tap":
        return get("np") / get("nn")
    if bridge.circuit == "split-stator":
        return get("cb") / (get("ca") + get("cpk"))
    if bridge.circuit == "grid-tap":
        return get("ng") / get("nx")
    return get("cb") / get("cgf") if bridge.circuit == "grid-bridge" else 1.0


def cn_pf(bridge: Bridge) -> float:
    """What the neutralizing capacitor must have, pF."""
    return bridge.value("cgp") * ratio(bridge)


def in_parallel(*cgp: float) -> float:
    """Cgp of tubes in parallel, pF: they add."""
    for one in cgp or (None,):
        _positive("cgp", one, MEANINGS["cgp"])
    return math.fsum(cgp)


def residual_pf(bridge: Bridge, cn: float) -> float:
    """What still couples output to input with ``cn`` pF: Cgp - Cn/ratio, pF; negative when Cn is too large."""
    if not (math.isfinite(cn) and cn >= 0):
        raise BridgeFault("cn", f"is {cn:g}; expected a figure of 0 or more")
    return bridge.value("cgp") - cn / ratio(bridge)


def reactance_ohm(capacitance_pf: float, frequency_kc: float) -> float:
    """1/(2 pi f C) in ohm; the sign of a residual coupling is left aside, none at all is infinite."""
    _positive("frequency", frequency_kc, "kc")
    if not math.isfinite(capacitance_pf):
        raise BridgeFault("capacitance", "is no figure")
    return 1e9 / (2 * math.pi * frequency_kc * abs(capacitance_pf)) if capacitance_pf else math.inf


IN_RANGE, BELOW, ABOVE = "in range", "below the range", "above the range"


@dataclass(frozen=True, slots=True)
class InRange:
    """Whether Cn lies in a capacitor's range.

    ``missing_pf``: how far outside, 0 inside; ``place``: where in the range, 0 at its least, 1 at its most.
    """

    verdict: str  # IN_RANGE, BELOW or ABOVE
    missing_pf: float
    place: float

    @property
    def fits(self) -> bool:
        return not self.missing_pf


def lies_in_range(cn: float, least_pf: float, most_pf: float) -> InRange:
    """Compare Cn with the range of the capacitor, its ends included (both in pF, strays across it included)."""
    _positive("cn", cn, "neutralizing capacitance")
    if not (math.isfinite(least_pf) and least_pf >= 0):
        raise BridgeFault("min", f"is {least_pf:g}; expected a figure of 0 or more")
    if not (math.isfinite(most_pf) and most_pf > least_pf):
        raise BridgeFault("max", f"is {most_pf:g}; expected more than the least, {least_pf:g}")
    place, near = (cn - least_pf) / (most_pf - least_pf), 1e-9 * most_pf
    if cn < least_pf - near:
        return InRange(BELOW, least_pf - cn, place)
    if cn > most_pf + near:
        return InRange(ABOVE, cn - most_pf, place)
    return InRange(IN_RANGE, 0.0, place)


@dataclass(frozen=True, slots=True)
class Substitute:
    """What another tube type needs: its Cn, that over the present Cn, the step, and the place in the range if given."""

    cn_pf: float
    ratio: float
    change_pf: float
    in_range: InRange | None


def substitute(
    bridge: Bridge,
    cgp: float,
    cpk: float | None = None,
    cgf: float | None = None,
    least_pf: float | None = None,
    most_pf: float | None = None,
) -> Substitute:
    """The same circuit with a type of other capacitances.

    Those that the circuit turns on must be given: a missing Cpk or Cgf of the new type is not taken from the old one.
    Those that it does not turn on are passed over. A range needs both its ends.
    """
    needs = NEEDS[bridge.circuit]
    new = replace(bridge, cgp=cgp, cpk=cpk if "cpk" in needs else None, cgf=cgf if "cgf" in needs else None)
    cn = cn_pf(new)
    was = cn_pf(bridge)
    where = None
    if least_pf is not None or most_pf is not None:
        where = lies_in_range(cn, math.nan if least_pf is None else least_pf, math.nan if most_pf is None else most_pf)
    return Substitute(cn, cn / was, cn - was, where)
