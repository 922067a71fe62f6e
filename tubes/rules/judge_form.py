"""What a candidate is and how it plugs in: kind and sections, cathode, base and pins, top cap.

The rules compare words only, so that a search can ask them once for each pair of words instead of each pair of types.
"""

from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache

from tubes.rules.basing import Basing, Basings, changes_in_words, pin_changes, same_socket
from tubes.rules.figures import MIXERS, POWER, RECTIFIERS, SCREENED, Form, Word
from tubes.rules.judge_parts import (
    CARE,
    FITS,
    REWIRE,
    UNKNOWN,
    UNSUITABLE,
    Answer,
    Case,
    Finding,
    memory_words,
    sources_of,
)
from tubes.rules.kinds import KIN_ONLY
from tubes.rules.sources import TOLD


def _worst(answers: list[Answer]) -> Answer:
    """The worst rank with every reason that is not plain agreement."""
    reasons = [words for rank, words in answers if words]
    return max((rank for rank, _ in answers), default=FITS), "; ".join(reasons)


@lru_cache(maxsize=20_000)
def form_answer(wanted: Form, candidate: Form) -> Answer:
    """Kind, sections, diodes and use of two types; how their grids are worked: ``judge_grid``."""
    if wanted.kind in KIN_ONLY:
        return UNSUITABLE, f"a {KIN_ONLY[wanted.kind]} is not exchanged by figures, only for what a row relates to it"
    if not wanted.kind or not candidate.kind:
        return UNKNOWN, "the kind is not known"
    if _sort(wanted) == _sort(candidate) and not (wanted.kind == "other" and not wanted.use):
        return FITS, ""
    answers = [_kind(wanted, candidate), *_sections(wanted, candidate)]
    if wanted.kind in RECTIFIERS and candidate.kind in RECTIFIERS:
        answers.append(_wave(wanted.wave, candidate.wave))
    if wanted.kind in MIXERS and candidate.kind in MIXERS:
        answers.append(_use(wanted, candidate))
    if wanted.cutoff and not wanted.use and candidate.use == POWER:
        answers.append((UNSUITABLE, "a power tube where a voltage amplifier stands: far more grid-plate capacitance"))
    return _worst(answers)


def _sort(form: Form) -> Form:
    return replace(form, cutoff="", zero_bias=False)


def _kind(wanted: Form, candidate: Form) -> Answer:
    if wanted.kind == candidate.kind:
        return FITS, ""
    words = f"{candidate.kind.replace('-', ' ')} for {wanted.kind.replace('-', ' ')}"
    if wanted.kind in SCREENED and candidate.kind in SCREENED:
        return CARE, words
    if wanted.kind in RECTIFIERS and candidate.kind in RECTIFIERS:
        return CARE, f"{words}: the drop is another"
    if (wanted.kind, candidate.kind) == ("triode", "duotriode"):
        return CARE, words
    return UNSUITABLE, words


def _sections(wanted: Form, candidate: Form) -> Iterator[Answer]:
    """Sections and diodes that differ, each by itself: more of the one does not make up for fewer of the other."""
    for what, need, have in (
        ("section", wanted.sections, candidate.sections),
        ("diode", wanted.diodes, candidate.diodes),
    ):
        if have < need:
            yield UNSUITABLE, f"{have or 'no'} {what}{'s' * (have != 1)} where {need} are needed"
        elif have > need:
            yield CARE, f"{have} {what}s where {need or 'no'} {'is' if need == 1 else 'are'} needed"


def _wave(wanted: str, candidate: str) -> Answer:
    if not wanted or not candidate:
        return UNKNOWN, "full-wave or half-wave is not known"
    if wanted == candidate:
        return FITS, ""
    if wanted == "half-wave" or (wanted, candidate) == ("full-wave", "two separate diodes"):
        return CARE, f"{candidate} for {wanted}"
    return UNSUITABLE, f"{candidate} for {wanted}"


def _use(wanted: Form, candidate: Form) -> Answer:
    if wanted.use == candidate.use and wanted.use:
        return FITS, ""
    if wanted.use and candidate.use:
        return UNSUITABLE, f"{candidate.use} for {wanted.use}"
    if "other" in (wanted.kind, candidate.kind):
        return UNKNOWN, "the use is not known"
    return CARE, "whether converter or mixer is not stated for both"


@lru_cache(maxsize=20_000)
def cathode_answer(wanted: str, candidate: str, rectifier: bool) -> Answer:
    """Emitters of two types, words as in the tables."""
    if not wanted or not candidate:
        return UNKNOWN, "the cathode is not known"
    if wanted == candidate:
        return FITS, ""
    words = f"{candidate.replace('-', ' ')} for {wanted.replace('-', ' ')}"
    if "cold" in (wanted, candidate):
        return (CARE if rectifier else UNSUITABLE), words
    if candidate == "oxide-indirect":
        return CARE, f"{words}: slower to warm up"
    if wanted == "oxide-indirect":
        if rectifier:
            return CARE, f"{words}: plate voltage comes up before the other cathodes are warm"
        return REWIRE, f"{words}: no cathode of its own, bias and heater wiring change"
    return CARE, words


Plug = tuple[str, str]  # base and basing code


