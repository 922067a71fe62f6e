"""Heater voltage and current of a candidate against the supply of the place (laws of the heater: ``supply.py``)."""

import math
from dataclasses import dataclass

from tubes.rules.figures import Figure, TypeFigures
from tubes.rules.judge_parts import (
    CARE,
    FITS,
    REWIRE,
    SLACK,
    UNKNOWN,
    UNSUITABLE,
    Case,
    Conditions,
    Finding,
    memory_words,
    missing,
    sources_of,
)
from tubes.rules.limits import LimitMissing, Limits

EMITTER_OF = {
    "oxide-indirect": "oxide",
    "oxide-direct": "oxide",
    "thoriated-tungsten": "thoriated",
    "tungsten": "tungsten",
}
BANDS = ("heater_low_pct", "heater_high_pct", "heater_care_low_pct", "heater_care_high_pct")


@dataclass(frozen=True, slots=True)
class Tolerance:
    """Per cent below and above the rated voltage: right, and taken with care."""

    low: float
    high: float
    care_low: float
    care_high: float
    source: str = ""


def tolerance_of(cathode: str, limits: Limits) -> Tolerance | None:
    """The tolerance of an emitter by the cathode word of the tables; None where there is none to go by."""
    emitter = EMITTER_OF.get(cathode)
    return None if emitter is None else limits.once(("tolerance", emitter), lambda: _bands(emitter, limits))


def _bands(emitter: str, limits: Limits) -> Tolerance:
    keys = [f"judge.{band}.{emitter}" for band in BANDS]
    low, high, care_low, care_high = (limits[key] for key in keys)
    return Tolerance(low, high, care_low, care_high, limits.source(*keys))


@dataclass(frozen=True, slots=True)
class Connection:
    """A way to connect a heater: rated volts and amperes; ``other``: not the one in the type's own columns."""

    volts: Figure | None
    amperes: Figure | None
    other: bool = False


@dataclass(frozen=True, slots=True)
class Place:
    """What the position gives: the connection it is wired for, and its supply."""

    wired: Connection
    conditions: Conditions

    @property
    def volts(self) -> float | None:
        """Volts that stand across the wanted type."""
        if self.conditions.supply_v is not None and not self.conditions.series:
            return self.conditions.supply_v
        return self.wired.volts.value if self.wired.volts else None

    @property
    def amperes(self) -> float | None:
        """Amperes of the string, or of the wanted type."""
        if self.conditions.series and self.conditions.string_a is not None:
            return self.conditions.string_a
        return self.wired.amperes.value if self.wired.amperes else None


def connections(figures: TypeFigures) -> list[Connection]:
    """The connections of a heater, the one of the columns first; where less is known of it, no other is offered."""
    numbers = figures.numbers
    as_much = "heater_a" in numbers or "alt_heater_a" not in numbers
    found = [Connection(numbers.get("heater_v"), numbers.get("heater_a"))]
    if "alt_heater_v" in numbers and "heater_v" in numbers and as_much:
        found.append(Connection(numbers["alt_heater_v"], numbers.get("alt_heater_a"), other=True))
    return found


def place_of(wanted: TypeFigures, conditions: Conditions) -> Place:
    """The place as wired: a tapped heater is taken in the connection that suits the supply given."""
    main, *others = connections(wanted)
    wired = main
    for other in others:
        if conditions.series and conditions.string_a is not None:
            nearer = _off(other.amperes, conditions.string_a) < _off(main.amperes, conditions.string_a)
        else:
            nearer = (
                not conditions.series
                and conditions.supply_v is not None
                and _off(other.volts, conditions.supply_v) < _off(main.volts, conditions.supply_v)
            )
        wired = other if nearer else wired
    return Place(wired, conditions)


def _off(figure: Figure | None, given: float) -> float:
    return abs(given / figure.value - 1) if figure and figure.value else float("inf")


