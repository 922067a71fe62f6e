"""May a part in stock stand in for a wanted one at its place in a circuit: what speaks against it, what to mind.

Working voltage and power at least the original's, value inside its tolerance, class X across the mains and class Y
from the mains to the chassis: rules of replacement, IEC 60384-14. A higher wattage may always replace a lower. Where
nothing is said of tolerance, what the place allows stands for it and is told (``part_places``; common practice, no
source). Whether figures suffice is for ``part_kinds.shortfalls``, which plans ask too.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from inventory.holdings.rules.alternating import (
    HEATS,
    IN_EFFECTIVE,
    against_it,
    asks_for_it,
    is_polar,
    non_polar_words,
    rated_in_ac,
)
from inventory.holdings.rules.combining.sharing import UNITS
from inventory.holdings.rules.constructions import POLARITY, construction_of
from inventory.holdings.rules.crystal_words import SLACK_PCT, STATED
from inventory.holdings.rules.part_kinds import (
    KINDS,
    RELATIVE_SLIP,
    PartFigures,
    a_kind,
    is_of_class,
    kinds_alike,
    shortfalls,
    show_value,
    tolerance_short,
)
from inventory.holdings.rules.part_places import ANYWHERE, MAINS, TOUCHES, PartPlace
from inventory.holdings.rules.part_text import PartText, peak_of

WITH_SLACK = ("capacitor", "resistor", "inductor", "choke")  # a fuse or a crystal is of its very value

MOST_RATED = 1000.0  # V of alternating current: no class of IEC 60384-14 is rated higher (from memory)
TESTED_AT = "at most 1000 V AC are (IEC 60384-14, from memory), so it is what it was tested at, or of direct current"
INSTEAD_OF_X = "one of class Y1 or Y2 rated for the mains may stand across them (IEC 60384-14, from memory)"
TOUCHED = "one of class Y is never larger, since it sets the current through whoever touches the chassis"


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a place asks for. ``figures``: of the part, with the tolerance that was given or, where ``assumed``, taken;
    of a mains place the voltage is that of the mains. ``construction``: asked for by name.
    """

    figures: PartFigures
    place: PartPlace = ANYWHERE
    assumed: bool = False
    words: tuple[str, ...] = ()  # that must stand on a part that has no value to go by
    remarks: tuple[str, ...] = ()
    alternating: bool = False  # alternating current is on it
    effective: float | None = None  # volts of it where the figures have their peak

    @property
    def cautions(self) -> tuple[str, ...]:
        """What goes for the place, whatever part is taken; of class X and Y that of the mains, wherever it is asked."""
        safety = self.figures.safety
        told = (*((MAINS,) if safety else ()), *((TOUCHES,) if safety.startswith("Y") else ()))
        return tuple(dict.fromkeys((*self.place.cautions, *told)))


@dataclass(frozen=True, slots=True)
class Fit:
    """How a part does at a place: ``against`` empty, it may sit there; ``cares``: what to mind; ``why``: what speaks
    for it, figure by figure.
    """

    against: tuple[str, ...]
    cares: tuple[str, ...]
    why: tuple[str, ...]


def wanted_of(told: PartText) -> Wanted:
    """What a text asks for, with what was taken for granted said in words."""
    remarks = list(told.taken)
    if told.left and KINDS[told.figures.kind].unit:
        remarks.append(f"Nothing was read from: {', '.join(told.left)}.")
    figures, place = _rated(told.figures, remarks), told.place
    effective = None
    current = told.alternating or place.alternating or (figures.kind == "capacitor" and asks_for_it(told.left))
    alternating = current or bool(figures.safety) or bool(non_polar_words(" ".join(told.left)))
    if place.safety or figures.safety:
        figures = replace(figures, safety=figures.safety or place.safety)
        if figures.volts is not None:
            remarks.append("The voltage is taken as that of the mains, in which parts of class X and Y are rated.")
        else:
            remarks.append("No mains voltage was given, so no rating was looked at: compare it with your mains.")
    elif current and figures.volts is not None and figures.kind not in IN_EFFECTIVE:
        peak = peak_of(replace(told, figures=figures, alternating=True)).figures
        remarks.append(f"{figures.volts:g} V of alternating current have a peak of {peak.volts:g} V: rated for that.")
        remarks += [HEATS] if figures.kind == "capacitor" else []
        effective, figures = figures.volts, peak
    else:
        for name, word in (("volts", "voltage"), ("watts", "power")):
            asked = {"capacitor": "volts", "resistor": "watts"}.get(figures.kind)
            if asked == name and getattr(figures, name) is None:
                remarks.append(f"No {word} was given, so no rating for it was looked at.")
    assumed = figures.value is not None and figures.tolerance_pct is None
    if assumed and figures.kind == "crystal":
        remarks.append(f"No tolerance was given; {STATED}.")
        figures = replace(figures, tolerance_pct=SLACK_PCT)
    elif assumed and figures.kind not in WITH_SLACK:
        figures = replace(figures, tolerance_pct=0.0)
    elif assumed:
        where = f"{place.key}: " if place.key else ""
        off = "below, and none above," if figures.safety.startswith("Y") else "off"
        remarks.append(
            f"No tolerance was given; {where}a value up to {place.slack_pct:g} % {off} was let in "
            "(common practice, no source)."
        )
        figures = replace(figures, tolerance_pct=place.slack_pct)
    words = () if KINDS[figures.kind].unit else told.left
    return Wanted(figures, place, assumed, words, tuple(remarks), alternating, effective)


