"""The states of all pairs of a station at once: the same fold as ``fold.state_of_pair``, over arrays.

``fold`` gives one pair with its reasons; this gives every pair's state without them, for the matrix of all chassis by
all units. Both must agree on every history (property test).
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date

import numpy as np
from numpy.typing import NDArray

from inventory.house.records.moments import END_OF_DAY, Moment
from inventory.pairing.rules.events import Plate
from inventory.pairing.rules.fold import DUE, GOOD, IN_UNIT, NOT_NEEDED, NOWHERE, PRESUMED, RESET_AND_VERIFY

Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

STATION_STATES = ("", DUE, RESET_AND_VERIFY, PRESUMED, GOOD, NOT_NEEDED)  # index 0: the unit does not go there
_NONE, _DUE, _RESET, _PRESUMED, _GOOD, _NOT_NEEDED = range(6)
_SPAN = END_OF_DAY + 2  # moments of one day, START_OF_DAY to END_OF_DAY
_NEVER = -1
_STILL = np.iinfo(np.int64).max


def stamp_of(moment: Moment) -> int:
    """A moment as one integer that sorts the same way."""
    return moment.day.toordinal() * _SPAN + moment.second + 1


def _day_of(stamps: Ints) -> Ints:
    return stamps // _SPAN


def _untimed(stamps: Ints) -> Bools:
    """Neutralizations and accidents without a time of day."""
    return np.asarray(stamps % _SPAN == END_OF_DAY + 1)


def _nothing() -> Ints:
    return np.zeros(0, dtype=np.int64)


@dataclass(frozen=True)
class StationEvents:
    """All events as columns: indices into the lists of chassis and units (-1: none), moments by ``stamp_of``.

    ``null_set``: whether a dial setting was written down. ``stay_position`` and ``stay_tube`` are any integers that
    tell positions and tubes apart; ``stay_end`` is -1 for a tube that is still there. ``use``: units on the air.
    """

    null_chassis: Ints
    null_unit: Ints
    null_at: Ints
    null_set: Bools
    upset_chassis: Ints
    upset_unit: Ints
    upset_at: Ints
    upset_accident: Bools
    stay_chassis: Ints
    stay_position: Ints
    stay_tube: Ints
    stay_start: Ints
    stay_end: Ints
    use_chassis: Ints = field(default_factory=_nothing)
    use_unit: Ints = field(default_factory=_nothing)
    use_at: Ints = field(default_factory=_nothing)


def station_states(
    capacitors: Sequence[str],
    chassis_plates: Sequence[Plate],
    unit_plates: Sequence[Plate],
    fits: Bools,
    events: StationEvents,
    on: date,
) -> NDArray[np.int8]:
    """State of every pair at the end of ``on``: chassis by units, codes that index ``STATION_STATES``.

    ``capacitors``: where each chassis' neutralizing capacitor sits; ``fits``: which unit goes into which chassis.
    """
    shape = (len(capacitors), len(unit_plates))
    now = stamp_of(Moment(on, END_OF_DAY))
    last, written = _last_nulls(events, shape, now)
    record = last > _NEVER
    in_unit = np.array([place == IN_UNIT for place in capacitors], dtype=bool)[:, None]
    set_at = _set_at(events, last, now)
    in_the_unit = np.where(in_unit, set_at, _NEVER)  # elsewhere it is the set's own capacitor that was set
    partner = np.where(in_unit, _best_other(in_the_unit, 0), _best_other(set_at, 1))
    partner_since = (partner > _NEVER) & (
        (partner >= last) | (record & _untimed(last) & (_day_of(partner) == _day_of(last)))
    )
    upset = _upsets(events, np.ones(events.upset_at.shape, dtype=bool), shape, now)
    accident = _upsets(events, events.upset_accident, shape, now)
    upset_since = (upset > _NEVER) & (upset >= last)
    unsure = (_day_of(accident) == _day_of(last)) & record & _untimed(last)
    upset_since |= (accident > _NEVER) & unsure
    tubes = _tubes_changed(events, last, now)

    spoilt = upset_since | tubes
    with_record = np.where(~spoilt & ~partner_since, _GOOD, np.where(~spoilt & written & partner_since, _RESET, _DUE))
    without = np.where(_plates_agree(chassis_plates, unit_plates) & ~spoilt & ~partner_since, _PRESUMED, _DUE)
    states = np.where(record, with_record, without)
    nowhere = np.array([place == NOWHERE for place in capacitors], dtype=bool)[:, None]
    states = np.where(nowhere, _NOT_NEEDED, states)
    return np.where(fits, states, _NONE).astype(np.int8)


def _last_nulls(events: StationEvents, shape: tuple[int, int], now: int) -> tuple[Ints, Bools]:
    """The last neutralization of each pair, and whether every one of that moment has its setting written down."""
    last = np.full(shape, _NEVER, dtype=np.int64)
    seen = events.null_at <= now
    at, where = events.null_at[seen], (events.null_chassis[seen], events.null_unit[seen])
    np.maximum.at(last, where, at)
    written = last > _NEVER
    lacking = (at == last[where]) & ~events.null_set[seen]
    written[where[0][lacking], where[1][lacking]] = False
    return last, written


def _set_at(events: StationEvents, last: Ints, now: int) -> Ints:
    """When each pair's capacitor was last set for it: neutralized, or on the air."""
    set_at = last.copy()
    seen = events.use_at <= now
    np.maximum.at(set_at, (events.use_chassis[seen], events.use_unit[seen]), events.use_at[seen])
    return set_at