def deviation_pct(place: Place, volts: float) -> float | None:
    """Per cent over (or under) a rated voltage; in a string of known supply, that of the whole string.

    Where the string's supply is not given, the candidate has the wanted type's share of it.
    """
    share = place.volts
    if share is None or volts <= 0:
        return None
    supply = place.conditions.supply_v
    if place.conditions.series and supply is not None:  # no less than the share: ``judge.checked``
        return 100 * (supply / (supply - share + volts) - 1)
    return 100 * (share / volts - 1)


def of_any_emitter(limits: Limits) -> Tolerance:
    """Of an emitter that is not known: what is right for each, and (as ``care``) beyond what none is used."""
    return limits.once("tolerance of any emitter", lambda: _of_all(limits))


def _of_all(limits: Limits) -> Tolerance:
    try:
        every = [found for word in EMITTER_OF if (found := tolerance_of(word, limits))]
    except LimitMissing:  # no tables yet: nothing is right for each, nothing beyond what one bears
        return Tolerance(-math.inf, -math.inf, math.inf, math.inf)
    return Tolerance(
        min(one.low for one in every), min(one.high for one in every),
        max(one.care_low for one in every), max(one.care_high for one in every),
        ", ".join(dict.fromkeys(one.source for one in every)),
    )  # fmt: skip


def volts_rank(deviation: float, tolerance: Tolerance) -> int:
    """Right, with care, too much (a dropper mends it), or too little (nothing in the tube's place can mend it)."""
    if -tolerance.low - SLACK <= deviation <= tolerance.high + SLACK:
        return FITS
    if -tolerance.care_low - SLACK <= deviation <= tolerance.care_high + SLACK:
        return CARE
    return REWIRE if deviation > 0 else UNSUITABLE


def rank_of_any(deviation: float, tolerance: Tolerance | None, limits: Limits) -> int:
    """As ``volts_rank``; of an emitter that is not known: not known where emitters differ."""
    if tolerance is not None:
        return volts_rank(deviation, tolerance)
    rank = volts_rank(deviation, of_any_emitter(limits))
    return UNKNOWN if rank == CARE else rank


def amperes_rank(place: Place, amperes: float, limits: Limits) -> int:
    """In a string: as the string, less (a shunt mends it) or more. In parallel: what the supply is asked to give."""
    conditions, needed = place.conditions, place.amperes
    if conditions.series:
        if needed is None:
            return UNKNOWN
        off = 100 * (amperes / needed - 1)
        if abs(off) <= limits["judge.series_current_pct"] + SLACK:
            return FITS
        return REWIRE if off < 0 else UNSUITABLE
    if conditions.budget_a is not None:
        return FITS if amperes <= conditions.budget_a * (1 + SLACK) else UNSUITABLE
    if needed is None:
        return UNKNOWN
    more = 100 * (amperes / needed - 1)
    if more <= limits["judge.heater_more_pct"] + SLACK:
        return FITS
    return CARE if more <= limits["judge.heater_more_care_pct"] + SLACK else UNSUITABLE


def rewired(place: Place, connection: Connection, same_basing: bool) -> bool:
    """Whether the heater pins must be wired anew to use this connection."""
    return connection.other != place.wired.other or (connection.other and not same_basing)


def connection_rank(
    case: Case, place: Place, connection: Connection, tolerance: Tolerance | None, same: bool
) -> tuple[int, int]:
    """Ranks of voltage and current with the candidate connected so."""
    volts = UNKNOWN
    if connection.volts is not None:
        deviation = deviation_pct(place, connection.volts.value)
        volts = UNKNOWN if deviation is None else rank_of_any(deviation, tolerance, case.limits)
    if rewired(place, connection, same):
        volts = max(volts, REWIRE)
    amperes = UNKNOWN if connection.amperes is None else amperes_rank(place, connection.amperes.value, case.limits)
    return volts, amperes


