"""Hazards that a list names in words: proposed as a mark, with the word that raised it.

Local codes and licensed practice come first.

Which words name a hazard: ``hazard_kinds``; which oil capacitors are taken to hold PCB: ``pcb``.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from inventory.holdings.rules.hazard_kinds import LISTED, PCB
from inventory.holdings.rules.hazard_words import named_first
from inventory.holdings.rules.making_year import year_of_making
from inventory.holdings.rules.pcb import taken_to_hold_pcb


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
_NO_PCB = re.compile(r"\bno[- ]pcb'?s?\b|\bpcb'?s?[- ]free\b", re.IGNORECASE)
#: Before and behind words that seem to be the maker's mark: it is denied, asked about, or only spoken of.
_NOT_MARKED = re.compile(
    r"\b(?:not|never|nowhere|without|cannot|\w+n't|if|whether|unless)\b[^.;]{0,30}$", re.IGNORECASE
)
_SPOKEN_OF = re.compile(r"[\"'\u201d\u2019]?\s*(?:marks?\b|marking|labels?\b|stamps?\b|signs?\b|\?)", re.IGNORECASE)
_LOOKED_AT = 5000


def find_hazards(text: str, made: int | date | None = None) -> tuple[Hazard, ...]:
    """Hazards that the words of a row name, each once; `made` is the year, or the earliest day, of making.

    A year in the text itself counts as the year of making only where it stands as one (``making_year``).
    """
    text = text[:_LOOKED_AT]
    found = {hazard.name: hazard for hazard in _oil(text, made)} | {hazard.name: hazard for hazard in _named(text)}
    return tuple(found.values())


def _named(text: str) -> Iterator[Hazard]:
    for kind, pattern in LISTED:
        if match := named_first(text, pattern):
            yield Hazard(kind.name, match.group(), f"the list says {match.group()!r}", kind.caution, kind.mark)


def _oil(text: str, made: int | date | None) -> Iterator[Hazard]:
    match = _OIL.search(text)
    if not match:
        return
    year = made if made is not None else year_of_making(text, _OIL)
    marked = _marked_none(text)
    if isinstance(year, date):
        if not taken_to_hold_pcb(year.year, year.month, year.day, marked):
            return
    elif not taken_to_hold_pcb(year, marked_none=marked):
        return
    age = f"of {year}, which may be before 2 July 1979," if year is not None else "of unknown date"
    yield Hazard(PCB.name, match.group(), f"{_what(text)} {age} may hold PCB", PCB.caution, PCB.mark)


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


def _marked_none(text: str) -> bool:
    """Whether words say that it is marked "No PCBs", and do not deny it, ask it or only speak of such a mark."""
    return any(
        not _NOT_MARKED.search(text[max(0, one.start() - 50) : one.start()]) and not _SPOKEN_OF.match(text, one.end())
        for one in _NO_PCB.finditer(text)
    )
