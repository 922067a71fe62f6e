"""The state of a pair of chassis and plug-in unit: a fold over dated events, never a stored flag.

Which events count and in which order is settled by their moments alone (see ``events``); an entry made late gives the
same answer as one made in time. One neutralization per pair is enough, whatever the frequency: the balance of the
bridge holds over the tank (common practice, no source; derived for the ideal bridge in any text on neutralization).
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from inventory.house.records.moments import END_OF_DAY, START_OF_DAY, Moment
from inventory.pairing.rules.events import (
    DIAL_SET_BACK,
    NOT_NEUTRALIZED,
    Because,
    Null,
    Plate,
    Reason,
    TubeStay,
    Upset,
    Use,
)
from inventory.pairing.rules.tube_stays import TAKEN_AS_LATER, changed_in_the_minute, out_and_back, tube_changes

GOOD, DUE, RESET_AND_VERIFY, PRESUMED, NOT_NEEDED = "good", "due", "reset and verify", "presumed", "not needed"
STATES = (DUE, RESET_AND_VERIFY, PRESUMED, GOOD, NOT_NEEDED)

UNWRITTEN, UNORDERED = "not written down", ", several records without an order"

IN_UNIT, IN_CHASSIS, NOWHERE = "unit", "chassis", "none"  # where the neutralizing capacitor sits
SET_FOR_ANOTHER = {IN_UNIT: Because.OTHER_CHASSIS, IN_CHASSIS: Because.OTHER_UNIT}


@dataclass(frozen=True, slots=True)
class PairFacts:
    """All that bears on one pair.

    ``nulls``: every neutralization of this unit or this chassis; ``upsets``: every disturbance of either; ``stays``:
    tubes in the neutralized positions of the chassis; ``names``: what to call other units and chassis in a sentence;
    ``uses``: every time this unit or this chassis was on the air; ``capacitors``: by chassis where its neutralizing
    capacitor sits, of one that is not named as in this pair.
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
    uses: Sequence[Use] = ()
    capacitors: Mapping[int, str] | None = None


@dataclass(frozen=True, slots=True)
class PairAnswer:
    """The state of a pair, the dial setting of its last neutralization (None: not written down), and every reason.

    Where the last neutralizations of the pair are in no order (one day without times, or one minute), their settings
    are all shown, joined by "or"; one that was not written down among them is named so.
    """

    state: str
    setting: str | None
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class DialSetting:
    """What the dial was set to at the last of a pair's neutralizations.

    ``told``: what was written down, as it was; several where the records have no order. ``missing``: one of them, or
    the only one, was not written down, and may be the one that counts.
    """

    told: tuple[str, ...] = ()
    missing: bool = True

    @property
    def known(self) -> bool:
        """Whether whoever sets the dial back knows to what, if need be by trying each."""
        return not self.missing

    @property
    def unordered(self) -> bool:
        return bool(self.told) and len(self.told) + self.missing > 1

    @property
    def only(self) -> str:
        """The setting that can be set back at once; empty where there is none, or more than one."""
        return self.told[0] if self.told and not self.unordered else ""

    @property
    def words(self) -> str | None:
        return " or ".join([*self.told, *([UNWRITTEN] if self.missing else [])]) if self.told else None


def state_of_pair(facts: PairFacts, on: date) -> PairAnswer:
    """The state of the pair at the end of the day ``on``. Raises ValueError for an unknown home of the capacitor."""
    if facts.capacitor == NOWHERE:
        text = "The set model has no neutralized position."
        return PairAnswer(NOT_NEEDED, None, (Reason(None, Because.NO_POSITION, text),))
    if facts.capacitor not in (IN_UNIT, IN_CHASSIS):
        raise ValueError(f"the neutralizing capacitor sits in {facts.capacitor!r}; expected unit, chassis or none")
    now = Moment(on, END_OF_DAY)
    nulls = [null for null in facts.nulls if null.moment <= now]
    own = [null for null in nulls if null.unit == facts.unit and null.chassis == facts.chassis]
    if not own:
        return _without_record(facts, nulls, now)
    last = _last(own)
    dial = last_setting(own)

    tubes = tube_changes(facts.stays, last.moment, now)
    upsets = _upsets_since(facts, last, now)
    partners = _set_for_others(facts, nulls, last, dial, now)
    told = (*out_and_back(facts.stays, last.moment, now), *_same_day(facts, last, now))
    if not (tubes or upsets or partners):
        by = f" by {last.by_whom}" if last.by_whom else ""
        at = f", setting {dial.words}" if dial.told else ", no setting written down"
        at += f"{UNORDERED}: which came last is not known" if dial.unordered else ""
        text = f"Neutralized on {last.day}{by}{at}; nothing recorded against it since."
        return PairAnswer(GOOD, dial.words, (Reason(last.day, Because.NEUTRALIZED, text), *_loose(last), *told))
    if not (tubes or upsets) and dial.known:
        return PairAnswer(RESET_AND_VERIFY, dial.words, (*partners, *told))
    return PairAnswer(DUE, dial.words, _in_order([*tubes, *upsets, *partners]))


