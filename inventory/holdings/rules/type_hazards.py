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
_MERCURY = re.compile(r"(?<!no )\bmercury\b", re.IGNORECASE)
_CERAMIC = re.compile(r"\bceramic\b(?![- ](?:base|socket|cap|spacer))", re.IGNORECASE)
_REGULATOR = "a gas regulator: some makes hold a trace of radioactive matter (from memory)"
_ENVELOPE = "its ceramic may be beryllia unless its maker says otherwise (from memory)"


@dataclass(frozen=True, slots=True)
class Stated:
    """What is stated of a type under one name. ``caution``: of the tables and the keeper's own; ``volts``: the highest
    plate or inverse voltage; ``mercury``: a rectifier that holds it by all that is known of it.
    """

    name: str
    caution: str = ""
    kind: str = ""
    note: str = ""
    volts: float | None = None
    mercury: bool = False


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
    whose = name if one.name == name else f"{one.name} (the same tube as {name})"
    yield from of_caution(one.caution, whose)
    yield from of_caution(caution_of(one.kind), whose)
    if one.mercury or (one.kind in GASSES and _MERCURY.search(one.note)):
        what = GASSES.get(one.kind, "rectifier")
        yield Ground(MERCURY, f"{whose} is a mercury {what} by its figures", BY_WORDS[MERCURY].source)
    if one.kind == "gas-regulator":
        yield Ground(RADIOACTIVE, f"{whose} is {_REGULATOR}", BY_WORDS[RADIOACTIVE].source)
    yield from of_rating(whose, one.volts)
    yield from _of_note(one.note, whose)
    if _CERAMIC.search(one.note):
        yield Ground(BERYLLIA, f"{whose}: {_ENVELOPE}", BY_WORDS[BERYLLIA].source)


def _of_note(note: str, whose: str) -> Iterable[Ground]:
    for part in re.split(r";\s+", note):
        for kind in kinds_named(part):
            if kind.words in _IN_NOTES:
                yield Ground(kind.words, f"note of {whose}: {' '.join(part.split())}", kind.source)
