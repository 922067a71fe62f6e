"""Figures that a form takes from the type it is a form of: told with every finding that rests on them."""

from collections.abc import Mapping
from dataclasses import replace

from tubes.rules.figures import DIODES, REGULATORS, Figure, TypeFigures, Word
from tubes.rules.forms import SOURCES
from tubes.rules.judge_figures import BANDS, CAPACITANCES, CEILINGS
from tubes.rules.judge_parts import CARE, Case, Finding, Value
from tubes.rules.sources import TOLD

_FIGURES: Mapping[str, tuple[str, ...]] = {
    "heater voltage": ("heater_v",),
    "heater current": ("heater_a",),
    "kind": ("kind",),
    "cathode": ("cathode",),
    "base": ("base", "basing"),
    "top cap": ("cap",),
    "cutoff": ("cutoff",),
    "grid bias": ("bias",),
    "running voltage": ("regulation_v",),
    "largest current": ("regulation_ma",),
    "starting voltage": ("start_v",),
    **{one.check: (one.figure,) for one in (*CEILINGS, *BANDS, *CAPACITANCES)},
}


def grades_of(case: Case, check: str) -> dict[str, Value]:
    """How sure the figures are that a check compared, each by the least sure of its own; nothing of other checks."""
    names = _FIGURES.get(check)
    if names is None:
        return {}
    told: dict[str, Value] = {}
    for who, one in (("wanted", case.wanted), ("candidate", case.candidate)):
        held = (one.numbers.get(name) or one.words.get(name) for name in names)
        grades = [found.grade for found in held if found is not None]
        told[f"{who}_grade"] = max(grades, key=TOLD.index, default=None)
    return told


def taken_findings(case: Case, kin_sources: Mapping[frozenset[str], tuple[str, ...]]) -> list[Finding]:
    """With care where figures are not the tube's own: its envelope, at least, is another, or its row says what is."""
    found = []
    for one, who in ((case.candidate, ""), (case.wanted, ", the type wanted,")):
        if one.borrows:
            mind = "bulb size" if _plain(case.wanted) else "shielding, bulb size and capacitances"
            by_row = f" ({one.taken_words})" if one.taken_words else ""
            source = ", ".join(kin_sources.get(frozenset((one.name, one.taken_from)), ())) if by_row else SOURCES
            text = (
                f"What is not known of {one.name}{who} is taken from {one.taken_from}{by_row}: mind {mind}, and its "
                "own sheet where there is one."
            )
            found.append(Finding("form", CARE, case.wanted.name, case.candidate.name, None, text, source))
    return found[:1]


def _plain(wanted: TypeFigures) -> bool:
    return wanted.form.kind in DIODES or wanted.form.kind in REGULATORS


def with_taken(case: Case, finding: Finding) -> Finding:
    """A finding that says whose figures it rests on."""
    names = _FIGURES.get(finding.check, ())
    theirs, ours = _taken(case.candidate, names), _taken(case.wanted, names)
    return replace(finding, taken_from=theirs, wanted_taken_from=ours) if theirs or ours else finding


def _taken(figures: TypeFigures, names: tuple[str, ...]) -> str:
    """The type that any of these figures is taken from."""
    held: list[Figure | Word | None] = [figures.numbers.get(name) or figures.words.get(name) for name in names]
    return next((one.via for one in held if one is not None and one.taken), "")
