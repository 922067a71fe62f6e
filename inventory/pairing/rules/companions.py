"""Companions matched by serial: a calibration book and its meter, a coil set and its receiver."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from inventory.house.records.moments import END_OF_DAY, Moment
from inventory.pairing.rules.events import Plate, Reason

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
    now = Moment(on, END_OF_DAY)
    verdicts = _last_verdicts([c for c in facts.compared if c.moment <= now and c.chassis in facts.sets])
    yes = [c for c in verdicts if c.matched]
    refusals = tuple(_told(c, facts) for c in verdicts if not c.matched)
    if yes:
        return _by_comparison(facts, yes)
    denied = [c.chassis for c in verdicts]
    bearers = [key for key, plate in facts.sets.items() if plate.agrees_with(facts.claims)]
    open_to = [key for key in bearers if key not in denied]
    if len(open_to) == 1:
        text = f"Its number {facts.claims} is that of set {facts.names[open_to[0]]}."
        reasons = (Reason(None, "serials match", text), *_kept_elsewhere(facts, open_to[0]), *refusals)
        return CompanionAnswer(MATCHED, open_to[0], reasons)
    if open_to:
        text = f"More than one set here bears {facts.claims}; compare it with each."
        return CompanionAnswer(UNKNOWN, None, (Reason(None, "two of one serial", text), *refusals))
    return _without_mate(facts, bearers, denied, refusals)


def _told(verdict: Compared, facts: CompanionFacts) -> Reason:
    by = f" by {verdict.by_whom}" if verdict.by_whom else ""
    day, name = verdict.moment.day, facts.names[verdict.chassis]
    if verdict.matched:
        return Reason(day, "compared", f"Compared with set {name} and found to belong on {day}{by}.")
    return Reason(day, "compared", f"Compared with set {name} on {day}{by}: does not belong.")


def _kept_elsewhere(facts: CompanionFacts, mate: int) -> tuple[Reason, ...]:
    kept = facts.kept_with
    if kept is None or kept == mate or kept not in facts.sets:
        return ()
    return (Reason(None, "kept elsewhere", f"It is kept with set {facts.names[kept]}."),)


def _by_comparison(facts: CompanionFacts, yes: list[Compared]) -> CompanionAnswer:
    """Found to belong by comparison: the last time counts; two sets at one moment leave it open."""
    last = max(c.moment for c in yes)
    latest = [c for c in yes if c.moment == last]
    reasons = tuple(_told(c, facts) for c in latest)
    if len(latest) > 1:
        return CompanionAnswer(UNKNOWN, None, reasons)
    mate = latest[0].chassis
    return CompanionAnswer(MATCHED, mate, (*reasons, *_kept_elsewhere(facts, mate)))


def _without_mate(
    facts: CompanionFacts, bearers: list[int], denied: list[int], refusals: tuple[Reason, ...]
) -> CompanionAnswer:
    """No set is known to be its own: say what stands against the one it is kept with, or what is missing."""
    kept = facts.kept_with if facts.kept_with in facts.sets else None
    if kept is not None and kept in denied:
        return CompanionAnswer(NOT_MATCHED, kept, refusals)
    if not facts.claims.readable and kept is None and denied:
        return CompanionAnswer(NOT_MATCHED, denied[-1], refusals)
    if not facts.claims.readable:
        text = "Its number cannot be read." if facts.claims.reading == "unreadable" else "It bears no number."
        return CompanionAnswer(UNKNOWN, kept, (Reason(None, "mate unknown", text), *refusals))
    if kept is not None and facts.sets[kept].readable:
        text = f"It belongs to {facts.claims} but is kept with set {facts.names[kept]}."
        return CompanionAnswer(NOT_MATCHED, kept, (Reason(None, "serials differ", text), *refusals))
    if bearers:
        text = f"Its number {facts.claims} is that of set {facts.names[bearers[0]]}, but the comparison says no."
        return CompanionAnswer(NOT_MATCHED, bearers[0], (Reason(None, "compared", text), *refusals))
    unread = [key for key, plate in facts.sets.items() if not plate.readable and key not in denied]
    if unread:
        count = "a set" if len(unread) == 1 else f"{len(unread)} sets"
        text = f"It belongs to {facts.claims}; {count} here without a readable plate may be the one. Compare."
        return CompanionAnswer(UNKNOWN, kept, (Reason(None, "mate unknown", text), *refusals))
    text = f"It belongs to {facts.claims}; no set of that number is here."
    return CompanionAnswer(MATE_MISSING, None, (Reason(None, "mate missing", text), *refusals))


def _last_verdicts(compared: Sequence[Compared]) -> list[Compared]:
    """The last comparison with each chassis, in order; of two at one moment the denial counts."""
    last: dict[int, Compared] = {}
    for one in sorted(compared, key=lambda c: (c.moment, not c.matched, c.by_whom)):
        last[one.chassis] = one
    return sorted(last.values(), key=lambda c: (c.moment, c.chassis))
