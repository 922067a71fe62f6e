"""Companions matched by serial: a calibration book and its meter, a coil set and its receiver."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from inventory.pairing.rules.events import END_OF_DAY, Moment, Plate, Reason

MATCHED, NOT_MATCHED, MATE_MISSING, UNKNOWN = "matched", "not matched", "mate missing", "unknown"
COMPANION_STATES = (NOT_MATCHED, MATE_MISSING, UNKNOWN, MATCHED)


@dataclass(frozen=True, slots=True)
class Compared:
    """Somebody compared the companion with a chassis and judged whether they belong together."""

    chassis: int
    matched: bool
    moment: Moment
    by_whom: str = ""


@dataclass(frozen=True, slots=True)
class CompanionFacts:
    """A companion, the number of the set that it claims, the sets of that model here, and what was compared."""

    claims: Plate
    sets: Mapping[int, Plate]
    names: Mapping[int, str]
    kept_with: int | None = None
    compared: Sequence[Compared] = ()


@dataclass(frozen=True, slots=True)
class CompanionAnswer:
    """The state, the chassis it is about (or None), and the reasons."""

    state: str
    chassis: int | None
    reasons: tuple[Reason, ...]


def state_of_companion(facts: CompanionFacts, on: date) -> CompanionAnswer:
    """Which set the companion belongs to at the end of the day ``on``: a comparison counts more than a number."""
    now: Moment = (on, END_OF_DAY)
    compared = [c for c in facts.compared if c.moment <= now and c.chassis in facts.sets]
    verdicts = _last_verdicts(compared)
    yes = [c for c in verdicts.values() if c.matched]
    if yes:
        last = max(yes, key=lambda c: (c.moment, c.chassis))
        by = f" by {last.by_whom}" if last.by_whom else ""
        text = f"Compared with set {facts.names[last.chassis]} and found to belong on {last.moment[0]}{by}."
        return CompanionAnswer(MATCHED, last.chassis, (Reason(last.moment[0], "compared", text),))
    denied = {chassis for chassis, c in verdicts.items() if not c.matched}
    refusals = tuple(
        Reason(
            c.moment[0], "compared", f"Compared with set {facts.names[c.chassis]} on {c.moment[0]}: does not belong."
        )
        for c in sorted(verdicts.values(), key=lambda c: (c.moment, c.chassis))
    )
    by_number = [key for key, plate in facts.sets.items() if plate.agrees_with(facts.claims) and key not in denied]
    if len(by_number) == 1:
        text = f"Its number {facts.claims} is that of set {facts.names[by_number[0]]}."
        return CompanionAnswer(MATCHED, by_number[0], (Reason(None, "serials match", text), *refusals))
    if len(by_number) > 1:
        text = f"More than one set here bears {facts.claims}; compare it with each."
        return CompanionAnswer(UNKNOWN, None, (Reason(None, "two of one serial", text), *refusals))
    return _without_mate(facts, refusals)


def _without_mate(facts: CompanionFacts, refusals: tuple[Reason, ...]) -> CompanionAnswer:
    kept = facts.kept_with if facts.kept_with in facts.sets else None
    if kept is not None and facts.claims.readable:
        text = f"It belongs to {facts.claims} but is kept with set {facts.names[kept]}."
        return CompanionAnswer(NOT_MATCHED, kept, (Reason(None, "serials differ", text), *refusals))
    if refusals and (kept is not None or not facts.claims.readable):
        last = max(facts.compared, key=lambda c: (c.moment, c.chassis)).chassis
        return CompanionAnswer(NOT_MATCHED, kept if kept is not None else last, refusals)
    if facts.claims.readable:
        text = f"It belongs to {facts.claims}; no set of that number is here."
        return CompanionAnswer(MATE_MISSING, None, (Reason(None, "mate missing", text), *refusals))
    text = f"Its number {facts.claims}." if facts.claims.reading == "unreadable" else "It bears no number."
    return CompanionAnswer(UNKNOWN, kept, (Reason(None, "mate unknown", text),))


def _last_verdicts(compared: Sequence[Compared]) -> dict[int, Compared]:
    """The last comparison with each chassis; of two at one moment the denial counts."""
    last: dict[int, Compared] = {}
    for one in sorted(compared, key=lambda c: (c.moment, not c.matched)):
        last[one.chassis] = one
    return last
