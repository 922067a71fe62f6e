"""Hazards that a list names in words: proposed as a mark, with the word that raised it.

Local codes and licensed practice come first.

Which words name a hazard: ``hazard_kinds``; which oil capacitors are taken to hold PCB: ``pcb``.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from inventory.holdings.rules.capacitor_words import CAPACITANCE
from inventory.holdings.rules.hazard_denied import doubtful_clause
from inventory.holdings.rules.hazard_kinds import LISTED, PCB
from inventory.holdings.rules.hazard_words import named_first
from inventory.holdings.rules.making_year import year_of_making
from inventory.holdings.rules.pcb import marks_of_none, taken_to_hold_pcb


@dataclass(frozen=True, slots=True)
class Hazard:
    """`name` the hazard, `word` as found, `reason` why the mark is proposed, `caution` the usual words beside it.

    `mark`: how it is marked on a thing.
    """

    name: str
    word: str
    reason: str
    caution: str
    mark: str = ""


_CAPACITOR = r"(?:cap|caps|capacitor|capacitors|condenser|condensers|cond)\b"
_WOUND = r"(?:transformer|transformers|xfmr|choke|chokes|reactor|reactors|auto-?transformer)\b"
_HOW = r"(?:[- ](?:filled|bath|impregnated|immersed|soaked|insulated|cooled))?"
_NAMED_ONE = re.compile(rf"\b{_CAPACITOR}|kondensator|condensat", re.IGNORECASE)
_OIL = re.compile(
    rf"\b(?:oil{_HOW}[- ](?:paper[- ])?(?:{_CAPACITOR}|{_WOUND})|(?:{_CAPACITOR}|{_WOUND}).{{0,30}}\boil\b|"
    r"öl-?kondensator\w*|ölpapier\w*|öl-?trafo\w*|öl-?transformator\w*|condensateurs? à (?:l')?huile|"
    r"transformateurs? à (?:l')?huile|olie-?condensator\w*|olie-?transformator\w*)|"
    r"\boil[- ](?:filled|impregnated|immersed)\b|\bPIO\b",
    re.IGNORECASE,
)
#: What else an oil-filled thing is than a capacitor, by its words.
_WOUND_ONE = re.compile(rf"\b(?:{_WOUND}|\w*trafo\w*|\w*transformat(?:or|eur)\w*)", re.IGNORECASE)
_A_CAPACITOR = re.compile(
    rf"\b{_CAPACITOR}|kondensator|condensat|ölpapier|\bPIO\b|[0-9] ?(?:[mu]?fd?s?|[mu]{{2}}fd?|[pnuµμ]f)\b",
    re.IGNORECASE,
)
#: Oil in any words, beside a capacitance or the name of a capacitor.
_IN_OIL = re.compile(r"\boil\b|\böl\w*|\boel-?kond\w*|\bhuile\b|\bolie\w*", re.IGNORECASE)
_LOOKED_AT = 5000
UNSURE = date.min  # a day of making that is on record as no more than an estimate or a bound


def find_hazards(text: str, made: int | date | None = None) -> tuple[Hazard, ...]:
    """Hazards that the words of a row name, each once; `made` is the year, or the earliest day, of making.

    A year in the text itself counts as the year of making only where it stands as one (``making_year``); of two dates
    the earlier counts. `made` as ``UNSURE``: of unknown date, whatever the words say.
    """
    text = text[:_LOOKED_AT]
    named = {hazard.name: hazard for hazard in _named(text)}
    found = {hazard.name: hazard for hazard in _oil(text, made)}
    plain = {name: hazard for name, hazard in named.items() if name not in found or "doubtful" not in hazard.reason}
    return tuple((found | plain).values())


def _named(text: str) -> Iterator[Hazard]:
    none = [one.span("none") for one in marks_of_none(text)]
    for begin, end in none:  # a maker's mark that denies it names nothing
        text = text[:begin] + " " * (end - begin) + text[end:]
    for kind, pattern in LISTED:
        if match := named_first(text, pattern, kind):
            clause = doubtful_clause(text, match)
            reason = f"the list says {match.group()!r}" + (f" (doubtful: {clause!r})" if clause else "")
            yield Hazard(kind.name, match.group(), reason, kind.caution, kind.mark)


def _oil(text: str, made: int | date | None) -> Iterator[Hazard]:
    match = _OIL.search(text)
    if not match and (CAPACITANCE.search(text) or _NAMED_ONE.search(text)):
        match = _IN_OIL.search(text)
    if not match:
        return
    day = _earliest(made, year_of_making(text, _OIL))
    marked = bool(marks_of_none(text))
    year, month, of_month = (day.year, day.month, day.day) if day else (None, None, None)
    if not taken_to_hold_pcb(year, month, of_month, marked):
        return
    told = day.isoformat() if isinstance(made, date) and day == made else day.year if day else ""
    age = f"of {told}, which may be before 2 July 1979," if told else "of unknown date"
    reason = f"{_what(text)} {age} may hold PCB"
    if marked:
        reason += "; it is said to be marked No PCBs, and that mark is of 1 July 1978 and later"
    yield Hazard(PCB.name, match.group(), reason, PCB.caution, PCB.mark)


def _earliest(made: int | date | None, said: int | None) -> date | None:
    """The earlier of two dates of making, each as its first day; None where neither is known, or one is unsure."""
    if made == UNSURE:
        return None
    days = [date(one, 1, 1) if isinstance(one, int) else one for one in (made, said) if one is not None]
    return min(days, default=None)


def _what(text: str) -> str:
    """What an oil-filled thing is by its words: a capacitor, unless they name another thing, or none at all."""
    if _A_CAPACITOR.search(text):
        return "an oil capacitor"
    if found := _WOUND_ONE.search(text):
        return (
            "an oil-filled choke"
            if found.group().lower().startswith(("choke", "react"))
            else "an oil-filled transformer"
        )
    return "an oil-filled part"
