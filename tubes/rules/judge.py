"""May this tube stand in for that one, in this place? Every check as a finding with numbers, limit and source.

The verdict is the worst finding (order: ``judge_parts.VERDICTS``). Figures come graded; rows that are only leads are
left out before they come here, so that no finding rests on them. Where the two are one type, what is not known of it
is not asked.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Protocol

from tubes.rules.basing import Basings, shell_pins
from tubes.rules.figures import DIODES, MERCURY, RECTIFIERS, REGULATORS, TypeFigures
from tubes.rules.forms import SOURCES, Forms
from tubes.rules.handbook import socket_of
from tubes.rules.judge_figures import figure_findings
from tubes.rules.judge_form import form_findings
from tubes.rules.judge_grid import grid_findings
from tubes.rules.judge_heater import heater_findings, place_of, side_by_side
from tubes.rules.judge_open import lacking_words
from tubes.rules.judge_parts import CARE, FITS, REWIRE, UNKNOWN, UNSUITABLE, Case, Conditions, Finding, Judgement
from tubes.rules.judge_rectifier import rectifier_findings
from tubes.rules.judge_taken import grades_of, taken_findings, with_taken
from tubes.rules.kinds import KIN_ONLY
from tubes.rules.limits import Limits
from tubes.rules.mercury import handling
from tubes.rules.relations import RUGGEDIZED, SAME, Relative, without_shield
from tubes.rules.sources import FROM_MEMORY, FROM_MEMORY_TWICE


class Kin(Protocol):
    """Kinship of types, as ``tubes.rules.relations.Kinship`` gives it."""

    def same_as(self, name: str) -> frozenset[str]: ...
    def relatives(self, name: str) -> tuple[Relative, ...]: ...
    @property
    def forms(self) -> Forms: ...


@dataclass(frozen=True)
class Bench:
    """What every judgement needs: limits, base diagrams, kinship of types."""

    limits: Limits
    basings: Basings
    kin: Kin
    kin_sources: Mapping[frozenset[str], tuple[str, ...]] = field(default_factory=dict)


MEASURED = (
    "supply_v", "string_a", "budget_a", "plate_v", "plate_w", "screen_v", "screen_w", "output_ma", "frequency_mhz",
)  # fmt: skip


def checked(wanted: TypeFigures, conditions: Conditions) -> Conditions:
    """The conditions, if they can be. Raises ValueError with one line."""
    for name in MEASURED:
        value = getattr(conditions, name)
        if value is not None and not 0 < value < float("inf"):
            raise ValueError(f"{name} is {value!r}; expected a positive figure")
    volts = place_of(wanted, conditions).volts
    if conditions.series and conditions.supply_v is not None and volts is not None and conditions.supply_v < volts:
        raise ValueError(
            f"the string's supply of {conditions.supply_v:g} V is less than the {volts:g} V of {wanted.name} alone; "
            "give the voltage of the whole string"
        )
    return conditions


def judge(wanted: TypeFigures, candidate: TypeFigures, conditions: Conditions, bench: Bench) -> Judgement:
    """Judge a candidate in the place of the wanted type. Raises ValueError for conditions that cannot be."""
    case = Case(wanted, candidate, checked(wanted, conditions), bench.limits)
    may_be_metal = _may_be_metal(wanted, candidate, bench)
    relation = kin_finding(wanted.name, candidate.name, bench, _amplifies(wanted), may_be_metal)
    same = relation is not None and relation.candidate == SAME
    findings, told = _checks(case, bench, same, relation is not None)
    if relation is not None and wanted.form.kind in KIN_ONLY:  # what the row says is all there is
        findings = [relation, *(one for one in findings if one.check != "kind" and one.rank != UNKNOWN)]
    elif relation is not None:
        relation, findings = _not_asked(case, bench, relation, findings)
        findings = [relation, *findings]
    manners = (*told, *_manners(case, bench, same))
    return Judgement(wanted.name, candidate.name, tuple(findings), manners, partial(grades_of, case))


def _checks(case: Case, bench: Bench, same: bool, kin: bool) -> tuple[list[Finding], list[str]]:
    """Every check but that of kinship, and what the change entails."""
    heater, wiring = heater_findings(case)
    form, plugging = form_findings(case, bench.basings, side_by_side(case))
    figures, settings = figure_findings(case)
    taken = [] if same else taken_findings(case, bench.kin_sources)
    if bench.kin.forms.between(case.wanted.name, case.candidate.name) is not None:
        form = [_other_code(case, bench, finding) for finding in form]
    one_issue = bench.kin.forms.same_issue(case.wanted.name, case.candidate.name)
    findings = [*heater, *form, *grid_findings(case), *figures, *rectifier_findings(case, same, kin, one_issue)]
    if case.wanted.taken_from or case.candidate.taken_from:
        findings = [with_taken(case, finding) for finding in findings]
    return [*taken, *findings], [*plugging, *wiring, *settings]


def _other_code(case: Case, bench: Bench, finding: Finding) -> Finding:
    """Forms of one number on one base, whose basings bear other codes and of which a diagram lacks: look at the pins.

    Metal and glass forms have codes of their own for a shell (8R, 8AD) and plug in alike (common practice, no source).
    """
    codes = [one.word("basing") for one in (case.wanted, case.candidate)]
    same_base = case.wanted.word("base") == case.candidate.word("base")
    if finding.check != "base" or finding.rank != REWIRE or not same_base or all(map(bench.basings.get, codes)):
        return finding
    text = f"Basing {codes[1]} for {codes[0]}, forms of one number: no diagram to compare, look at the pins of both."
    return replace(finding, rank=CARE, text=text)


def _not_asked(case: Case, bench: Bench, relation: Finding, findings: list[Finding]) -> tuple[Finding, list[Finding]]:
    """What is not known of a type is asked neither of itself nor of its forms; it is named with the kinship."""
    open_ones = {finding.check for finding in findings if finding.rank == UNKNOWN}
    if relation.candidate != SAME:
        lent = case.candidate.taken_from == case.wanted.name or case.wanted.taken_from == case.candidate.name
        if not lent and bench.kin.forms.between(case.wanted.name, case.candidate.name) is None:
            return relation, findings
        itself, _ = _checks(replace(case, candidate=case.wanted), bench, True, True)
        open_ones &= {finding.check for finding in itself if finding.rank == UNKNOWN}
        open_ones -= _known_to_differ(case) | _unsettled(case)
    if not open_ones:
        return relation, findings
    kept = [finding for finding in findings if finding.rank != UNKNOWN or finding.check not in open_ones]
    checks = dict.fromkeys(finding.check for finding in findings if finding.check in open_ones)
    rank = relation.rank if relation.candidate == SAME else max(relation.rank, CARE)
    text = f"{relation.text} {lacking_words(case.wanted, case.candidate, checks)}".strip()
    return replace(relation, rank=rank, text=text), kept


def _known_to_differ(case: Case) -> set[str]:
    """Checks of which both tubes have the figure, and another one: that is never left out."""
    volts = [one.number("heater_v") for one in (case.wanted, case.candidate)]
    bases = [one.word("base") for one in (case.wanted, case.candidate)]
    differing = {"heater voltage"} if all(volts) and volts[0] != volts[1] else set()
    return differing | ({"base"} if all(bases) and socket_of(bases[0]) != socket_of(bases[1]) else set())


_UNSETTLED: Mapping[str, str] = {"base": "base", "basing": "base", "cap": "top cap", "kind": "kind"}


def _unsettled(case: Case) -> set[str]:
    """Checks of which a tube's own row and its kin say otherwise: not known is not the same as contradicted."""
    return {_UNSETTLED[name] for one in (case.wanted, case.candidate) for name in one.unsettled if name in _UNSETTLED}


