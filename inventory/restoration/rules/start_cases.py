"""When a check of the start sheet is asked for. Each condition gives a case for every time that it is, with the reason.

What is not known of a set never drops a check in silence: the case then says what is not known.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from inventory.restoration.rules.printed_limit import NO_LIMIT, Limit, around
from inventory.restoration.rules.set_facts import HIGH_V, LIVE_V, SUPPLY, X_RAY_V, SetFacts, SocketFacts


@dataclass(frozen=True, slots=True)
class Case:
    """Why a set gets a check; ``of``: which of several; what else goes into its words, and stands for its own.

    ``key``: of the check, where it looks at a row that may be called otherwise later.
    """

    because: str
    of: str = ""
    marks: str = ""
    how: str = ""
    expected: str = ""
    source: str = ""
    limit: Limit = NO_LIMIT
    key: str = ""


Cases = tuple[Case, ...]

MEAN, PEAK = 2 * math.sqrt(2) / math.pi, math.sqrt(2)  # of a sine, full wave, for 1 V rms
RECTIFIED = "mean and peak of a rectified sine, full wave: 0.900 and 1.414 of its rms volts"

#: Texts that speak of a hazard, where one could be read; the usual care itself is common practice.
HAZARD_TEXTS = {
    "mercury": "EPA, what to do if you spill mercury, epa.gov/mercury",
    "radium": "r-390 list, June 2018, 057225; angelfire.com/electronic/cwillis/rad/gauges.html",
    "beryllia": "OSHA limit as summarized at sentryair.com",
    "PCB oil": "40 CFR 761.2(a)(4): of before 2 July 1979, or undated and not marked No PCBs, is taken to hold them",
    "asbestos": "bvws.org.uk/405alive/tech/safety.html",
    "selenium": "yarchive.net; boatanchors list, June 2002, 000807; what the smoke is, is disputed",
    "X-rays": "R. Lyles, Amps list, March 2001, 00042",
    "implosion": "bvws.org.uk/405alive/tech/safety.html; details from memory",
    "radioactive": "isotopes of TR and gap tubes: carlwillis.wordpress.com/tag/radioactive",
    "weight": "NIOSH 94-110, revised 2021: 23 kg at the best, less from the floor or at arm's length",
}


def _marks(marks: Iterable[str]) -> str:
    return ", ".join(marks)


def always(facts: SetFacts) -> Cases:
    """Every set."""
    return (Case("every set"),)


def with_heaters(facts: SetFacts) -> Cases:
    """Every set but one in which no tube belongs."""
    return () if facts.tubeless else always(facts)


def _not_known(facts: SetFacts) -> str:
    """What is not known of the positions, in words; empty where each says what stands there."""
    if not facts.sockets:
        return "" if facts.no_tubes else "no position of this model is recorded"
    return f"what stands in {_marks(facts.unknown)} is not known" if facts.unknown else ""


def with_rectifier(facts: SetFacts) -> Cases:
    """A rectifier tube stands in it."""
    marks = _marks(facts.rectifiers)
    return (Case(f"a rectifier stands in {marks}{_but(_rectifying(facts))}", marks=marks),) if marks else ()


def rectifier_out(facts: SetFacts) -> Cases:
    """The same, when all that rectifies is to be out: a stand-in of semiconductors has no warm-up."""
    if not (own := _rectifying(facts)):
        return with_rectifier(facts)
    marks = _marks(one.mark for one in own)
    how = f"The stand-in in {marks} as well: it may conduct at once. Where it is wired in, open its supply."
    return tuple(replace(case, how=how) for case in with_rectifier(facts))


def _rectifying(facts: SetFacts) -> tuple[SocketFacts, ...]:
    """Stand-ins in positions of rectifiers."""
    return tuple(one for one in facts.stood_in if one.mark in facts.rectifiers)


def _but(sockets: Iterable[SocketFacts]) -> str:
    """That stand-ins sit in some of the positions named, behind what is said of their tubes."""
    return "".join(f"; in {one.mark} a stand-in, {one.stand_in}" for one in sockets)


def each_stand_in(facts: SetFacts) -> Cases:
    """A stand-in sits in a socket in the place of a tube, once for each."""
    return tuple(
        Case(
            "by the register it sits there",
            one.stand_in,
            one.mark,
            how=f"{one.stand_in_changes[:1].upper()}{one.stand_in_changes[1:].rstrip('.')}.",
            key=f"stand-in {one.mark}",
        )
        for one in facts.stood_in
    )


def without_rectifier(facts: SetFacts) -> Cases:
    """None is known in it."""
    if facts.rectifiers:
        return ()
    none = "no tube belongs in it" if facts.tubeless else "none of its positions is a rectifier's"
    return (Case(_not_known(facts) or none),)


def own_supply(facts: SetFacts) -> Cases:
    """It makes its plate voltage itself, or nobody knows."""
    if facts.rectifiers:
        return (Case(f"a rectifier stands in {_marks(facts.rectifiers)}"),)
    if facts.hazard("selenium"):
        return (Case("a selenium rectifier is named"),)
    if facts.kind == SUPPLY:
        return (Case("it is a power unit"),)
    unknown = _not_known(facts)
    return (Case(f"{unknown}: whether it has a supply of its own is not known"),) if unknown else ()


def stores_charge(facts: SetFacts) -> Cases:
    """Its filter can stay charged: a supply of its own, a transmitter, or high plate voltage."""
    if facts.transmits:
        return (Case("it is a transmitter"),)
    return own_supply(facts) or high_voltage(facts)


def high_voltage(facts: SetFacts) -> Cases:
    """Plate voltage from ``HIGH_V`` on, a transmitter, of which such voltage is taken for granted, or nobody knows."""
    if facts.highest_v and facts.highest_v >= HIGH_V:
        return (Case(f"{facts.highest_v:g} V is recorded on a plate"),)
    if facts.transmits:
        return (Case("it is a transmitter"),)
    return _may_come_to(facts, HIGH_V)


def _may_come_to(facts: SetFacts, volts: float) -> Cases:
    """Where nobody knows all of its plate voltages."""
    unknown = facts.plate_unknown
    return (Case(f"{unknown}: whether it comes to {volts:,.0f} V is not known"),) if unknown else ()


def transmits(facts: SetFacts) -> Cases:
    """A transmitter."""
    return (Case("it is a transmitter"),) if facts.transmits else ()


def with_neutralized(facts: SetFacts) -> Cases:
    """A position is neutralized."""
    marks = _marks(facts.marks(lambda socket: socket.neutralized))
    return (Case(f"{marks} neutralized", marks=marks),) if marks else ()


def with_mercury(facts: SetFacts) -> Cases:
    """A mercury rectifier stands in it, or is wanted there, or nobody knows what does."""
    marks, unknown = _marks(facts.mercury), _not_known(facts)
    if not marks and not unknown:
        return ()
    told = [f"mercury in {marks}" if marks else "", f"{unknown}: it may be mercury" if unknown else ""]
    asked = _marks(facts.unknown) or "any position"
    named = [marks, f"{asked} if there is one" if unknown else ""]
    return (
        Case(
            "; ".join(filter(None, told)), marks=", ".join(filter(None, named)), how=facts.mercury_care,
            source=facts.mercury_source,
        ),
    )  # fmt: skip


def with_selenium(facts: SetFacts) -> Cases:
    """A selenium rectifier is named."""
    found = facts.hazard("selenium")
    return (Case(found.told),) if found else ()


def with_regulator(facts: SetFacts) -> Cases:
    """A regulator tube stands in it."""
    marks = _marks(facts.regulators)
    volts = [
        f"{one.mark} {one.regulation_v:g} V" for one in facts.sockets
        if one.mark in facts.regulators and one.regulation_v is not None
    ]  # fmt: skip
    told = f"{', '.join(volts)}, by the type that it wants" if volts else ""
    but = _but(one for one in facts.stood_in if one.mark in facts.regulators)
    glow = ", which need not glow" if but else ""
    return (Case(f"a regulator stands in {marks}{but}{glow}", marks=marks, expected=told),) if marks else ()


def gives_x_rays(facts: SetFacts) -> Cases:
    """Voltages from ``X_RAY_V`` on, somebody's word, or nobody knows."""
    if facts.highest_v and facts.highest_v >= X_RAY_V:
        return (Case(f"{facts.highest_v:g} V is recorded on a plate"),)
    found = facts.hazard("X-rays")
    return (Case(found.told),) if found else _may_come_to(facts, X_RAY_V)


