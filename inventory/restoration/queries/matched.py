"""Positions that want tubes matched to one another: sets on record that could fill them, and sets by readings."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from inventory.house.concerns import doubts_of_many
from inventory.restoration.queries.slots import Slot
from inventory.restoration.queries.stock import Stock
from inventory.restoration.rules.allocation import Points, Together
from inventory.running.models import MatchedSet
from inventory.running.queries import Compared, comparable
from inventory.running.rules.matching import MOST_SIZE, Candidate, match, sets_within
from inventory.running.rules.words import TOLERANCE_PCT
from tubes.rules.limits import Limits

EXACT = 1
Members = tuple[int, ...]  # tubes of the stock by number
MOST_OFFERED = 60  # sets by readings for each group of positions, the cheapest; and always the most that share none


@dataclass(frozen=True)
class Matches:
    """What groups of positions could take, and of each set why its tubes are called matched.

    ``mixed``: of a slot whose letter binds positions that no tube of one type can fill, which these are.
    """

    groups: tuple[Together, ...] = ()
    words: dict[Members, str] = field(default_factory=dict)
    mixed: dict[int, str] = field(default_factory=dict)


def groups_of(slots: Sequence[Slot]) -> list[tuple[int, ...]]:
    """Slots of one set that share a letter, small or capital, where more than one of them asks for a tube."""
    found: dict[tuple[int, int, str], list[int]] = defaultdict(list)
    for number, slot in enumerate(slots):
        if slot.position.matched:
            found[slot.plan.pk, slot.chassis.pk, slot.position.matched.strip().casefold()].append(number)
    return [tuple(group) for group in found.values() if len(group) > 1]


def matched_groups(
    slots: Sequence[Slot], held: Stock, near: NDArray[np.int8], points: Points, limits: Limits
) -> Matches:
    """What each such group could take: whole sets of types that are the very one in each of its positions, good and on
    the shelf.

    Matched sets on record, and, dearer than all of these, sets that readings of one instrument propose within the
    tolerance of ``limits``; tubes of sets on record, and those that their last tests speak against, are in none of the
    latter. A fixed number of queries; none but the first where no position wants a match.
    """
    groups = groups_of(slots)
    if not groups:
        return Matches()
    on_record = _on_record(held)
    words = {members: f"They are kept together: {row}." for members, row in on_record.items()}
    exact = [(near[list(group)] == EXACT).all(axis=0) for group in groups]
    priced = {members: float((held.points - held.parted * points.parted)[list(members)].sum()) for members in on_record}
    proposed = _Proposed(held, np.logical_or.reduce(exact), points, limits[TOLERANCE_PCT], on_record)
    found = []
    for group, kinds in zip(groups, exact, strict=True):
        able = tuple(
            (members, cost)
            for members, cost in priced.items()
            if len(members) == len(group) and kinds[held.kinds[list(members)]].all()
        )
        if sets := able + proposed.of(len(group), kinds, len(groups)):
            found.append(Together(group, sets))
    return Matches(tuple(found), words | proposed.words, _mixed(slots, groups, exact))


def _mixed(
    slots: Sequence[Slot], groups: Sequence[tuple[int, ...]], exact: Sequence[NDArray[np.bool_]]
) -> dict[int, str]:
    """Of each slot of a group that wants several types, none of which is the very one in all of its positions."""
    told: dict[int, str] = {}
    for group, kinds in zip(groups, exact, strict=True):
        if len({slots[line].wanted for line in group}) > 1 and not kinds.any():
            named = ", ".join(f"{slots[line].position.mark} {slots[line].wanted}" for line in group)
            told |= dict.fromkeys(group, named)
    return told


def _on_record(held: Stock) -> dict[Members, MatchedSet]:
    """Matched sets, not split, whose tubes are all on the shelf and good."""
    number_of = {tube.pk: number for number, tube in enumerate(held.tubes)}
    sets: dict[Members, MatchedSet] = {}
    for row in held.matched_sets:
        members = tuple(number_of.get(member.tube_id, -1) for member in row.members.all())
        if not members or -1 in members or held.sits.keys() & set(members):
            continue
        if not held.untested[list(members)].any():
            sets[members] = row
    return sets


class _Proposed:
    """Sets by readings, worked out once for each type and size."""

    def __init__(
        self, held: Stock, kinds: NDArray[np.bool_], points: Points, tolerance: float, on_record: Iterable[Members]
    ) -> None:
        self.held, self.points, self.tolerance = held, points, tolerance
        self.on_record = {(int(held.kinds[one]), len(members)) for members in on_record for one in members}
        free = ~held.untested & ~held.parted & kinds[held.kinds]
        numbers = [number for number in np.flatnonzero(free).tolist() if number not in held.sits]
        doubted = doubts_of_many(held.tubes[number].pk for number in numbers)
        self.numbers = {held.tubes[one].pk: one for one in numbers if held.tubes[one].pk not in doubted}
        self.compared = comparable(self.numbers)
        self.words: dict[Members, str] = {}
        self.known: dict[tuple[int, int, int], tuple[tuple[Members, float], ...]] = {}

    def of(self, size: int, kinds: NDArray[np.bool_], groups: int) -> tuple[tuple[Members, float], ...]:
        """Sets of so many tubes of one of the types that may be, with their points."""
        sets: dict[Members, float] = {}
        for kind in np.flatnonzero(kinds).tolist():
            key = kind, size, groups
            if key not in self.known:
                self.known[key] = tuple(self._sets(kind, size, groups).items())
            sets |= dict(self.known[key])
        return tuple(sets.items())

    def _sets(self, kind: int, size: int, groups: int) -> dict[Members, float]:
        found: dict[Members, float] = {}
        if size > MOST_SIZE:
            return found
        for group in self.compared:
            tubes = {
                self.held.tubes[number].tag: (number, key)
                for key in group.tubes
                if self.held.kinds[number := self.numbers[key]] == kind
            }
            able = [Candidate(tag, group.tubes[key]) for tag, (_, key) in tubes.items()]
            priced: dict[Members, float] = {}
            for one in sets_within(able, size, self.tolerance):
                members = tuple(tubes[tag][0] for tag in one.tags)
                apart = self.points.apart * one.mismatch_pct + self.points.proposed * size
                priced[members] = round(float(self.held.points[list(members)].sum()) + apart, 6)
                self.words.setdefault(members, self._words(one.mismatch_pct, group, [tubes[tag] for tag in one.tags]))
            most = [tuple(tubes[tag][0] for tag in one.tags) for one in match(able, size, self.tolerance).sets]
            cheap = sorted(priced, key=lambda members: (priced[members], members))[: MOST_OFFERED * groups]
            for members in (*cheap, *(one for one in most if one in priced)):
                found[members] = min(priced[members], found.get(members, np.inf))
        return found

    def _words(self, apart: float, group: Compared, tubes: Sequence[tuple[int, int]]) -> str:
        read = ", ".join(
            f"{self.held.tubes[number].tag} {' and '.join(f'{figure:g}' for figure in group.tubes[key])} "
            f"({group.days[key]})"
            for number, key in tubes
        )
        other = (int(self.held.kinds[tubes[0][0]]), len(tubes)) in self.on_record
        none = "No matched set on record is left" if other else "No matched set is on record"
        return f"{none}; by readings on {group.words} these are {apart:.1f} % apart: {read}."