def kin_finding(
    wanted: str, candidate: str, bench: Bench, amplifies: bool = True, may_be_metal: bool = False
) -> Finding | None:
    """What the marks say of the two types; rows that are only leads say nothing. None: they are not related."""
    if wanted == candidate:
        return Finding("kinship", FITS, SAME, SAME, None, "The same type.", "")
    texts = bench.kin_sources.get(frozenset((wanted, candidate)), ())
    source = ", ".join(texts)
    by_heart = f" ({max(texts)})" if texts and {*texts} <= {FROM_MEMORY, FROM_MEMORY_TWICE} else ""
    if candidate in bench.kin.same_as(wanted):
        text = f"{candidate} is the same tube under another name{by_heart}."
        return Finding("kinship", FITS, SAME, SAME, None, text, source)
    between = bench.kin.forms.between(wanted, candidate)
    mind = bench.kin.forms.mind(wanted, candidate, amplifies, may_be_metal) if between is not None else ""
    for relative in bench.kin.relatives(wanted):
        if relative.type == candidate and not relative.unchecked and not relative.derived:
            rank = UNSUITABLE if relative.never else FITS if relative.relation == RUGGEDIZED else CARE
            said = without_shield(relative.said) if mind and amplifies else relative.said
            note = (f"{'; ' if relative.told_of else ': '}{said}" if said else "") + by_heart
            words = {
                RUGGEDIZED: f"{candidate} is a ruggedized {wanted} and may stand in{note}.",
                "plain form": f"{candidate} is the plain form of {wanted}: it does not stand in by name alone{note}.",
            }
            text = words.get(relative.relation, f"The marks call {candidate} {relative.relation} to {wanted}{note}.")
            return Finding("kinship", rank, SAME, relative.relation, None, f"{text} {mind}".strip(), source)
    if between is not None:
        rank = FITS if between.stands_in else CARE
        text = f"{candidate} is another form of {wanted}: {between.words}. {mind}".strip()
        return Finding("kinship", rank, SAME, "form", None, text, SOURCES)
    return None


