"""Alternating current: which capacitors may not sit there, whose peak is looked at, and which words ask for it.

A polar electrolytic on alternating current heats, gasses and bursts, alone and in pairs alike: only one that is said to
be non-polar or made for it may stand there. From 1 mfd on one of unknown making is mostly an electrolytic (common
practice, no source).
"""

import re

from inventory.holdings.rules.constructions import construction_of
from inventory.holdings.rules.part_kinds import PartFigures

#: What is rated in the effective value, or works at it, so that no peak is asked: the rest is insulation.
IN_EFFECTIVE = frozenset("relay vibrator dynamotor transformer fuse switch lamp".split())
FROM_PF = 1e6
POLAR = (
    "it is polar, and on alternating current it heats and bursts, also two of them in series: take one that is marked "
    "non-polar or for alternating current, or one of film or paper (common practice, no source)"
)
NOT_KNOWN = (
    "construction not known: from 1 mfd on most are electrolytics, which burst on alternating current; look what it is "
    "and give its construction (common practice, no source)"
)
HEATS = (
    "A rating in direct current does not say what alternating current heats it with: take one rated for it where there "
    "is any (common practice, no source)."
)
_NON_POLAR = re.compile(
    r"non[- ]?polar\w*|un-?pol\w+|bi-?polar\w*|ungepolt\w*|(?<!\w)N\.?P\.?(?![\w-])|"
    r"\d+(?:\.\d+)?\s*(?:V(?:olts?)?[\s.-]*A\.?C|VRMS|ACV)\b|(?<!\w)AC (?:electrolytic|capacitor|motor|rated)|"
    r"for (?:AC\b|alternating)|motor[- ](?:run|start)\w*",
    re.IGNORECASE,
)
_AC_RATING = re.compile(r"(\d+(?:\.\d+)?)\s*(?:V|ACV)", re.IGNORECASE)
_DENIED = re.compile(r"\b(?:not?|never|nor|without|isn't|nicht|kein\w*)\b[^.;,]{0,25}$", re.IGNORECASE)
_ASKED = re.compile(r"(?:a\.?c\.?|alternating|vac|acv|vrms|motor)", re.IGNORECASE)


def asks_for_it(words: tuple[str, ...]) -> bool:
    """Whether words that nothing was read from ask for alternating current."""
    return any(_ASKED.fullmatch(word) for word in words)


def non_polar_words(text: str) -> str:
    """The words on a part that say that it is non-polar or for alternating current, and are not denied; else empty."""
    found = (match for match in _NON_POLAR.finditer(text) if not _DENIED.search(text[: match.start()]))
    return " ".join(match[0] for match in found)


def is_polar(part: PartFigures) -> bool:
    """Whether a capacitor has a plus and a minus, as far as its making and the words on it say."""
    made = construction_of(part.kind, part.construction)
    polar = made is not None and made.polarized
    return polar and not non_polar_words(_all_words(part))


def rated_in_ac(part: PartFigures) -> bool:
    """Whether the words on a part say that its voltage is one of alternating current."""
    said = _AC_RATING.findall(non_polar_words(_all_words(part)))
    return part.volts is not None and any(float(one) == part.volts for one in said)


def _all_words(part: PartFigures) -> str:
    return " . ".join((part.construction, part.words, part.marked))


def against_it(part: PartFigures) -> str:
    """What speaks against a part where alternating current is; empty where nothing does."""
    if part.kind != "capacitor":
        return ""
    if is_polar(part):
        return f"{part.construction}: {POLAR}"
    known = construction_of(part.kind, part.construction) or non_polar_words(_all_words(part))
    return "" if known or part.safety or (part.value or 0) < FROM_PF else NOT_KNOWN