def _rated(figures: PartFigures, remarks: list[str]) -> PartFigures:
    """The figures without ratings that parts of the kind do not have; says so."""
    beside = [name for name in UNITS if getattr(figures, name) is not None and name not in KINDS[figures.kind].ratings]
    remarks += [
        f"{a_kind(figures.kind).capitalize()} is not rated in {UNITS[name]}: that was left out." for name in beside
    ]
    kept = {name: None if name in beside else getattr(figures, name) for name in UNITS}
    return replace(figures, volts=kept["volts"], watts=kept["watts"], amps=kept["amps"])


def fit(wanted: Wanted, offered: PartFigures) -> Fit:
    """Judge a part by its figures and by the place."""
    figures = wanted.figures
    if wanted.effective is not None and rated_in_ac(offered):
        figures = replace(figures, volts=wanted.effective)
    short = shortfalls(replace(figures, construction=""), offered)
    if wanted.assumed:
        short.pop("tolerance_pct", None)
    cares = _cares(wanted, offered)
    if "safety" in short and (told := _as_class_x(figures, offered)):
        del short["safety"]
        cares.insert(0, told)
    if figures.safety and figures.volts is not None and (told := _no_mains_rating(offered)):
        short["volts"] = told
    against = [_beside(name, told, figures) for name, told in short.items()]
    if "kind" in short:
        return Fit(tuple(against), (), ())
    if figures.safety.startswith("Y") and "value" not in short and _is_larger(figures, offered):
        most = f"more than the {show_value(figures.kind, figures.value)} asked"
        against.insert(0, f"value {show_value(offered.kind, offered.value)}; {most}: {TOUCHED}")
    against += _against_making(wanted, offered)
    return Fit(tuple(against), tuple(cares), tuple(_why(figures, offered)))


def _as_class_x(wanted: PartFigures, offered: PartFigures) -> str:
    """What to mind of a part of class Y where class X is asked; empty where it may not stand there.

    Y1 and Y2 bear pulses of 8 and 5 kV, X1 of 4 kV: with rated voltage enough they may stand across the mains
    (IEC 60384-14, from memory).
    """
    if not wanted.safety.startswith("X") or not is_of_class(offered.safety, "Y2"):
        return ""
    return f"class {offered.safety} where class {wanted.safety} is asked: {INSTEAD_OF_X}"


def _no_mains_rating(offered: PartFigures) -> str:
    """Why the voltage on a part of class X or Y is not that of the mains; empty where it can be."""
    if not offered.safety or offered.volts is None or offered.volts <= MOST_RATED:
        return ""
    return f"{offered.volts:g} V is no mains rating of class {offered.safety}: {TESTED_AT}"


def _is_larger(wanted: PartFigures, offered: PartFigures) -> bool:
    return bool(wanted.value and offered.value and offered.value > wanted.value * (1 + RELATIVE_SLIP))


def may_combine(wanted: Wanted, offered: PartFigures) -> bool:
    """Whether pieces of a part may be put together for the place: of its kind, making and tolerance, whatever value and
    rating. Where a tolerance is asked, a piece whose own is wider or not known serves neither alone nor put together.

    Parts of class X and Y are proven one by one, and are never put together here.
    """
    return (
        not wanted.place.safety
        and not wanted.figures.safety
        and offered.kind in kinds_alike(wanted.figures.kind)
        and not (tolerance_short(wanted.figures, offered) and not wanted.assumed)
        and not _against_making(wanted, offered)
    )


