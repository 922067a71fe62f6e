"""Hazards that a list names in words: proposed as a mark, with the word that raised it.

Local codes and licensed practice come first.

Which words name a hazard: ``hazard_kinds``; which oil capacitors are taken to hold PCB: ``pcb``.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from inventory.holdings.rules.hazard_kinds import LISTED, PCB
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


_OIL = re.compile(
    r"\b(?:oil(?:[- ](?:filled|bath))?[- ](?:cap|caps|capacitor|capacitors|condenser|condensers|cond)\b|"
    r"(?:cap|caps|capacitor|capacitors|condenser|condensers)\b.{0,30}\boil\b|öl-?kondensator\w*|ölpapier\w*|"
    r"condensateurs? à (?:l')?huile|"
    r"olie-?condensator\w*)|\boil[- ]filled\b",
    re.IGNORECASE,
)
_WITHOUT = re.compile(r"(?:\bno|\bnon|\bnot|\bwithout|\bohne|\bkein\w*|\bsans|\bzonder)[- ]*$", re.IGNORECASE)
_FREE = re.compile(r"[- ]*(?:free|frei|vrij)\b", re.IGNORECASE)
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
        for match in pattern.finditer(text):
            if not _denied(text, match):
                yield Hazard(kind.name, match.group(), f"the list says {match.group()!r}", kind.caution, kind.mark)
                break


def _denied(text: str, match: re.Match[str]) -> bool:
    return bool(_WITHOUT.search(text[max(0, match.start() - 12) : match.start()]) or _FREE.match(text, match.end()))


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
    yield Hazard(PCB.name, match.group(), f"an oil capacitor {age} may hold PCB", PCB.caution, PCB.mark)


def _marked_none(text: str) -> bool:
    """Whether words say that it is marked "No PCBs", and do not deny it, ask it or only speak of such a mark."""
    return any(
        not _NOT_MARKED.search(text[max(0, one.start() - 50) : one.start()]) and not _SPOKEN_OF.match(text, one.end())
        for one in _NO_PCB.finditer(text)
    )