def each_string(facts: SetFacts) -> Cases:
    """Heaters in series, once a string."""
    return tuple(
        Case(
            f"heaters in series{_but(one for one in sockets if one.stand_in)}",
            letter,
            _marks(one.mark for one in sockets),
        )
        for letter, sockets in facts.strings.items()
    )


def each_string_volts(facts: SetFacts) -> Cases:
    """The same, with the voltages that belong across it."""
    sums = [_sum(sockets) for sockets in facts.strings.values()]
    return tuple(replace(case, expected=volts) for case, volts in zip(each_string(facts), sums, strict=True))


def _sum(sockets: Iterable[SocketFacts]) -> str:
    volts = [one.heater_v for one in sockets]
    if None in volts:
        return "not known: a heater voltage is missing"
    shares = " + ".join(f"{one:g}" for one in volts)
    return f"{shares} = {sum(one for one in volts if one):g} V"


def parallel_heaters(facts: SetFacts) -> Cases:
    """Heaters that are not in series, or nobody knows."""
    held = {one.mark for one in facts.stood_in}
    marks = _marks(mark for several in facts.heater_volts.values() for mark in several if mark not in held)
    if not marks and held:
        return ()
    if marks:
        fed = ", or in series: no branch is recorded" if facts.perhaps_on_mains else ""
        return (Case(f"heaters side by side{fed}", marks=marks),)
    return () if facts.sockets or facts.tubeless else (Case(_not_known(facts), marks="each position"),)


