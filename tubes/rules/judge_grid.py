"""How the grid of a stage is worked: cutoff where gain may be controlled, and tubes made for class B without bias.

Both stand in the notes of the tables, in fixed words (``figures``), or in the keeper's own row. A remote-cutoff tube
takes gain control smoothly and bends what a sharp one would not; a sharp one under AVC is cut off early and distorts
strong signals (common practice, no source).
"""

from collections.abc import Mapping
from functools import lru_cache

from tubes.rules.figures import TRIODES, Form, Word
from tubes.rules.judge_parts import CARE, FITS, UNKNOWN, Answer, Case, Finding, memory_words, sources_of

_ORDER = ("sharp", "semi-remote", "remote")


@lru_cache(maxsize=20_000)
def cutoff_answer(wanted: str, candidate: str, gain_controlled: bool | None) -> Answer:
    """Cutoffs of two types in a stage whose gain is controlled, is not, or of which that is not known (None)."""
    if wanted == candidate:
        return FITS, ""
    need, have = (one or "not stated" for one in (wanted, candidate))
    words = f"cutoff {need} wanted, {have} given"
    if wanted not in _ORDER or candidate not in _ORDER:
        return CARE, f"{words}: watch the gain control"
    sharper = _ORDER.index(candidate) < _ORDER.index(wanted)
    if gain_controlled is False and sharper:
        return FITS, f"{words}, where no gain is controlled"
    if sharper:
        entails = "gain control cuts it off early, strong signals distort"
    elif gain_controlled is False:
        entails = "it bends sooner as a detector, limiter or audio stage"
    else:
        entails = "gain control takes hold of it late, and it bends sooner as a detector or limiter"
    open_one = "; whether gain is controlled there is unchecked" if gain_controlled is None else ""
    return CARE, f"{words}: watch the gain control: {entails}{open_one}"


@lru_cache(maxsize=20_000)
def bias_answer(wanted: Form, candidate: Form, gain_known: bool) -> Answer:
    """Zero-bias class B tubes for others and the reverse; ``gain_known``: whether mu is compared beside it."""
    if {wanted.kind, candidate.kind} - TRIODES or wanted.zero_bias == candidate.zero_bias:
        return FITS, "zero-bias class B tubes both" if wanted.zero_bias else ""
    if candidate.zero_bias:
        return CARE, "a zero-bias class B tube where another stands: what its grid gets must be set anew"
    words = "a zero-bias class B tube stands there, this one is not called so: without grid bias it may run away"
    return (CARE if gain_known else UNKNOWN), words


def grid_findings(case: Case) -> list[Finding]:
    """What is told of cutoff and grid bias; nothing of types to which neither applies."""
    wanted, candidate = case.wanted.form, case.candidate.form
    found = []
    if wanted.cutoff or candidate.cutoff:
        answer = cutoff_answer(wanted.cutoff, candidate.cutoff, case.conditions.gain_controlled)
        found.append(_finding(case, "cutoff", answer, (wanted.cutoff, candidate.cutoff), "the same cutoff"))
    if (wanted.zero_bias or candidate.zero_bias) and not {wanted.kind, candidate.kind} - TRIODES:
        answer = bias_answer(wanted, candidate, case.wanted.number("mu") is not None)
        values = tuple("zero-bias" if form.zero_bias else "" for form in (wanted, candidate))
        found.append(_finding(case, "grid bias", answer, values, ""))
    return found


def _finding(case: Case, check: str, answer: Answer, values: tuple[str, ...], agreed: str) -> Finding:
    rank, reason = answer
    name = {"cutoff": "cutoff", "grid bias": "bias"}[check]
    first, second = (_word(one.words, name) for one in (case.wanted, case.candidate))
    text = f"{reason or agreed}{memory_words(first, second)}."
    need, have = (value or None for value in values)
    return Finding(check, rank, need, have, None, text[:1].upper() + text[1:], sources_of(first, second))


def _word(words: Mapping[str, Word], name: str) -> Word | None:
    """The word, or the note that it was read from."""
    return words.get(name) or words.get("note")