def heater_findings(case: Case) -> tuple[list[Finding], list[str]]:
    """Findings about heater voltage and current, and what the change entails."""
    if case.candidate.cold:
        return _cold(case)
    place = place_of(case.wanted, case.conditions)
    tolerance = tolerance_of(case.candidate.word("cathode"), case.limits)
    same = _same_basing(case)
    connection = _chosen(case, place)
    volts, amperes = connection_rank(case, place, connection, tolerance, same)
    found = [
        _volts_finding(case, place, connection, tolerance, volts),
        _amperes_finding(case, place, connection, amperes),
    ]
    return found, _entailed(place, connection, volts, amperes, rewired(place, connection, same))


def _same_basing(case: Case) -> bool:
    code = case.wanted.word("basing")
    return bool(code) and code == case.candidate.word("basing")


def _chosen(case: Case, place: Place) -> Connection:
    """The connection of the candidate that suits the place best."""
    tolerance, same = tolerance_of(case.candidate.word("cathode"), case.limits), _same_basing(case)
    ranked = [(max(connection_rank(case, place, c, tolerance, same)), c.other, c) for c in connections(case.candidate)]
    return min(ranked, key=lambda one: one[:2])[2]


def side_by_side(case: Case) -> tuple[bool, bool]:
    """Whether the halves of the heater are in parallel: of the wanted type in its place, of the candidate there."""
    if case.candidate.cold:
        return False, False
    place = place_of(case.wanted, case.conditions)
    return _in_parallel(case.wanted, place.wired), _in_parallel(case.candidate, _chosen(case, place))


def _in_parallel(figures: TypeFigures, used: Connection) -> bool:
    """Of the two connections of a tapped heater, the one of fewer volts has its halves in parallel."""
    volts = [one.volts.value for one in connections(figures) if one.volts is not None]
    return len(volts) == 2 and used.volts is not None and used.volts.value == min(volts)


def _cold(case: Case) -> tuple[list[Finding], list[str]]:
    """A candidate without heater: nothing to ask in parallel; a string is open without it."""
    if not case.conditions.series or case.wanted.cold:
        return [], []
    place = place_of(case.wanted, case.conditions)
    if place.volts is None or place.amperes is None:
        return [missing("heater current", case.wanted.name, "Heater", None, "no heater")], []
    text = (
        f"{case.candidate.name} has no heater: the string is open without {place.volts / place.amperes:.1f} ohm, "
        f"{place.volts * place.amperes:.1f} W in its place."
    )
    source = sources_of(place.wired.amperes, None)
    found = Finding("heater current", REWIRE, place.amperes, "no heater", None, text, source)
    return [found], ["heater wiring: a resistor in place of the heater in the string"]


def _volts_finding(case: Case, place: Place, connection: Connection, tolerance: Tolerance | None, rank: int) -> Finding:
    check, name = "heater voltage", case.candidate.name
    wanted, volts = place.volts, connection.volts
    if volts is None:
        return missing(check, name, "Heater voltage", wanted, None, sources_of(place.wired.volts, None))
    deviation = deviation_pct(place, volts.value)
    band = tolerance or of_any_emitter(case.limits)
    if tolerance is None and (deviation is None or rank == UNKNOWN):
        return missing(check, name, "Emitter", wanted, volts.value, sources_of(place.wired.volts, volts))
    if deviation is None:
        text = f"The heater supply at this place is not known; {name} needs {volts.value:g} V."
        return Finding(check, UNKNOWN, wanted, volts.value, None, text, sources_of(place.wired.volts, volts))
    limit = f"-{band.low:g} to +{band.high:g} %"
    if tolerance is None:
        limit = f"{limit} for any emitter, -{band.care_low:g} to +{band.care_high:g} % the most of any emitter"
    elif (band.care_low, band.care_high) != (band.low, band.high):
        limit += f", with care -{band.care_low:g} to +{band.care_high:g} %"
    other = " (its other connection)" if connection.other else ""
    text = f"{_supply_words(case, place)}; {name}{other} needs {volts.value:g} V: {_off_words(deviation)}"
    text += f", allowed {limit}{memory_words(place.wired.volts, volts)}."
    if rank in (CARE, UNSUITABLE) and case.candidate.word("cathode") == "thoriated-tungsten":
        text += " A thoriated filament suffers from too little as from too much."
    return Finding(check, rank, wanted, volts.value, limit, text, sources_of(place.wired.volts, volts, band.source))


