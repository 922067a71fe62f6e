"""Mated sets: things that belong to one another by a number or mark, and to no set of the register.

The crystals of a net, a meter and its thermocouple, an instrument and its book. States as for companions.
"""

from dataclasses import dataclass
from datetime import date

from inventory.pairing.rules.companions import MATCHED, MATE_MISSING, NOT_MATCHED, UNKNOWN
from inventory.pairing.rules.events import Plate, Reason


@dataclass(frozen=True, slots=True)
class PartFacts:
    """One place of a mated set on a day.

    ``here``: its piece is in the collection; ``gone``: why not, where one left. ``shared``: the number of the set as a
    whole; ``others``: those on the other pieces here, which stand in for it where it was not written down.
    ``matched``: what a comparison showed (None: never compared), on the day ``compared_on``.
    """

    name: str
    here: bool
    plate: Plate
    shared: str
    others: tuple[str, ...] = ()
    gone: str = ""
    matched: bool | None = None
    compared_on: date | None = None
    compared_by: str = ""


@dataclass(frozen=True, slots=True)
class PartAnswer:
    """The state of one place of a mated set, and why."""

    state: str
    reasons: tuple[Reason, ...]


def state_of_part(facts: PartFacts, on: date) -> PartAnswer:
    """Whether the piece is there and belongs: a comparison counts more than a number, a number more than nothing."""
    if not facts.here:
        text = f"Its {facts.name} {facts.gone}." if facts.gone else f"Its {facts.name} is not here."
        return PartAnswer(MATE_MISSING, (Reason(None, "mate missing", text),))
    if facts.matched is not None and (facts.compared_on is None or facts.compared_on <= on):
        return _compared(facts)
    if not facts.plate.readable:
        text = "Its number cannot be read." if facts.plate.reading == "unreadable" else "It bears no number."
        return PartAnswer(UNKNOWN, (Reason(None, "mate unknown", text + " Compare it with the others."),))
    if facts.shared.strip():
        return _against(facts.plate, facts.shared.strip())
    return _among(facts)


def _compared(facts: PartFacts) -> PartAnswer:
    when = f" on {facts.compared_on}" if facts.compared_on else ""
    by = f" by {facts.compared_by}" if facts.compared_by else ""
    found = "found to belong" if facts.matched else "does not belong"
    reason = Reason(facts.compared_on, "compared", f"Compared with the others{when}{by}: {found}.")
    return PartAnswer(MATCHED if facts.matched else NOT_MATCHED, (reason,))


def _against(plate: Plate, shared: str) -> PartAnswer:
    if plate.agrees_with(Plate(shared)):
        return PartAnswer(MATCHED, (Reason(None, "serials match", f"Its number {plate} is the one they share."),))
    text = f"It bears {plate}, the set is {shared}."
    return PartAnswer(NOT_MATCHED, (Reason(None, "serials differ", text),))


def _among(facts: PartFacts) -> PartAnswer:
    """Without a number of the set as a whole, what the other pieces bear must tell."""
    others = {number.strip() for number in facts.others if number.strip()}
    if others == {facts.plate.serial.strip()}:
        text = f"It bears {facts.plate}, as every other piece here that can be read."
        return PartAnswer(MATCHED, (Reason(None, "serials match", text),))
    if not others:
        text = f"It bears {facts.plate}; there is nothing here to hold against it."
        return PartAnswer(UNKNOWN, (Reason(None, "mate unknown", text),))
    text = f"It bears {facts.plate}, others here {', '.join(sorted(others))}; nobody has written which is the set's."
    return PartAnswer(UNKNOWN, (Reason(None, "mate unknown", text),))