def _beside(name: str, told: str, wanted: PartFigures) -> str:
    """A shortfall with what is asked beside it."""
    if name == "value":
        slack = f" within {wanted.tolerance_pct:g} %" if wanted.tolerance_pct else ""
        return f"{told}; {show_value(wanted.kind, wanted.value)}{slack} is asked"
    if name == "tolerance_pct":
        return f"{told}; {wanted.tolerance_pct:g} % is asked"
    if name == "safety":
        return f"{told}; class {wanted.safety} by IEC 60384-14 is asked at the mains, whatever its voltage"
    if name in KINDS[wanted.kind].works_at:
        return f"{told}; {getattr(wanted, name):g} {UNITS[name]} is asked"
    if name in UNITS:
        return f"{told}; at least {getattr(wanted, name):g} {UNITS[name]} is asked"
    return told


def _against_making(wanted: Wanted, offered: PartFigures) -> list[str]:
    """What its construction has against it, there and by name."""
    asked, place = wanted.figures.construction, wanted.place
    made = construction_of(offered.kind, offered.construction)
    key, told = made.key if made else "", []
    if asked and key != asked and asked.lower() != offered.construction.lower():
        told.append(f"{offered.construction or 'construction not known'}; {asked} is asked")
    if key in place.unfit:
        told.append(f"{key} in a {place.key}: {place.unfit[key]}" if place.key else place.unfit[key])
    elif wanted.alternating and (burst := against_it(offered)):
        told.append(burst)
    elif place.fit and key not in place.fit and not told:
        made_of = offered.construction or "construction not known"
        told.append(f"{made_of}; a {place.key} asks for {', '.join(place.fit)}")
    return told


def hazards_minded(hazards: Sequence[str]) -> str:
    """What to mind of a lot that bears hazards, wherever it is offered."""
    return f"hazard: {', '.join(hazards)}; read its page before it is handled"


def cares_of(offered: PartFigures) -> list[str]:
    """What to mind of a part wherever it is used, by its construction."""
    made = construction_of(offered.kind, offered.construction)
    if offered.kind == "capacitor" and made is None:
        return [f"{offered.construction or 'its construction'} is not known here: look what it is before use"]
    cares = list(made.cares) if made else []
    if made and made.polarized and not is_polar(offered):
        cares = [care for care in cares if care != POLARITY]
    return cares


def figures_called(figures: PartFigures, name: str) -> PartFigures:
    """The figures of a kind of part; where that names no construction known here, with the one that a lot is called by,
    and with what the lot says of alternating current.
    """
    made = None if construction_of(figures.kind, figures.construction) else construction_of(figures.kind, name)
    figures = replace(figures, construction=f"{figures.construction} {made.key}".strip()) if made else figures
    if figures.kind == "capacitor" and (said := non_polar_words(name)):
        figures = replace(figures, marked=f"{figures.marked} {said}".strip())
    return figures


def _cares(wanted: Wanted, offered: PartFigures) -> list[str]:
    made = construction_of(offered.kind, offered.construction)
    told = cares_of(offered)
    if made and made.key in wanted.place.care:
        told.insert(0, wanted.place.care[made.key])
    if wanted.figures.kind == "crystal" and (off := abs((offered.value or 0) - (wanted.figures.value or 0))) > 0.01:
        told.append(f"it is {off:.3g} kc off: see that the set can be trimmed to it")
    if wanted.assumed and offered.tolerance_pct is not None and offered.tolerance_pct > wanted.place.slack_pct:
        told.append(f"its own tolerance is {offered.tolerance_pct:g} %: measure it")
    return told


def _why(wanted: PartFigures, offered: PartFigures) -> list[str]:
    told = []
    if wanted.value is not None and offered.value is not None:
        off = (offered.value / wanted.value - 1) * 100
        near = "the very value" if abs(off) < RELATIVE_SLIP * 100 else f"{off:+.3g} %"
        told.append(f"{show_value(offered.kind, offered.value)}: {near}")
    for name, unit in UNITS.items():
        least, has = getattr(wanted, name), getattr(offered, name)
        tested = name == "volts" and wanted.safety and _no_mains_rating(offered)
        if least is not None and has is not None and has >= least * (1 - RELATIVE_SLIP) and not tested:
            told.append(f"rated for {has:g} {unit}, {least:g} {unit} asked")
    if wanted.safety and offered.safety:
        told.append(f"class {offered.safety}")
    return told
