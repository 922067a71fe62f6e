"""Whether words deny the hazard that they name: "no mercury", "radium-free".

One principle: a denial counts only for a substance, only where the denying word stands directly before the name (or
"free" behind it, "non-" before it) and the clause says no more than that; and not where it is asked, doubted, taken
back, or somebody's opinion. "No radium test", "no X-ray shield" and "no asbestos found" deny a test, a shield and a
find, so the hazard is told as doubtful. A voltage, a charge, X-rays, a weight are never denied by words. Common
practice, no source.
"""

import re

_BEFORE = re.compile(
    r"(?:\b(?:no|non|not|without|ohne|kein\w*|sans|zonder|sin|(?:do|does)(?:n't| not) (?:hold|contain))(?: +|-)|"
    r"\bfree (?:of|from) (?:any |all )?)$",
    re.IGNORECASE,
)
_FREE = re.compile(r"[- ]*(?:free|frei|vrij)\b(?![- ](?:of|to|for|from|\w+ing)\b)", re.IGNORECASE)
_NON = re.compile(r"\bnon[- ]$", re.IGNORECASE)
_FREE_ITSELF = re.compile(r"(?:frei|vrij|los)$", re.IGNORECASE)
#: Behind the name the clause ends: nothing else is denied than the substance itself.
_ENDS = re.compile(
    r"(?:[- ](?:vapou?rs?|oils?|filled|filling|content|paint|compounds?|in (?:it|them|this one)|"
    r"inside|at all|whatever))*"
    r"\s*(?:$|[.,;!)\]|\n]|\s-\s|\s(?:and|or|but|nor)\s+(?:no|not|non|without)\b)",
    re.IGNORECASE,
)
_TAKEN_BACK = re.compile(
    r"\b(?:not?|nicht|kein\w*|niet|geen|never|nowhere|cannot|if|whether|unless|until|\w+n't)\b[^.;,|\n]{0,60}$", re.I
)
_UNSURE = (
    r"hop(?:e|ed|ing|efully)|think\w*|thought|believ\w*|guess\w*|maybe|perhaps|prob\w*|possib\w*|doubt\w*|hardly|"
    r"suppos\w*|presum\w*|alleg\w*|claim\w*|(?:un|not )(?:sure|certain|known|clear)|nobody|"
    r"no one|apparently|seem\w*|should|may|might|could|likely|longer|vermutlich|vielleicht|angeblich|wohl"
)
#: What is spoken of then: a mark, a test, a guard, and not the substance.
_BESIDE = (
    r"marks?|marked|marking|labels?|labell?ed|signs?|stickers?|stamps?|stamped|warnings?|cautions?|statements?|"
    r"certificates?|paperwork|test\w*|check\w*|survey\w*|measur\w*|inspect\w*|look\w*|shield\w*|guard\w*|screen\w*|cages?|"
    r"interlocks?|covers?|data|info\w*"
)
_DOUBTED_BEFORE = re.compile(rf"\b(?:{_UNSURE}|seller|said|says|told)\b[^.;|\n]{{0,60}}$", re.IGNORECASE)
_DOUBTED_BEHIND = re.compile(rf"[^.;|\n]{{0,60}}?(?:\?|\b(?:{_UNSURE}|{_BESIDE})\b)", re.IGNORECASE)
_LOOKED_AT = 70


def is_denied(text: str, hit: re.Match[str]) -> bool:
    """Whether just this name of a substance is denied. In doubt it is not."""
    before = text[max(0, hit.start() - _LOOKED_AT) : hit.start()]
    if _DOUBTED_BEFORE.search(before) or _DOUBTED_BEHIND.match(text, hit.end()):
        return False
    if (without := _BEFORE.search(before)) and not _NON.search(before):
        return bool(_ENDS.match(text, hit.end())) and not _TAKEN_BACK.search(before[: without.start()])
    free = _FREE.match(text, hit.end()) or _NON.search(before) or _FREE_ITSELF.search(hit.group())
    return bool(free) and not _TAKEN_BACK.search(before)


def doubtful_clause(text: str, hit: re.Match[str]) -> str:
    """The clause around a name beside which something is denied, though not the hazard; empty where nothing is."""
    before, behind = text[: hit.start()], text[hit.end() :]
    near = _BEFORE.search(before) or re.match(r"[- ]*(?:free|frei|vrij)\b", behind, re.IGNORECASE)
    if not (near or _FREE_ITSELF.search(hit.group())):
        return ""
    begin = re.split(r"[.;|\n]", before[-_LOOKED_AT:])[-1]
    end = re.split(r"[.;|\n]", behind[:_LOOKED_AT])[0]
    return " ".join(f"{begin}{hit.group()}{end}".split())
