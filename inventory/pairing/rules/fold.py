"""The state of a pair of chassis and plug-in unit: a fold over dated events, never a stored flag.

Which events count and in which order is settled by their moments alone (see ``events``); an entry made late gives the
same answer as one made in time. One neutralization per pair is enough, whatever the frequency: the balance of the
bridge holds over the tank (common practice, no source; derived for the ideal bridge in any text on neutralization).
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from inventory.pairing.rules.events import END_OF_DAY, Moment, Null, Plate, Reason, TubeStay, Upset

GOOD, DUE, RESET_AND_VERIFY, PRESUMED, NOT_NEEDED = "good", "due", "reset and verify", "presumed", "not needed"
STATES = (DUE, RESET_AND_VERIFY, PRESUMED, GOOD, NOT_NEEDED)

IN_UNIT, IN_CHASSIS, NOWHERE = "unit", "chassis", "none"  # where the neutralizing capacitor sits


@dataclass(frozen=True, slots=True)
class PairFacts:
    """All that bears on one pair.

    ``nulls``: every neutralization of this unit or this chassis; ``upsets``: every disturbance of either; ``stays``:
    tubes in the neutralized positions of the chassis; ``names``: what to call other units and chassis in a sentence.
    More events than needed do no harm.
    """

    chassis: int
    unit: int
    capacitor: str
    chassis_plate: Plate
    unit_plate: Plate
    nulls: Sequence[Null] = ()
    upsets: Sequence[Upset] = ()
    stays: Sequence[TubeStay] = ()
    chassis_names: Mapping[int, str] | None = None
    unit_names: Mapping[int, str] | None = None


@dataclass(frozen=True, slots=True)
class PairAnswer:
    """The state of a pair, the dial setting last written down for it (or None), and every reason."""

    state: str
    setting: str | None
    reasons: tuple[Reason, ...]


def state_of_pair(facts: PairFacts, on: date) -> PairAnswer:
    """The state of the pair at the end of the day ``on``."""
    if facts.capacitor == NOWHERE:
        text = "The set model has no neutralized position."
        return PairAnswer(NOT_NEEDED, None, (Reason(None, "no neutralized position", text),))
    now: Moment = (on, END_OF_DAY)
    nulls = [null for null in facts.nulls if null.moment <= now]
    own = [null for null in nulls if null.unit == facts.unit and null.chassis == facts.chassis]
    if not own:
        return _without_record(facts, nulls, now)
    last = max(own, key=lambda null: (null.moment, null.setting, null.by_whom))
    setting = last.setting.strip() or None

    tubes = _tube_changes(facts.stays, last.moment, now)
    upsets = _upsets_since(facts, last.moment, now)
    partner = _set_for_another(facts, nulls, last)
    if not (tubes or upsets or partner):
        by = f" by {last.by_whom}" if last.by_whom else ""
        at = f", setting {setting}" if setting else ", no setting written down"
        standing = Reason(
            last.day, "neutralized", f"Neutralized on {last.day}{by}{at}; nothing recorded against it since."
        )
        return PairAnswer(GOOD, setting, (standing, *_same_day(facts, last)))
    if not (tubes or upsets) and setting:
        return PairAnswer(RESET_AND_VERIFY, setting, tuple(partner))
    return PairAnswer(DUE, setting, _in_order([*tubes, *upsets, *partner]))


def _without_record(facts: PairFacts, nulls: Iterable[Null], now: Moment) -> PairAnswer:
    """No neutralization of this pair on record: matched serials are presumed, anything else is due."""
    mine, theirs = facts.unit_plate, facts.chassis_plate
    if not mine.agrees_with(theirs):
        says = f"plate says {mine}" if mine.readable else f"the unit's plate {mine}"
        reason = Reason(None, "no record", f"No record; {says}, chassis {_is(theirs)}.")
        return PairAnswer(DUE, None, (reason,))
    beginning: Moment = (date.min, 0)
    against = [*_upsets_since(facts, beginning, now), *_set_for_another(facts, nulls, None)]
    against += _tube_changes(facts.stays, None, now)
    serials = Reason(None, "serials match", f"Unit and chassis both bear {mine}; never checked here.")
    if not against:
        return PairAnswer(PRESUMED, None, (serials,))
    return PairAnswer(DUE, None, (Reason(None, "no record", serials.text), *_in_order(against)))


def _is(plate: Plate) -> str:
    return f"is {plate}" if plate.readable else f"plate {plate}"


def _in_order(reasons: Iterable[Reason]) -> tuple[Reason, ...]:
    return tuple(sorted(reasons, key=lambda r: (r.date or date.min, r.cause, r.text)))


def _tube_at(stays: Iterable[TubeStay], moment: Moment) -> TubeStay | None:
    """The stay that covers a moment (the latest one, should records overlap)."""
    there = [stay for stay in stays if stay.start <= moment and (stay.end is None or stay.end > moment)]
    return max(there, key=lambda stay: (stay.start, stay.tube), default=None)


def _tube_changes(stays: Sequence[TubeStay], since: Moment | None, now: Moment) -> list[Reason]:
    """Neutralized positions whose tube is not the one that was there at ``since`` (None: the first one on record)."""
    by_position: dict[str, list[TubeStay]] = {}
    for stay in stays:
        if stay.start <= now and stay.start != stay.end:
            by_position.setdefault(stay.position, []).append(stay)
    reasons = []
    for position, here in sorted(by_position.items()):
        then = min(here, key=lambda s: (s.start, s.tube)) if since is None else _tube_at(here, since)
        today = _tube_at(here, now)
        if then and today and then.tube == today.tube:
            continue
        if then is None and today is None:
            continue
        reasons.append(_tube_reason(position, then, today))
    return reasons


def _tube_reason(position: str, then: TubeStay | None, today: TubeStay | None) -> Reason:
    if today is None:
        assert then is not None
        day = then.end[0] if then.end else None
        return Reason(day, "tube changed", f"{position}: tube {then.tube} taken out on {day}, position empty.")
    day = today.start[0]
    if then is None:
        text = (
            f"{position}: tube {today.tube} fitted on {day}; no tube was on record there when the unit was neutralized."
        )
    else:
        text = f"{position}: tube {then.tube} replaced by {today.tube} on {day}."
    return Reason(day, "tube changed", text)


def _upsets_since(facts: PairFacts, since: Moment, now: Moment) -> list[Reason]:
    reasons = []
    for upset in facts.upsets:
        if not (upset.concerns(facts.unit, facts.chassis) and since < upset.moment <= now):
            continue
        what = "unit" if upset.chassis is None else "chassis" if upset.unit is None else "pair"
        note = f": {upset.note.strip()}" if upset.note.strip() else ""
        reasons.append(
            Reason(upset.day, "disturbed", f"{what.capitalize()}, {upset.cause} on {upset.day}{note}".rstrip(".") + ".")
        )
    return reasons


def _set_for_another(facts: PairFacts, nulls: Iterable[Null], own: Null | None) -> list[Reason]:
    """The last time the same neutralizing capacitor was set for another partner since ``own``, if ever.

    Two neutralizations of one day without times could have come in either order: then neither is trusted as the last.
    """
    if facts.capacitor == IN_UNIT:
        others = [null for null in nulls if null.unit == facts.unit and null.chassis != facts.chassis]
    else:
        others = [null for null in nulls if null.chassis == facts.chassis and null.unit != facts.unit]
    others = [null for null in others if own is None or null.moment >= own.moment]
    if not others:
        return []
    last = max(others, key=lambda null: (null.moment, null.chassis, null.unit))
    if facts.capacitor == IN_UNIT:
        name = (facts.chassis_names or {}).get(last.chassis, "another")
        text = f"Unit set for chassis {name} on {last.day}"
        cause = "set for another chassis"
    else:
        name = (facts.unit_names or {}).get(last.unit, "another")
        text = f"Chassis set for unit {name} on {last.day}"
        cause = "set for another unit"
    if own is not None:
        tail = f"its setting for this {'chassis' if facts.capacitor == IN_UNIT else 'unit'}"
        setting = own.setting.strip()
        text += f"; {tail} was {setting} on {own.day}" if setting else f"; {tail} was not written down"
        if own.moment == last.moment:
            text += "; both on one day, order not recorded"
    return [Reason(last.day, cause, text + ".")]


def _same_day(facts: PairFacts, last: Null) -> list[Reason]:
    """Work of the day of the neutralization that carries no time: say that it was taken as done before."""
    days = {upset.day for upset in facts.upsets if upset.concerns(facts.unit, facts.chassis)}
    days |= {stay.start[0] for stay in facts.stays}
    if last.day not in days:
        return []
    text = f"Work of {last.day} is taken as done before the neutralizing of that day."
    return [Reason(last.day, "same day", text)]