@lru_cache(maxsize=50_000)
def _pins_answer(
    base: str, other: str, wanted: Basing | None, candidate: Basing | None, codes: Plug, side_by_side: tuple[bool, bool]
) -> Answer:
    here = same_socket(base, other, wanted, candidate)
    if here and codes[0] == codes[1]:
        return FITS, ""
    if wanted is None or candidate is None:
        unknown = " and ".join(code for code, pins in zip(codes, (wanted, candidate), strict=True) if pins is None)
        moved = f"pin changes not known (no diagram of {unknown})"
    else:
        if here and not pin_changes(wanted, candidate):
            return FITS, f"basing {codes[1]} for {codes[0]}: the pins that are wired are the same"
        moved = ", ".join(changes_in_words(wanted, candidate, side_by_side)) or "electrodes on pins of the same numbers"
    if here:
        return REWIRE, f"rewire the {base} socket, basing {codes[1]} for {codes[0]}: {moved}"
    return REWIRE, f"adapter from {other} to {base}, basing {codes[1]} for {codes[0]}: {moved}"


def plug_answer(
    wanted: Plug, candidate: Plug, basings: Basings, side_by_side: tuple[bool, bool] = (False, False)
) -> Answer:
    """Base and pins of two types; a basing code that is not known leaves it open.

    ``side_by_side``: whether the halves of the heaters are in parallel; it changes the words, never the rank (where
    the two differ in that, the heater itself asks for other wiring).
    """
    (base, code), (other, other_code) = wanted, candidate
    if not base or not other:
        return UNKNOWN, "the base is not known"
    if not code or not other_code:
        return (
            UNKNOWN,
            "the basing is not known" if base == other else f"adapter from {other} to {base}; basing not known",
        )
    return _pins_answer(base, other, basings.get(code), basings.get(other_code), (code, other_code), side_by_side)


def cap_answer(wanted: str, candidate: str) -> Answer:
    """Top caps of two types."""
    if not wanted or not candidate:
        return UNKNOWN, "the top cap is not known"
    if wanted == candidate:
        return FITS, ""
    return REWIRE, f"top cap: {candidate} where the lead is for {wanted}"


def form_findings(
    case: Case, basings: Basings, side_by_side: tuple[bool, bool] = (False, False)
) -> tuple[list[Finding], list[str]]:
    """Findings about kind, cathode, base and top cap, and what the change entails (heaters: ``plug_answer``)."""
    wanted, candidate = case.wanted, case.candidate
    rectifier = wanted.form.kind in RECTIFIERS
    kind = form_answer(wanted.form, candidate.form)
    cathode = cathode_answer(wanted.word("cathode"), candidate.word("cathode"), rectifier)
    plug = plug_answer(_plug(case, True), _plug(case, False), basings, side_by_side)
    cap = cap_answer(wanted.word("cap"), candidate.word("cap"))
    found = [
        _finding(case, "kind", kind, ("kind",), "the same kind and sections"),
        _finding(case, "cathode", cathode, ("cathode",), "the same emitter"),
        _finding(case, "base", plug, ("base", "basing"), "the same base and basing", _diagrams(case, basings)),
        _finding(case, "top cap", cap, ("cap",), "the same top cap"),
    ]
    return found, _entailed(plug, cap)


def _plug(case: Case, wanted: bool) -> Plug:
    figures = case.wanted if wanted else case.candidate
    return figures.word("base"), figures.word("basing")


def _diagrams(case: Case, basings: Basings) -> str:
    """The texts behind the base diagrams that were compared."""
    codes = {case.wanted.word("basing"), case.candidate.word("basing")}
    if len(codes) == 1:
        return ""
    return ", ".join(sorted({basings[code].source for code in codes if code in basings}))


Words = tuple[Word, ...]


def _finding(
    case: Case, check: str, answer: Answer, names: tuple[str, ...], agreed: str, diagrams: str = ""
) -> Finding:
    ours, theirs = case.wanted.words, case.candidate.words
    wanted = tuple(ours[name] for name in names if name in ours)
    candidate = tuple(theirs[name] for name in names if name in theirs)
    return _in_words(check, answer, wanted, candidate, agreed, diagrams)


@lru_cache(maxsize=50_000)  # few words, many pairs
def _in_words(check: str, answer: Answer, wanted: Words, candidate: Words, agreed: str, diagrams: str) -> Finding:
    rank, reason = answer
    first, second = _weakest(wanted), _weakest(candidate)
    text = f"{reason or agreed}{memory_words(first, second)}."
    if diagrams:
        text += f" Base diagrams: {diagrams}."
    return Finding(
        check,
        rank,
        " ".join(word.value for word in wanted) or None,
        " ".join(word.value for word in candidate) or None,
        None,
        text[:1].upper() + text[1:],
        sources_of(first, second, diagrams and f"diagrams {diagrams}"),
    )


def _weakest(words: Words) -> Word | None:
    """Of the words that a finding rests on, the one that is least sure."""
    return max(words, key=lambda word: TOLD.index(word.grade), default=None)


def _entailed(plug: Answer, cap: Answer) -> list[str]:
    return [words for rank, words in (plug, cap) if rank == REWIRE]
