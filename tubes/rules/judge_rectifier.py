"""Rectifiers: mercury vapour, gas or high vacuum, and their drop, which few tables have.

Mercury asks for what a set may not give: its filament warm before plate voltage comes, and an upright place.
"""

from collections.abc import Sequence

from tubes.rules.figures import MERCURY, RECTIFIERS, VACUUM, XENON, TypeFigures
from tubes.rules.judge_parts import CARE, FITS, UNKNOWN, UNSUITABLE, Case, Conditions, Finding
from tubes.rules.limits import Limits

PREHEAT, FIRST = "judge.mercury_preheat_s", "judge.mercury_first_min"
UPRIGHT_SOURCE = "uli-866a"


def rectifies(wanted: TypeFigures) -> bool:
    """Whether the place is one of a rectifier: by its kind, or by the mercury that its caution names."""
    return wanted.form.kind in RECTIFIERS or wanted.filling == MERCURY


def filling_rank(wanted: str, candidate: str, conditions: Conditions) -> int:
    """What the one holds against what the other does. A place for mercury suits xenon and vacuum, not the reverse."""
    if candidate == MERCURY:
        refused = _ticked(conditions)
        if wanted == MERCURY:
            return CARE if refused else FITS
        return UNSUITABLE if refused else CARE
    if not wanted or not candidate:
        return UNKNOWN
    return CARE if wanted == VACUUM and candidate != VACUUM else FITS


def rectifier_findings(case: Case, same: bool, kin: bool, one_issue: bool) -> list[Finding]:
    """Filling and drop of a rectifier; ``same``: the two are one tube by their marks, ``kin``: they are related.

    ``one_issue``: they are forms of one number and issue, so that the drop is the same.
    """
    if same or (kin and not rectifies(case.wanted)):
        return [_filling_finding(case)] if case.candidate.filling == MERCURY and _ticked(case.conditions) else []
    if not rectifies(case.wanted):
        return []
    filling = [_filling_finding(case)] if case.candidate.form.kind in {"", *RECTIFIERS} else []
    return [*filling, *([] if one_issue else [_drop_finding(case)])]


def _filling_finding(case: Case) -> Finding:
    wanted, candidate = case.wanted.filling, case.candidate.filling
    rank = filling_rank(wanted, candidate, case.conditions)
    source = f"limit: {case.limits.source(PREHEAT, FIRST)}, {UPRIGHT_SOURCE}" if candidate == MERCURY else ""
    text = _filling_words(case, wanted, candidate)
    return Finding("filling", rank, wanted or None, candidate or None, None, text, source)


def _filling_words(case: Case, wanted: str, candidate: str) -> str:
    name = case.candidate.name
    if candidate == MERCURY:
        return _mercury_words(case, wanted)
    if not candidate:
        return f"Whether {name} holds mercury, another gas or nothing is not known."
    if not wanted:
        return f"{name}: {candidate}; what {case.wanted.name} holds is not known."
    if wanted == candidate:
        return f"Both: {candidate}."
    if wanted == MERCURY:
        hold = "" if candidate in (XENON, VACUUM) else " (which gas is not told)"
        return f"{candidate.capitalize()} for mercury vapour: any position, no preheat for mercury to settle{hold}."
    if candidate == VACUUM:
        return f"High vacuum for {wanted}: any position; it drops more."
    return (
        f"{candidate.capitalize()} for {wanted}: it drops less, so the supply gives more; mind peak current, and hash "
        "in a receiver (from memory)."
    )


def _mercury_words(case: Case, wanted: str) -> str:
    name, conditions = case.candidate.name, case.conditions
    against = against_mercury(conditions.switched_together, conditions.on_side)
    needs = _needs(case.limits)
    if wanted == MERCURY:
        if not against:
            return "Both: mercury vapour."
        return f"{_contradiction(case)} {name} {needs}."
    held = f"mercury vapour for {wanted}" if wanted else "mercury vapour"
    held = held[:1].upper() + held[1:]
    if against:
        return f"{held}: {name} {needs}. {' '.join(against)}"
    return f"{held}: {name} {needs}. Where the set gives neither, it does not go in."


def _contradiction(case: Case) -> str:
    """A set that wants mercury and is ticked to bear none: which of the two is wrong is not for the judge to say."""
    wanted, conditions = case.wanted.name, case.conditions
    told = ["it switches plate and filament together"] if conditions.switched_together else []
    told += ["tubes lie on their side in it"] if conditions.on_side else []
    both = "" if case.candidate.name == wanted else "Both: mercury vapour. "
    return (
        f"{both}The ticks of this set ({' and '.join(told)}) contradict its own type: {wanted} is mercury vapour "
        "itself. Settle which of the two is right before a tube is put in."
    )


def against_mercury(switched_together: bool, on_side: bool, held: Sequence[str] = ()) -> list[str]:
    """What speaks against any mercury rectifier in a set, a sentence each; nothing where no tick is set.

    ``held``: the positions that hold one already; then it says how to get out of that.
    """
    them = "it" if len(held) == 1 else "them"
    hold = f", and {' and '.join(held)} hold{'s' if len(held) == 1 else ''} mercury: " if held else ""
    told = []
    if switched_together:
        way = f"{hold}part the two, or take {them} out." if held else ": part them, or no mercury rectifier goes in."
        told.append(f"This set switches plate and filament together{way}")
    if on_side:
        way = f"{hold}take {them} out, or stand the set upright." if held else ": no mercury rectifier goes in."
        told.append(f"Tubes lie on their side in this set{way}")
    return told


def _ticked(conditions: Conditions) -> bool:
    return conditions.switched_together or conditions.on_side


def _needs(limits: Limits) -> str:
    return (
        f"needs preheat ({limits[PREHEAT]:g} s of filament alone before plate voltage, {limits[FIRST]:g} minutes when "
        "it is new or was moved) and upright mounting"
    )


def _drop_finding(case: Case) -> Finding:
    """Another type always asks for a look at the voltage: few drops are in a table, no first capacitor is."""
    name = case.candidate.name
    drop = case.limits.get(f"rectifier.drop_{name}")
    lacking = (
        f"The drop of {name} and the first capacitor it bears are in no table"
        if drop is None
        else f"{name} drops about {drop:g} V at its full current; the first capacitor it bears is in no table"
    )
    text = (
        f"{lacking}: measure the plate supply under load. Such a change is approved for one set at a time "
        "(5R4GY for 5U4G, airline bulletin, 1951)."
    )
    return Finding("rectifier drop", CARE, None, None, None, text, "limit: paa-32")