def state_after_another_tube(facts: PairFacts, position: str, on: date) -> str:
    """What the state would be if after ``on`` a tube never seen before came into a neutralized position."""
    after = Moment(on + timedelta(days=1), START_OF_DAY)
    stays = [
        replace(stay, end=after) if stay.position == position and stay.end is None else stay for stay in facts.stays
    ]
    return state_of_pair(replace(facts, stays=[*stays, TubeStay(position, "", after)]), after.day).state


def as_of(facts: PairFacts, moment: Moment) -> PairFacts:
    """What bears on a pair at a moment: without what came later on its day, as far as times say so.

    Of what has no time on that day all is kept, and counts as it does at the end of the day.
    """

    def come(one: Moment) -> bool:
        return one <= moment or (one.day == moment.day and not one.timed)

    return replace(
        facts,
        nulls=[null for null in facts.nulls if come(null.moment)],
        upsets=[upset for upset in facts.upsets if come(upset.moment)],
        uses=[use for use in facts.uses if come(use.moment)],
        stays=[
            stay if stay.end is None or come(stay.end) else replace(stay, end=None)
            for stay in facts.stays
            if come(stay.start)
        ],
    )


def _loose(last: Null) -> list[Reason]:
    """A lock that was left open: the setting may walk off, so the neutralization stands with a task."""
    if last.locked is not False:
        return []
    return [Reason(last.day, Because.LOOSE, "The lock was not tightened then: tighten it and verify the null.")]


def _last(own: Iterable[Null]) -> Null:
    return max(own, key=lambda null: (null.moment, null.setting, null.by_whom))


def last_setting(own: Sequence[Null]) -> DialSetting:
    """The dial at the last of a pair's neutralizations (at least one)."""
    moment = _last(own).moment
    said = {null.setting.strip() for null in own if null.moment == moment}
    return DialSetting(tuple(sorted(said - {""})), "" in said)


def _without_record(facts: PairFacts, nulls: Iterable[Null], now: Moment) -> PairAnswer:
    """No neutralization of this pair on record: matched serials are presumed, anything else is due."""
    mine, theirs = facts.unit_plate, facts.chassis_plate
    if not mine.agrees_with(theirs):
        says = f"plate says {mine}" if mine.readable else f"the unit's plate {mine}"
        reason = Reason(None, Because.NO_RECORD, f"No record; {says}, chassis {_is(theirs)}.")
        return PairAnswer(DUE, None, (reason,))
    against = [*_upsets_since(facts, None, now), *_set_for_others(facts, nulls, None, DialSetting(), now)]
    against += tube_changes(facts.stays, None, now)
    serials = Reason(None, Because.SERIALS_MATCH, f"Unit and chassis both bear {mine}; never checked here.")
    if not against:
        return PairAnswer(PRESUMED, None, (serials, *out_and_back(facts.stays, None, now)))
    return PairAnswer(DUE, None, (Reason(None, Because.NO_RECORD, serials.text), *_in_order(against)))


def _is(plate: Plate) -> str:
    return f"is {plate}" if plate.readable else f"plate {plate}"


def _in_order(reasons: Iterable[Reason]) -> tuple[Reason, ...]:
    return tuple(sorted(reasons, key=lambda r: (r.date or date.min, r.cause, r.text)))


def _upsets_since(facts: PairFacts, null: Null | None, now: Moment) -> list[Reason]:
    reasons = []
    for upset in facts.upsets:
        if not upset.concerns(facts.unit, facts.chassis) or upset.moment > now:
            continue
        if null is not None and not upset.may_be_since(null):
            continue
        what = _what_was_upset(upset, facts)
        note = f": {upset.note.strip()}" if upset.note.strip() else ""
        unsure = null is not None and upset.day == null.day and not (upset.timed and null.timed)
        order = "; the order on that day is not recorded, give the times" if unsure else ""
        if null is not None and upset.same_minute(null):
            order = f"; {TAKEN_AS_LATER}"
        text = f"{what}, {upset.cause} on {upset.day}{note}".rstrip(".") + f"{order}."
        reasons.append(Reason(upset.day, Because.DISTURBED, text))
    return reasons


