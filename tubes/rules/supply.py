"""The filament supply: what series and parallel heaters ask of it, droppers and shunts, deviation, cold inrush.

Parallel: currents add. Series: one current, voltages add; a dropper takes ``(V_supply - sum V) / I``; a heater of less
current needs a shunt ``V / (I_string - I)`` (Ohm's law). Voltages count at the pins, warmed up, true rms.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from tubes.rules.circuit import Node, Series, Tube, branches, tubes_in
from tubes.rules.emission import (
    EMITTERS,
    OTHER_SIDE,
    LifeSaying,
    emission_ratio,
    life_sayings,
    percent_per_percent_volt,
)
from tubes.rules.judge_heater import EMITTER_OF, tolerance_of, volts_rank
from tubes.rules.judge_parts import CARE, FITS, SLACK
from tubes.rules.limits import Limits
from tubes.rules.mercury import disputes, handling, texts_behind

LEAST_V, MOST_V = 0.1, 10_000.0  # what a filament supply may be, V; no tube asks for less or more


@dataclass(frozen=True, slots=True)
class Heater:
    """The rated heater of a type: V, A, cathode word of the tables; whether a figure is from memory, and whether the
    tube holds mercury."""

    type: str
    volts: float
    amperes: float
    cathode: str
    from_memory: bool = False
    mercury: bool = False


@dataclass(frozen=True, slots=True)
class Resistor:
    """A shunt across, or a dropper before, some tubes: ohm and watts."""

    tubes: tuple[str, ...]
    ohm: float
    watts: float

    def as_dict(self) -> dict[str, object]:
        return {"tubes": list(self.tubes), "ohm": self.ohm, "w": self.watts}


@dataclass(frozen=True, slots=True)
class Load:
    """What a part of the circuit asks for at rated voltage of its tubes, with the resistors inside it."""

    volts: float
    amperes: float
    shunts: tuple[Resistor, ...] = ()
    droppers: tuple[Resistor, ...] = ()


@dataclass(frozen=True, slots=True)
class Branch:
    """A branch on the supply. ``deviation_pct``: over or under rating if nothing is put in its way."""

    tubes: tuple[str, ...]
    load: Load
    dropper: Resistor
    deviation_pct: float
    life: tuple[tuple[str, LifeSaying], ...]

    def as_dict(self) -> dict[str, object]:
        return {
            "tubes": list(self.tubes),
            "volts_needed": self.load.volts,
            "current_a": self.load.amperes,
            "dropper_ohm": self.dropper.ohm,
            "dropper_w": self.dropper.watts,
            "deviation_pct": self.deviation_pct,
            "shunts": [shunt.as_dict() for shunt in self.load.shunts],
            "inner_droppers": [dropper.as_dict() for dropper in self.load.droppers],
            "life": [{"type": name, **saying.as_dict()} for name, saying in self.life],
        }


@dataclass(frozen=True, slots=True)
class Supply:
    """The whole supply: branches, A, W that it gives, cold inrush A (least and most measured), cautions."""

    branches: tuple[Branch, ...]
    amperes: float
    watts: float
    inrush_a: tuple[float, float]
    warnings: tuple[str, ...]

    def as_dict(self) -> dict[str, object]:
        return {
            "branches": [branch.as_dict() for branch in self.branches],
            "total_current_a": self.amperes,
            "total_w": self.watts,
            "inrush_a": list(self.inrush_a),
            "warnings": list(self.warnings),
        }


def load_of(node: Node, heaters: Mapping[str, Heater]) -> Load:
    """What a circuit asks for; ``heaters`` by the text of each tube."""
    if isinstance(node, Tube):
        heater = heaters[node.text]
        return Load(heater.volts, heater.amperes)
    loads = [load_of(part, heaters) for part in node.parts]
    shunts = [shunt for load in loads for shunt in load.shunts]
    droppers = [dropper for load in loads for dropper in load.droppers]
    names = [tuple(heaters[tube.text].type for tube in tubes_in(part)) for part in node.parts]
    if isinstance(node, Series):
        current = max(load.amperes for load in loads)
        for load, tubes in zip(loads, names, strict=True):
            if ohm := shunt_ohm(load.volts, load.amperes, current):
                shunts.append(Resistor(tubes, ohm, load.volts**2 / ohm))
        return Load(sum(load.volts for load in loads), current, tuple(shunts), tuple(droppers))
    volts = max(load.volts for load in loads)
    for load, tubes in zip(loads, names, strict=True):
        droppers += _dropper(tubes, volts, load)
    return Load(volts, sum(load.amperes for load in loads), tuple(shunts), tuple(droppers))


def shunt_ohm(volts: float, amperes: float, string_a: float) -> float:
    """The shunt across a heater of less current than its string, ohm; 0 where it needs none."""
    spare = string_a - amperes
    return volts / spare if spare > SLACK * string_a else 0.0


def _dropper(tubes: tuple[str, ...], supply_v: float, load: Load) -> list[Resistor]:
    """The dropper that brings a supply down to what a load needs; none where it has no more than that."""
    over = supply_v - load.volts
    if over <= SLACK * supply_v:
        return []
    return [Resistor(tubes, over / load.amperes, over * load.amperes)]


def filament_supply(
    circuit: Node, heaters: Mapping[str, Heater], supply_v: float, limits: Limits, budget_a: float | None = None
) -> Supply:
    """What a supply of ``supply_v`` volts must give to a circuit, branch by branch, and what to look at.

    ``budget_a``: amperes that the supply can give, if known.
    """
    found = [_branch(node, heaters, supply_v, limits) for node in branches(circuit)]
    total = sum(branch.load.amperes for branch in found)
    cold = (limits["supply.inrush_low"] * total, limits["supply.inrush_high"] * total)
    warnings = [words for branch in found for words in _cautions(branch, heaters, supply_v, limits)]
    warnings += _whole(circuit, heaters, total, cold, limits, budget_a)
    return Supply(tuple(found), total, supply_v * total, cold, tuple(dict.fromkeys(warnings)))


def _branch(node: Node, heaters: Mapping[str, Heater], supply_v: float, limits: Limits) -> Branch:
    load = load_of(node, heaters)
    inside = [heaters[tube.text] for tube in tubes_in(node)]
    names = tuple(heater.type for heater in inside)
    dropper = next(iter(_dropper(names, supply_v, load)), Resistor(names, 0.0, 0.0))
    deviation = 100 * (supply_v / load.volts - 1)
    life = {
        (heater.type, saying)
        for heater in inside
        for saying in life_sayings(EMITTER_OF.get(heater.cathode, ""), deviation, limits)
        if abs(deviation) > SLACK
    }
    return Branch(names, load, dropper, deviation, tuple(sorted(life, key=lambda one: (one[0], one[1].author))))


def _cautions(branch: Branch, heaters: Mapping[str, Heater], supply_v: float, limits: Limits) -> Iterator[str]:
    """Deviation of a branch that has nothing in its way, once for each emitter in it."""
    where = " + ".join(branch.tubes)
    off, side = abs(branch.deviation_pct), "over" if branch.deviation_pct > 0 else "under"
    if off > 0.05:
        cathodes = {heater.cathode for heater in heaters.values() if heater.type in branch.tubes}
        for cathode in sorted(cathodes):
            yield from _deviation(where, cathode, branch.deviation_pct, f"{off:.1f} % {side}", limits)
    if branch.dropper.ohm:
        yield (
            f"{where}: the dropper takes {branch.dropper.watts:.2f} W all the time and the full {supply_v:g} V while "
            "the heaters are cold; it gets hot."
        )
    for shunt in branch.load.shunts:
        yield f"{' + '.join(shunt.tubes)}: shunt of {shunt.ohm:.2f} ohm, {shunt.watts:.3g} W, across it in its string."


def _deviation(where: str, cathode: str, deviation: float, words: str, limits: Limits) -> Iterator[str]:
    tolerance = tolerance_of(cathode, limits)
    if tolerance is None:
        yield f"{where}: {words} without a dropper; the emitter is not known, so no tolerance is."
        return
    emitter = EMITTER_OF[cathode]
    rank, over = volts_rank(deviation, tolerance), deviation > 0
    right, care = (tolerance.high, tolerance.care_high) if over else (tolerance.low, tolerance.care_low)
    bounds = f"{emitter} stands {right:g} %" + (f", with care {care:g} %" if care != right else "")
    if rank == FITS:
        yield f"{where}: {words} without a dropper, within the {right:g} % that {emitter} stands."
    elif rank == CARE:
        yield f"{where}: {words} without a dropper: with care ({bounds})."
    elif over:
        yield f"{where}: {words} without a dropper: not without one ({bounds})."
    else:
        yield f"{where}: {words}: the supply is too low, and no resistor mends that ({bounds})."
    if emitter == "thoriated":
        yield "Thoriated tungsten suffers from too little as from too much. " + OTHER_SIDE
    if deviation < 0:
        kept = 100 * emission_ratio(EMITTERS[emitter], 1 + deviation / 100)
        slope = percent_per_percent_volt(EMITTERS[emitter])
        yield (
            f"{where}: emission falls to about {kept:.0f} % ({slope:.1f} % for each per cent of voltage; derived, the "
            "temperature by a lamp figure)."
        )


def _whole(
    circuit: Node,
    heaters: Mapping[str, Heater],
    total: float,
    cold: tuple[float, float],
    limits: Limits,
    budget_a: float | None,
) -> Iterator[str]:
    if budget_a is not None and total > budget_a * (1 + SLACK):
        yield f"The supply gives {budget_a:g} A, the heaters draw {total:.2f} A: {total - budget_a:.2f} A short."
    yield (
        f"Cold, the heaters may draw {cold[0]:.1f} to {cold[1]:.1f} A for a moment ({limits['supply.inrush_low']:g} to "
        f"{limits['supply.inrush_high']:g} times; {limits.told('supply.inrush_low')})."
    )
    used = [heaters[tube.text] for tube in tubes_in(circuit)]
    large = {h.type for h in used if h.cathode == "thoriated-tungsten" and h.amperes >= limits["supply.inrush_large_a"]}
    for name in sorted(large):
        allowed, source = limits["supply.inrush_allowed"], limits.told("supply.inrush_allowed")
        yield f"{name}: makers often hold the inrush of large thoriated tubes to {allowed:g} times ({source})."
    if mercury := {heater.type for heater in used if heater.mercury}:
        titles = "; ".join(map(limits.title, texts_behind(limits)))
        yield f"{', '.join(sorted(mercury))}: {handling(limits)} ({titles})"
        yield from disputes(mercury)
    if by_heart := sorted({heater.type for heater in used if heater.from_memory}):
        yield f"Heater figures from memory: {', '.join(by_heart)}; check them against a data sheet."