# Miniature tubes are glass throughout (common practice, no source).
_GLASS_BASES = frozenset({"7-pin-miniature", "noval"})
_METAL_NOTE = re.compile(r"\bmetal\b(?! (?:base|sleeve|shell base))")
_GLASS_NOTE = re.compile(r"\bglass (?:bulb|envelope|tube)\b")


def _envelope(figures: TypeFigures, bench: Bench) -> str:
    """``metal`` or ``glass``: by the letters of its form, else by the word of its own note; empty: not known."""
    if told := bench.kin.forms.envelope(figures.name):
        return told
    if figures.word("base") in _GLASS_BASES:
        return "glass"
    return "metal" if _METAL_NOTE.search(figures.word("note")) else ""


def _may_be_metal(wanted: TypeFigures, candidate: TypeFigures, bench: Bench) -> bool:
    """Whether an octal tube without a letter goes in for a glass one, and nothing says that it is glass.

    Such numbers are metal for the most part (from memory). A base that is not known counts as octal where the wanted
    tube is a glass form of the same number: those letters stand on octal tubes (from memory).
    """
    kin = bench.kin.forms
    if (_envelope(wanted, bench), _envelope(candidate, bench)) != ("glass", "") or not kin.plain(candidate.name):
        return False
    if candidate.form.kind in REGULATORS or _GLASS_NOTE.search(candidate.word("note")):
        return False
    base = candidate.word("base")
    return base == "octal" or (not base and kin.between(wanted.name, candidate.name) is not None)


def _amplifies(figures: TypeFigures) -> bool:
    """Whether a shield or tuned circuits can matter: not for a rectifier or a regulator."""
    return figures.form.kind not in DIODES and figures.form.kind not in REGULATORS


def _manners(case: Case, bench: Bench, same: bool) -> list[str]:
    """What to mind that is no finding: glass for metal, warm-up, what can hurt."""
    told = []
    wanted, candidate = case.wanted, case.candidate
    envelopes = (_envelope(wanted, bench), _envelope(candidate, bench))
    if _amplifies(wanted) and not same and envelopes == ("metal", "glass"):
        told.append("glass for metal: it may need a shield and realignment (MAARC, 1991)")
    maybe = _may_be_metal(wanted, candidate, bench)
    if not same and (maybe or envelopes == ("glass", "metal")):
        pins = shell_pins(bench.basings.get(candidate.word("basing")))
        on = f"base pin {' and '.join(pins)}" if pins else "a base pin"
        what = "may be metal: its shell may be" if maybe else "metal for glass: its shell is"
        told.append(f"{what} on {on}: see that nothing else of the set is tied there")
    if wanted.form.kind in RECTIFIERS and "minimum load" in candidate.word("note"):
        told.append(f"minimum load: {candidate.word('note')}")
    for one in (wanted, candidate):
        if one.differs and not same:
            told.append(f"look: own figures of {one.name} differ from those of its type: {'; '.join(one.differs)}")
        if one.disputes and not same:
            told.append(f"look: not settled of {one.name}: {'; '.join(one.disputes)}")
    if candidate.filling == MERCURY:
        told.append(f"caution: {handling(case.limits)}")
    if candidate.caution and wanted.name != candidate.name:
        told.append(f"caution: {candidate.caution}")
    return told
