"""Advice on a tube: keep as spare, use, test again, sell or scrap, with its reasons. The last word is the keeper's.

Common practice, no source, unless said otherwise: the best readings become spares for one's own sets, the next best go
to work, types that no set of one's own takes are sold when there are more than a handful, rare ones are kept even
weak. Nothing untested is scrapped. One bad reading is looked at again: "open" is often the socket, an old verdict can
be wrong, and of tubes pulled from military sets one in three was not defective (ARINC study).
"""

from dataclasses import dataclass

from inventory.running.rules.verdicts import BORDERLINE, GAS, GAS_TOLD, LEAKAGE, NOT_COMPARABLE, REJECT

KEEP, USE, TEST, SELL, SCRAP = "keep as spare", "use", "test again", "sell", "scrap"
LAST_WORD = "The last word is yours."
HANDFUL = 5  # our choice
SPARES_A_PLACE = 1  # best tubes put by for each place in one's own sets; our choice

_BIG_RESISTOR = ", and not for a place with a large grid resistor"
_DOUBTS = {
    GAS: f"Gas above its limit: no spare{_BIG_RESISTOR}. Run it warm for an hour and test it again; its data sheet may "
    "allow more.",
    GAS_TOLD: "Gas is told without a figure that can be judged: no spare until it is read again in divisions or "
    "microamperes. A blue glow on the glass is fluorescence and no gas, a haze between the electrodes is gas (common "
    "practice, no source).",
    LEAKAGE: "Shorts or leakage were found and not looked at again: no spare until they are.",
}


@dataclass(frozen=True, slots=True)
class AdviceFacts:
    """``verdict``: of the last test, None: never tested. ``rejects``: tests in a row, of different days, failed.

    ``others_read``: other tubes of its type that were read and are not called good.
    ``doubt``: gas, or shorts and leakage, that keep it from counting as good. ``places``: positions in the keeper's
    sets that take its type. ``good``: good tubes of its type, ``in_sets``: of them, those in a set, which are no
    spares; ``rank``: its place among the others, 1 the best.
    ``unread``: sections that its last tests did not read.
    ``gridless``: a rectifier or diode. ``old_months``: age at which a test is to be done again, if any.
    """

    verdict: str | None
    shorted: bool = False
    rejects: int = 0
    fitted: bool = False
    places: int = 0
    good: int = 0
    rank: int = 1
    in_sets: int = 0
    age_months: float | None = None
    old_months: float | None = None
    doubt: str = ""
    gridless: bool = False
    others_read: int = 0
    unread: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Advice:
    """What could be done with the tube, and why."""

    advice: str
    reasons: tuple[str, ...]


def advise(facts: AdviceFacts) -> Advice:
    """The advice."""
    advice, *reasons = _advice(facts)
    if facts.verdict and facts.old_months and facts.age_months is not None and facts.age_months > facts.old_months:
        reasons.append(f"Its last test is {facts.age_months:.0f} month{'s' * (round(facts.age_months) != 1)} old.")
        advice = advice if advice == SCRAP else TEST
    return Advice(advice, (*reasons, LAST_WORD))


def _advice(facts: AdviceFacts) -> tuple[str, ...]:
    if facts.verdict is None:
        return TEST, "Never tested: nothing untested is scrapped or sold as good."
    if facts.verdict == NOT_COMPARABLE and facts.unread:
        return TEST, *_half_read(facts)
    if facts.verdict == NOT_COMPARABLE:
        return TEST, "Its last test says nothing yet: a minimum for this instrument, or a reading, is missing."
    if facts.verdict == REJECT:
        return _rejected(facts)
    if facts.doubt:
        return TEST, _doubted(facts)
    if facts.verdict == BORDERLINE:
        return _borderline(facts)
    return _good(facts)


def _half_read(facts: AdviceFacts) -> tuple[str, ...]:
    """Why nothing is advised on a tube of which a section was not read."""
    sections = " and ".join(facts.unread)
    told = f"Section {sections} not read: the tube is as good as its weaker section, so no advice before it is."
    return (told, _doubted(facts)) if facts.doubt else (told,)


def _doubted(facts: AdviceFacts) -> str:
    told = _DOUBTS.get(facts.doubt, f"{facts.doubt.capitalize()} is not settled: test it again.")
    return told.replace(_BIG_RESISTOR, "") if facts.gridless else told


def _rejected(facts: AdviceFacts) -> tuple[str, ...]:
    if facts.shorted and facts.rejects > 1:
        return (
            SCRAP,
            "Shorted or leaking on two days: break it or mark the glass, so that it never comes back in a box.",
        )
    if facts.shorted:
        return (
            TEST,
            "Shorted or leaking once: clean the pins, try another socket, look for the short before scrapping it.",
        )
    if facts.rejects < 2:
        return TEST, "Below its limit once: look at settings, line and socket, and test it on another day."
    if not facts.good:
        return KEEP, "Below its limit, but no good one of its type is here: rare types are kept even weak."
    return SCRAP, f"Below its limit {facts.rejects} times, and {facts.good} good of its type {_are(facts.good)} here."


def _borderline(facts: AdviceFacts) -> tuple[str, ...]:
    if facts.fitted:
        return USE, "Borderline in a set: it may stay while the set works well; have a spare at hand."
    if facts.places:
        return USE, "Borderline: use it first, in a set that is seldom run, and keep the better ones."
    if facts.good > HANDFUL:
        return SELL, "Borderline, and no set here takes its type: sell it with its reading and instrument named."
    return KEEP, "Borderline, and few of its type are here."


def _good(facts: AdviceFacts) -> tuple[str, ...]:
    if facts.fitted:
        return USE, "Good where it is."
    if not facts.places:
        if facts.good > HANDFUL:
            return SELL, f"Good, but no set here takes its type and {facts.good} good ones are more than a handful."
        return KEEP, "Good; no set here takes its type, and there are few of it."
    if facts.rank <= facts.places * SPARES_A_PLACE:
        return (
            KEEP,
            f"{_ranked(facts)}: the best are put by, one for each position ({facts.places}).",
        )
    return USE, f"{_ranked(facts)}: better ones are put by as spares."


def _are(count: int) -> str:
    return "is" if count == 1 else "are"


def _ranked(facts: AdviceFacts) -> str:
    """Its place among the good ones that are in no set; a tube not called good yet is one of them, too."""
    of = max(facts.good - facts.in_sets, facts.rank)
    if of > 1:
        return f"Good, number {facts.rank} of {of}{' that are in no set' if facts.in_sets else ''}"
    if facts.in_sets:
        return "Good, the only good one of its type that is in no set"
    if facts.others_read:
        others = f"{facts.others_read} other{'s' * (facts.others_read > 1)} of its type"
        return f"Good, the only one called good; {others} {_were(facts.others_read)} read, and not called good yet"
    return "Good, the only one of its type that was read"


def _were(count: int) -> str:
    return "was" if count == 1 else "were"
