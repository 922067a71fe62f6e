"""How the grid of a stage is worked: cutoff where gain may be controlled, and tubes made for class B without bias.

Both stand in the notes of the tables, in fixed words (``figures``), or in the keeper's own row. A remote-cutoff tube
takes gain control smoothly and bends what a sharp one would not; a sharp one under AVC is cut off early and distorts
strong signals (common practice, no source).
"""

from collections.abc import Mapping
from functools import lru_cache

from tubes.rules.figures import TRIODES, Form, Word
from tubes.rules.judge_parts import CARE, FITS, UNKNOWN, UNSUITABLE, Answer, Case, Finding, memory_words, sources_of

_ORDER = ("sharp", "semi-remote", "remote")


@lru_cache(maxsize=20_000)
def cutoff_answer(wanted: str, candidate: str, gain_controlled: bool | None, eye: bool = False) -> Answer:
    """Cutoffs of two types in a stage whose gain is controlled, is not, or of which that is not known (None).

    ``eye``: it indicates tuning. A cutoff that is not known may be any: where no gain is controlled a sharp tube serves
    for it in any case.
    """
    if wanted == candidate:
        return FITS, ""
    if wanted not in _ORDER or candidate not in _ORDER:
        known, whose = (candidate, "the wanted tube") if candidate in _ORDER else (wanted, "this tube")
        words = f"cutoff {known} {'given' if known == candidate else 'wanted'}, that of {whose} is not known"
        if candidate == "sharp" and gain_controlled is False and not eye:
            return FITS, f"{words}: a sharp one serves where no gain is controlled"
        entails = "where its shadow closes may differ" if eye else "how gain control takes hold of it may differ"
        return CARE, f"{words}: {entails}"
    words = f"cutoff {wanted} wanted, {candidate} given"
    sharper = _ORDER.index(candidate) < _ORDER.index(wanted)
    if eye:
        return CARE, f"{words}: its shadow closes at {'less' if sharper else 'more'} control voltage"
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


def needs_bias(wanted: Form, candidate: Form) -> bool:
    """Whether a zero-bias class B tube stands there and the other triode is not called one."""
    return not {wanted.kind, candidate.kind} - TRIODES and wanted.zero_bias and not candidate.zero_bias


def unbiased_rank(wanted_mu: float | None, mu: float | None, low: float) -> int:
    """A tube not made for it where the grid has no bias: plate voltage over mu is what drives it there.

    ``low``: from so much of the wanted mu on the two count as alike. Of a lower mu, or beside a tube whose mu nobody
    states since it varies with current, idle current is beyond what the plate stands (common practice, no source).
    """
    if mu is None:
        return UNKNOWN
    return UNSUITABLE if wanted_mu is None or mu < low * wanted_mu else CARE


_UNBIASED: Mapping[int, str] = {
    UNKNOWN: "and its mu is not known: without grid bias it may draw a plate current that destroys it",
    CARE: "but its mu is as high: see in its sheet that it may work without grid bias",
    UNSUITABLE: "and nothing shows that its mu is as high: without grid bias it may draw more plate current than it "
    "stands; unsuitable unless a bias supply is fitted first",
}


@lru_cache(maxsize=20_000)
def bias_answer(wanted: Form, candidate: Form, unbiased: int = FITS) -> Answer:
    """Zero-bias class B tubes for others and the reverse; ``unbiased``: rank of one not made for it, in their place."""
    if {wanted.kind, candidate.kind} - TRIODES or wanted.zero_bias == candidate.zero_bias:
        return FITS, "zero-bias class B tubes both" if wanted.zero_bias else ""
    if candidate.zero_bias:
        return CARE, "a zero-bias class B tube where another stands: what its grid gets must be set anew"
    return unbiased, f"a zero-bias class B tube stands there, this one is not called so {_UNBIASED.get(unbiased, '')}"


def indicates(form: Form) -> bool:
    return form.use == "tuning indicator"


def grid_findings(case: Case) -> list[Finding]:
    """What is told of cutoff and grid bias; nothing of types to which neither applies."""
    wanted, candidate = case.wanted.form, case.candidate.form
    found = []
    if wanted.cutoff or candidate.cutoff:
        answer = cutoff_answer(wanted.cutoff, candidate.cutoff, case.conditions.gain_controlled, indicates(wanted))
        found.append(_finding(case, "cutoff", answer, (wanted.cutoff, candidate.cutoff), "the same cutoff"))
    if (wanted.zero_bias or candidate.zero_bias) and not {wanted.kind, candidate.kind} - TRIODES:
        mu, low = case.candidate.number("mu"), case.limits["judge.mu_low"]
        need = case.wanted.number("mu")
        answer = bias_answer(wanted, candidate, unbiased_rank(need, mu, low))
        if answer[0] == UNSUITABLE:
            against = f"{need:g}" if need is not None else f"that of {case.wanted.name}, which is not known"
            answer = UNSUITABLE, f"{answer[1]} (mu {mu:g} against {against})"
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