def _what_was_upset(upset: Upset, facts: PairFacts) -> str:
    unit, chassis = upset.unit == facts.unit, upset.chassis == facts.chassis
    if unit and chassis:
        return "Unit and chassis" if upset.both else "Pair"
    return "Unit" if unit else "Chassis"


def _set_for_others(
    facts: PairFacts, nulls: Iterable[Null], own: Null | None, dial: DialSetting, now: Moment
) -> list[Reason]:
    """The last time the same neutralizing capacitor was set for each other partner since ``own``.

    Known from a neutralization, or from an on-air record: nobody goes on the air with the dial set for another. A unit
    that also goes into sets with the capacitor in the chassis has none of its own set there.
    """
    in_unit = facts.capacitor == IN_UNIT
    homes = facts.capacitors or {}
    last_of: dict[int, Null | Use] = {}
    sets: list[Null | Use] = [*nulls, *(use for use in facts.uses if use.moment <= now)]
    for one in sets:
        shares = one.unit == facts.unit if in_unit else one.chassis == facts.chassis
        shares = shares and homes.get(one.chassis, facts.capacitor) == facts.capacitor
        partner = one.chassis if in_unit else one.unit
        if not shares or partner == (facts.chassis if in_unit else facts.unit):
            continue
        if own is not None and not _may_be_since(one, own):
            continue
        if partner not in last_of or last_of[partner].moment < one.moment:
            last_of[partner] = one
    names = (facts.chassis_names if in_unit else facts.unit_names) or {}
    reasons = []
    for partner, one in sorted(last_of.items(), key=lambda pair: (pair[1].moment, pair[0])):
        name = names.get(partner, "another")
        text = _set_for(one, name, in_unit)
        if own is not None:
            text += _own_setting(own, dial, in_unit) + _unordered(one, own)
        text += _set_back_since(facts, one, now)
        reasons.append(Reason(one.day, SET_FOR_ANOTHER[facts.capacitor], text + "."))
    return reasons


def _set_for(one: Null | Use, name: str, in_unit: bool) -> str:
    """For whom the capacitor was set, as far as it is known: on the air without neutralizing it may not have been."""
    holder, partner = ("Unit", f"chassis {name}") if in_unit else ("Chassis", f"unit {name}")
    if not isinstance(one, Use):
        return f"{holder} set for {partner} on {one.day}"
    if one.readied == NOT_NEUTRALIZED:
        return f"{holder} on the air with {partner}, not neutralized, on {one.day}, by its on-air record"
    return f"{holder} set for {partner} on {one.day}, by its on-air record"


def _set_back_since(facts: PairFacts, other: Null | Use, now: Moment) -> str:
    """What is said where the dial was set back for this pair after another had it."""
    back = [
        use.moment
        for use in facts.uses
        if (use.unit, use.chassis, use.readied) == (facts.unit, facts.chassis, DIAL_SET_BACK)
        and other.moment < use.moment <= now
    ]
    return f"; the dial was set back on {max(back).day}, the null not verified since" if back else ""


def _may_be_since(other: Null | Use, own: Null) -> bool:
    """Whether ``other`` came after ``own``, or may have: of one day, and not both with a time."""
    if other.day != own.day or (other.timed and own.timed):
        return other.moment >= own.moment
    return True


def _own_setting(own: Null, dial: DialSetting, in_unit: bool) -> str:
    tail = f"; its setting for this {'chassis' if in_unit else 'unit'} was "
    tail += f"{dial.words} on {own.day}" if dial.told else UNWRITTEN
    return tail + (UNORDERED if dial.unordered else "")


def _unordered(other: Null | Use, own: Null) -> str:
    if other.day == own.day and not own.timed:
        return "; both on one day, order not recorded"
    return "; both in one minute, order not recorded" if own.moment == other.moment else ""


def _same_day(facts: PairFacts, last: Null, now: Moment) -> list[Reason]:
    """Work of the day of the neutralization, where times are missing: say that it was taken as done before."""
    work = [upset for upset in facts.upsets if upset.concerns(facts.unit, facts.chassis) and not upset.accident]
    moments = [upset.moment for upset in work]
    for stay in facts.stays:
        moments += [stay.start, *([stay.end] if stay.end else [])]
    unsure = [m for m in moments if m.day == last.day and m <= now and (m.second == START_OF_DAY or not last.timed)]
    if changed_in_the_minute(facts.stays, last.moment):
        return [Reason(last.day, Because.SAME_DAY, f"A tube was changed then, {TAKEN_AS_LATER}.")]
    if not unsure:
        return []
    text = f"Work of {last.day} is taken as done before the neutralizing of that day; if it was not, give the times."
    return [Reason(last.day, Because.SAME_DAY, text)]