def _best_other(last: Ints, axis: int) -> Ints:
    """For each pair, the latest such moment among the others along an axis (the same unit or the same chassis)."""
    if last.shape[axis] < 2:
        return np.full_like(last, _NEVER)
    best_at = np.argmax(last, axis=axis)
    best = np.max(last, axis=axis)
    rest = last.copy()
    lanes = np.arange(last.shape[1 - axis])
    rest[(best_at, lanes) if axis == 0 else (lanes, best_at)] = _NEVER
    second = np.max(rest, axis=axis)
    index = np.arange(last.shape[axis])
    if axis == 0:
        return np.asarray(np.where(index[:, None] == best_at[None, :], second[None, :], best[None, :]))
    return np.asarray(np.where(index[None, :] == best_at[:, None], second[:, None], best[:, None]))


def _upsets(events: StationEvents, wanted: Bools, shape: tuple[int, int], now: int) -> Ints:
    """The latest disturbance, of those wanted, that concerns each pair."""
    found = np.full(shape, _NEVER, dtype=np.int64)
    seen = (events.upset_at <= now) & wanted
    at, chassis, unit = events.upset_at[seen], events.upset_chassis[seen], events.upset_unit[seen]
    pair = (chassis >= 0) & (unit >= 0)
    np.maximum.at(found, (chassis[pair], unit[pair]), at[pair])
    of_chassis = np.full(shape[0], _NEVER, dtype=np.int64)
    np.maximum.at(of_chassis, chassis[(unit < 0)], at[unit < 0])
    of_unit = np.full(shape[1], _NEVER, dtype=np.int64)
    np.maximum.at(of_unit, unit[chassis < 0], at[chassis < 0])
    return np.maximum(found, np.maximum(of_chassis[:, None], of_unit[None, :]))


def _tubes_changed(events: StationEvents, last: Ints, now: int) -> Bools:
    """Whether a neutralized position holds another tube than at the pair's last neutralization (or first of all)."""
    changed = np.zeros(last.shape, dtype=bool)
    by_position: dict[tuple[int, int], list[tuple[int, int, int]]] = defaultdict(list)
    columns = (events.stay_chassis, events.stay_position, events.stay_start, events.stay_end, events.stay_tube)
    for chassis, position, start, end, tube in zip(*(column.tolist() for column in columns), strict=True):
        if start <= now:
            over = _STILL if end < 0 else (end // _SPAN) * _SPAN + END_OF_DAY + 1 if end < start else end
            by_position[chassis, position].append((start, over, tube))
    for (chassis, _), stays in by_position.items():
        changed[chassis] |= _position_changed(stays, last[chassis], now)
    return changed


def _position_changed(stays: list[tuple[int, int, int]], last: Ints, now: int) -> Bools:
    today = {tube for start, over, tube in stays if start <= now < over}
    if len(today) > 1:  # the times do not tell which tube it is: none is trusted
        return np.ones(last.shape, dtype=bool)
    first = min(stays)[2]
    same = np.zeros(last.shape, dtype=bool)
    other = np.zeros(last.shape, dtype=bool)
    then = np.where(_untimed(last), last, last - 1)  # before all else of its minute, as ``just_before`` says
    for start, over, tube in stays:
        there = (start <= then) & (then < over)
        if tube in today:
            same |= there
        else:
            other |= there
    at_null = other | (same != bool(today))
    return np.where(last > _NEVER, at_null, {first} != today)


def _plates_agree(chassis: Iterable[Plate], units: Iterable[Plate]) -> Bools:
    """Which serials are equal digit for digit, where both could be read."""
    codes: dict[str, int] = {}

    def code(plate: Plate) -> int:
        return codes.setdefault(plate.serial.strip(), len(codes)) if plate.readable else -1

    left = np.array([code(plate) for plate in chassis], dtype=np.int64)[:, None]
    right = np.array([code(plate) for plate in units], dtype=np.int64)[None, :]
    return np.asarray((left == right) & (left >= 0))