def each_heater_voltage(facts: SetFacts) -> Cases:
    """Once for each heater voltage that is fed side by side."""
    if not facts.sockets and not facts.tubeless:
        return (Case(_not_known(facts), marks="each position", expected="not known"),)
    return tuple(
        _heater_case(facts, volts, marks) if volts
        else Case("its heater voltage is not known", marks=_marks(marks), expected="not known")
        for volts, marks in facts.heater_volts.items()
    )  # fmt: skip


def _heater_case(facts: SetFacts, volts: float, marks: Iterable[str]) -> Case:
    """A heater voltage, with how far off it may be for the tubes on it, where a text says so."""
    of_them = [one for one in facts.sockets if one.mark in marks and one.heater_pct is not None]
    strictest = min(of_them, key=lambda one: one.heater_pct or 0, default=None)
    limit = around(volts, strictest.heater_pct) if strictest else NO_LIMIT
    told = f", {limit.told('V')}" if strictest else ""
    return Case(
        "every set", f"{volts:g} V", _marks(marks), expected=f"{volts:g} V{told}",
        source=strictest.heater_source if strictest else "", limit=limit,
    )  # fmt: skip


def rectifier_filaments(facts: SetFacts) -> Cases:
    """The windings of rectifier tubes, once for each voltage."""
    by_volts: dict[float | None, list[str]] = {}
    for socket in facts.sockets:
        if socket.mark in facts.rectifiers:
            by_volts.setdefault(socket.heater_v, []).append(socket.mark)
    stood_in = _rectifying(facts)
    return tuple(
        Case(
            f"a rectifier stands there{_but(one for one in stood_in if one.mark in marks)}",
            f"{volts:g} V" if volts else "", _marks(marks),
            expected=f"{volts:g} V, somewhat more without load" if volts else "not known",
        )
        for volts, marks in by_volts.items()
    )  # fmt: skip


def mains_on_chassis(facts: SetFacts) -> Cases:
    """Heaters that the mains themselves can feed, in a string or one alone, or nobody knows."""
    told = []
    for letter, sockets in facts.strings.items():
        volts = sum(one.heater_v or 0 for one in sockets)
        unknown = [one.mark for one in sockets if not one.heater_v]
        if volts >= LIVE_V:
            told.append(f"the heaters of branch {letter} come to {volts:g} V")
        elif unknown:
            which = f"heater voltage{'s' * (len(unknown) > 1)} of {_marks(unknown)} in branch {letter}"
            told.append(f"{which} not known: it may come to mains voltage")
    if loose := facts.perhaps_on_mains:
        which = _marks(f"{one.mark} ({one.heater_v:g} V)" for one in loose)
        told.append(
            f"the heater of {which} is on no branch that is recorded: how it is fed is not known"
            if len(loose) == 1
            else f"the heaters of {which} are on no branch that is recorded: how they are fed is not known"
        )
    if not facts.sockets and not facts.tubeless:
        told.append(f"{_not_known(facts)}: whether heaters hang on the mains is not known")
    return (Case("; ".join(told)),) if told else ()


def plate_supply(facts: SetFacts) -> Cases:
    """Every set, with the plate voltage that is recorded."""
    every = f"every set{_but(_rectifying(facts))}"
    of_others = [one for one in facts.sockets if one.plate_v and one.mark not in facts.rectifiers]
    if of_others:
        volts = max(one.plate_v or 0.0 for one in of_others)
        marks = _marks(one.mark for one in of_others if one.plate_v == volts)
        expected = f"above the {volts:g} V recorded on the plate of {marks}"
        return (Case(every, expected=expected, limit=Limit(least=volts)),)
    of_rectifiers = [one for one in facts.sockets if one.plate_v]
    if not of_rectifiers:
        return (Case(every, expected="no plate voltage is recorded of this model"),)
    return (Case(every, expected="; ".join(_behind(one) for one in of_rectifiers), source=RECTIFIED),)


def _behind(rectifier: SocketFacts) -> str:
    """What may stand behind a rectifier: its figure says neither of which volts it is nor what filter follows."""
    volts = rectifier.plate_v or 0.0
    return (
        f"{volts:g} V is recorded at {rectifier.mark}; if rms on each plate: about {MEAN * volts:.0f} V behind a "
        f"choke, up to {PEAK * volts:.0f} V behind a capacitor, less its drop; if dc: about {volts:g} V"
    )


def each_hazard(facts: SetFacts) -> Cases:
    """Every hazard of it but high voltage and stored charge: every set is discharged and proved dead."""
    asked_of_all = {"high voltage", "stored charge"}
    return tuple(
        Case(one.told, one.hazard, how=one.care, source=HAZARD_TEXTS.get(one.hazard, ""))
        for one in facts.hazards
        if one.hazard not in asked_of_all
    )


def each_weak_part(facts: SetFacts) -> Cases:
    """Every part that is known to be weak in its model, save those that are to be left alone."""
    return tuple(
        Case(
            one.said or "known to fail in this model",
            one.name,
            how=one.why,
            source=one.source or "the keeper's word, no source",
            key=one.key,
        )
        for one in facts.weak
    )


def each_line(facts: SetFacts) -> Cases:
    """What the plan wants done before power."""
    return tuple(Case("a line of this plan", one.words, source="this plan", key=one.key) for one in facts.lines)