def _supply_words(case: Case, place: Place) -> str:
    given, volts = case.conditions.supply_v, place.volts
    if case.conditions.series:
        whole = f" of {given:g} V" if given is not None else ""
        return f"Heaters in series, {volts:g} V of the string{whole} across {case.wanted.name}"
    if given is not None:
        return f"Heaters in parallel on {given:g} V"
    return f"Assumed: heaters in parallel on the {volts:g} V of {case.wanted.name}"


def _off_words(deviation: float) -> str:
    if abs(deviation) < 0.05:
        return "no deviation"
    return f"{abs(deviation):.1f} % {'over' if deviation > 0 else 'under'}"


def _amperes_finding(case: Case, place: Place, connection: Connection, rank: int) -> Finding:
    check, name = "heater current", case.candidate.name
    needed, amperes = place.amperes, connection.amperes
    keys = ["judge.series_current_pct"] if case.conditions.series else ["judge.heater_more_pct"]
    if rank != FITS and not case.conditions.series:
        keys = ["judge.heater_more_care_pct"]
    value, source = case.limits[keys[0]], case.limits.source(*keys)
    if amperes is None:
        return missing(check, name, "Heater current", needed, None, sources_of(place.wired.amperes, None))
    behind = sources_of(place.wired.amperes, amperes, source)
    memory = memory_words(place.wired.amperes, amperes)
    budget = case.conditions.budget_a
    if not case.conditions.series and budget is not None:
        text = f"The supply can give {budget:g} A here; {name} draws {amperes.value:g} A{memory}."
        return Finding(check, rank, budget, amperes.value, budget, text, behind)
    if needed is None:
        text = f"What the supply can give here is not known; {name} draws {amperes.value:g} A{memory}."
        return Finding(check, rank, needed, amperes.value, None, text, behind)
    off = 100 * (amperes.value / needed - 1)
    if case.conditions.series:
        limit = f"within {value:g} %"
        text = f"The string runs at {needed:g} A; {name} needs {amperes.value:g} A: {_off_words(off)}{memory}."
        if rank == UNSUITABLE:
            text += " It would run cold, or every other tube of the string would need a shunt."
    else:
        limit = f"at most {value:g} % more"
        text = f"{case.wanted.name} draws {needed:g} A (assumed: what the supply gives here), {name} "
        text += f"{amperes.value:g} A{memory}."
        if rank == CARE:
            text += " Only where the supply has that to spare."
    return Finding(check, rank, needed, amperes.value, limit, text, behind)


def _entailed(place: Place, connection: Connection, volts: int, amperes: int, anew: bool) -> list[str]:
    """What the heater asks for: other wiring, a dropper, a shunt, more of the supply."""
    told = []
    have, draw, share = connection.volts, connection.amperes, place.volts
    if anew and volts != UNSUITABLE and have is not None:
        told.append(f"heater wiring: connect the heater for {have.value:g} V")
    if have is None or draw is None or share is None:
        return told
    over = share - have.value
    if volts == REWIRE and over > 0 and draw.value > 0:
        current = place.amperes if place.conditions.series and place.amperes else draw.value
        told.append(f"heater wiring: a dropper of {over / current:.2f} ohm, {over * current:.1f} W")
    if place.conditions.series and place.amperes is not None and amperes == REWIRE:
        spare = place.amperes - draw.value
        told.append(f"heater wiring: a shunt of {have.value / spare:.1f} ohm, {have.value * spare:.2f} W across it")
    elif not place.conditions.series and place.amperes is not None and abs(draw.value - place.amperes) > SLACK:
        told.append(f"filament budget: {draw.value - place.amperes:+.2f} A at {have.value:g} V")
    return told
