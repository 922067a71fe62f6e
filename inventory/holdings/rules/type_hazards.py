"""Which hazards every tube of a type is taken to bear, by what tables and keepers state of it under any of its names.

By kind of tube: the cautions of ``tubes.rules.kinds``. TR and gap tubes: isotopes at carlwillis.wordpress.com/tag/
radioactive. X-rays: as ``hazard_grounds``. Gas regulators and ceramic envelopes: from memory. In doubt it is told.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from inventory.holdings.rules.hazard_grounds import MERCURY, Ground, of_caution, of_rating
from inventory.holdings.rules.hazard_kinds import BY_WORDS
from inventory.holdings.rules.hazard_words import kinds_named
from tubes.rules.kinds import caution_of

BERYLLIA, RADIOACTIVE = "beryllia", "radioactive"
GASSES = {"thyratron": "thyratron", "gas-rectifier": "gas rectifier", "gas-regulator": "gas regulator"}
#: What a note of figures says of the tube itself; voltages in it are ratings, "RF" is a use.
_IN_NOTES = frozenset({"radium", BERYLLIA, "asbestos", "selenium", "X-rays", "implosion", RADIOACTIVE})
_OTHERS = re.compile(r"\b(?:instead of|unlike|in place of|replaces)\b", re.IGNORECASE)
_HOUSE = re.compile(r"(?:WE|GL|WL|RK|HK|HY|CK|ML)-?(?P<number>[0-9]{2,4}[A-Z]{1,3})")
_CERAMIC = re.compile(r"\bceramic\b(?![- ](?:base|socket|cap|spacer))", re.IGNORECASE)
_REGULATOR = "a gas regulator: some makes hold a trace of radioactive matter (from memory)"
_ENVELOPE = "its ceramic may be beryllia unless its maker says otherwise (from memory)"


@dataclass(frozen=True, slots=True)
class Stated:
    """What is stated of a type under one name. ``caution``: of the tables and the keeper's own; ``volts``: the highest
    plate or inverse voltage; ``mercury``: a rectifier that holds it by all that is known of it. ``said``: of it beside
    its designations; ``how``: what the name is to the one that is asked about, where it is not just the same tube.
    """

    name: str
    caution: str = ""
    kind: str = ""
    note: str = ""
    volts: float | None = None
    mercury: bool = False
    said: str = ""
    how: str = "the same tube as"


def of_type(name: str, under: Sequence[Stated]) -> tuple[Ground, ...]:
    """Why a tube of a type bears hazards, but for those that its own caution names. ``under``: each of its names."""
    told = {ground.hazard for one in under if one.name == name for ground in of_caution(one.caution, name)}
    found: dict[str, Ground] = {}
    for one in sorted(under, key=lambda row: row.name != name):  # its own rows first
        for ground in _grounds(one, name):
            if ground.hazard not in told:
                found.setdefault(ground.hazard, ground)
    return tuple(found.values())


def _grounds(one: Stated, name: str) -> Iterator[Ground]:
    whose = name if one.name == name else f"{one.name} ({one.how} {name})"
    yield from of_caution(one.caution, whose)
    yield from of_caution(caution_of(one.kind), whose)
    if one.mercury or (one.kind in ("", *GASSES) and BY_WORDS[MERCURY] in kinds_named(one.note)):
        what = GASSES.get(one.kind, "rectifier" if one.mercury else "tube")
        yield Ground(MERCURY, f"{whose} is a mercury {what} by its figures", BY_WORDS[MERCURY].source)
    if one.kind == "gas-regulator":
        yield Ground(RADIOACTIVE, f"{whose} is {_REGULATOR}", BY_WORDS[RADIOACTIVE].source)
    yield from of_rating(whose, one.volts)
    yield from _of_note(one.note, whose)
    if not _OTHERS.search(one.said):
        for kind in kinds_named(one.said):
            yield Ground(kind.words, f"said of {whose}: {' '.join(one.said.split())}", kind.source)
    if _CERAMIC.search(one.note):
        yield Ground(BERYLLIA, f"{whose}: {_ENVELOPE}", BY_WORDS[BERYLLIA].source)


def _of_note(note: str, whose: str) -> Iterable[Ground]:
    for part in re.split(r";\s+", note):
        for kind in kinds_named(part):
            if kind.words in _IN_NOTES:
                yield Ground(kind.words, f"note of {whose}: {' '.join(part.split())}", kind.source)


def house_number(name: str) -> str:
    """A maker's number without the letters of its maker, as many tubes bear it: 705A of WE-705A; else empty."""
    match = _HOUSE.fullmatch(name)
    return match["number"] if match else ""


def stamps_in(marked: str) -> list[str]:
    """What a stamp may be a number by: all of it, each of its words without dashes, and each piece of those."""
    words = [marked, *re.split(r"[\s,;()]+", marked), *re.split(r"\W+", marked)]
    return list(dict.fromkeys(re.sub(r"[\s.-]", "", word).upper() for word in words))
