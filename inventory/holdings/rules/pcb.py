"""Whether an oil capacitor is taken to hold PCB.

40 CFR 761.2(a)(4) (codes.findlaw.com): made before 2 July 1979, or of unknown date and not marked "No PCBs": at least
500 ppm are assumed. Makers put that mark on from 1 July 1978 on (40 CFR 761.40(g), from memory): on an older one it is
none of its maker's. Local codes and licensed disposal come first.
"""

import re
from datetime import date

FREE_FROM = date(1979, 7, 2)
MARKED_FROM = date(1978, 7, 1)
_MARK = re.compile(
    r"\b(?:marked|stamped|labell?ed|stencill?ed|embossed|engraved|"
    r"(?:mark(?:ing)?|label|stamp|nameplate|plate|can)(?: on (?:it|the can|its \w+))? (?:says|reads|is)|marking:)"
    r"(?: (?:as|with))?\s*[\"'“”„‘’]*(?P<none>no[- ]pcb'?s?)\b[\"'“”‘’]*",
    re.IGNORECASE,
)
#: Behind the mark: the clause ends, or says where, when or by whom it was put there, or goes on with figures.
_BEHIND = re.compile(r"\s*(?:$|[.,;!)\]|\n(]|\s-\s|[ ](?:on|in|at|by|and|made|dated|from|since)\b|[ ]\.?[0-9])", re.I)
_NOT_BEFORE = re.compile(
    r"\b(?:no|not|never|nowhere|without|cannot|\w+n't|if|whether|unless|until|hardly|once|formerly|should|must|may|might|"
    r"could|seller|said|hop\w+|think|thought|believ\w+|guess\w*|maybe|perhaps|probably|possibly|doubt\w*|suppos\w*|"
    r"alleg\w*|claim\w*|apparently|likely|others?|another|nobody)\b[^.;|\n]{0,50}$",
    re.IGNORECASE,
)
_NOT_BEHIND = re.compile(
    r"[^.;|\n]{0,60}?(?:\?|\b(?:missing|gone|lost|absent|fallen|faded|illegible|unreadable|not|never|hop\w+|think|"
    r"believ\w+|guess\w*|maybe|perhaps|probably|doubt\w*|suppos\w*|seller|by (?:me|us|hand|a hand|somebody))\b)",
    re.IGNORECASE,
)


def taken_to_hold_pcb(
    year: int | None = None, month: int | None = None, day: int | None = None, marked_none: bool = False
) -> bool:
    """By the date of making as far as it is known; a date that may lie before the day counts as lying before it."""
    if year is None:
        return not marked_none
    earliest = date(year, month or 1, (day if month and day else None) or 1)
    return earliest < (MARKED_FROM if marked_none else FREE_FROM)


def marks_of_none(text: str) -> list[re.Match[str]]:
    """Where words say that the piece itself is marked "No PCBs", and do not deny it, ask it, or tell an opinion."""
    return [
        one for one in _MARK.finditer(text)
        if not _NOT_BEFORE.search(text[max(0, one.start() - 60) : one.start()])
        and _BEHIND.match(text, one.end()) and not _NOT_BEHIND.match(text, one.end())
    ]  # fmt: skip
