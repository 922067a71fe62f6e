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

    ``mixed``: of a slot whose letter binds positions that no tube of one type can fill, which these are;
    ``apart``: keys of slots for which tubes are reserved that nothing calls matched with the others of their letter.
    """

    groups: tuple[Together, ...] = ()
    words: dict[Members, str] = field(default_factory=dict)
    mixed: dict[int, str] = field(default_factory=dict)
    apart: frozenset[tuple[int, int, int]] = frozenset()


@dataclass(frozen=True)
class Group:
    """Slots of one set that share a letter and ask for tubes, by number; ``has``: keys of the tubes that the others of
    the letter hold, or that are reserved for them.
    """

    lines: tuple[int, ...]
    has: frozenset[int] = frozenset()


def groups_of(slots: Sequence[Slot], beside: Sequence[Slot] = ()) -> list[Group]:
    """Slots that share a letter, small or capital, where one of them asks for a tube and is not the only one.

    ``beside``: slots that ask for none, since theirs stays or is reserved.
    """
    found: dict[tuple[int, int, str], list[int]] = defaultdict(list)
    has: dict[tuple[int, int, str], list[int]] = defaultdict(list)
    for number, slot in enumerate(slots):
        if slot.position.matched:
            found[_letter(slot)].append(number)
    for slot in beside:
        if slot.position.matched and (tube := _tube_of(slot)):
            has[_letter(slot)].append(tube)
    groups = [Group(tuple(lines), frozenset(has[at])) for at, lines in found.items()]
    return [group for group in groups if len(group.lines) + len(group.has) > 1]


def _letter(slot: Slot) -> tuple[int, int, str]:
    return slot.plan.pk, slot.chassis.pk, slot.position.matched.strip().casefold()


def _tube_of(slot: Slot) -> int:
    """The key of the tube that a slot which asks for none has: the one reserved for it, else the one in it."""
    if slot.wants:
        return slot.reserved.item_id if slot.reserved else 0
    return slot.fitting.tube_id if slot.fitting else 0


def matched_groups(
    slots: Sequence[Slot], beside: Sequence[Slot], held: Stock, near: NDArray[np.int8], points: Points, limits: Limits
) -> Matches:
    """What each such group could take: whole sets of types that are the very one in each of its positions, good and on
    the shelf, or in a set in service where the plan may take from one; where others of the letter hold tubes of a set
    on record, the rest of that set.

    Matched sets on record, and, dearer than all of these, sets that readings of one instrument propose within the
    tolerance of ``limits``; tubes of sets on record, and those that their last tests speak against, are in none of the
    latter. A fixed number of queries; none but the first where no position wants a match.
    """
    groups = groups_of(slots, beside)
    apart = _apart(beside, held, limits)
    if not groups:
        return Matches(apart=apart)
    on_record = _on_record(held)
    words = {members: f"They are kept together: {row}." for members, row in on_record.items()}
    exact = [(near[list(group.lines)] == EXACT).all(axis=0) for group in groups]
    own = held.points - held.parted * points.parted  # of whole sets nothing is parted
    proposed = _Proposed(held, np.logical_or.reduce(exact), points, limits[TOLERANCE_PCT], on_record)
    found = []
    for group, kinds in zip(groups, exact, strict=True):
        size, may_take = len(group.lines), slots[group.lines[0]].plan.may_take
        mates = _mates(group, held) if group.has else {}
        words |= {rest: f"It is kept together with what its letter has already: {row}." for rest, row in mates.items()}
        offered = [members for members in (*mates, *(on_record if size > 1 else ())) if len(members) == size]
        able = [
            members for members in offered
            if kinds[held.kinds[list(members)]].all() and (may_take or not held.sits.keys() & set(members))
        ]  # fmt: skip
        sets = tuple((members, float(own[list(members)].sum())) for members in able)
        if size > 1:
            sets += proposed.of(size, kinds, len(groups))
        if any(members in mates for members, _ in sets):  # no other set is matched with what is there already
            sets = tuple((members, cost) for members, cost in sets if members in mates)
        if sets:
            found.append(Together(group.lines, sets))
    return Matches(tuple(found), words | proposed.words, _mixed(slots, groups, exact), apart)


def _mates(group: Group, held: Stock) -> dict[Members, MatchedSet]:
    """What is left of a set on record of which the others of a letter hold or have reserved the rest."""
    number_of = {tube.pk: number for number, tube in enumerate(held.tubes)}
    found: dict[Members, MatchedSet] = {}
    for row in held.matched_sets:
        keys = [member.tube_id for member in row.members.all()]
        rest = tuple(number_of.get(key, -1) for key in keys if key not in group.has)
        if rest and -1 not in rest and group.has <= set(keys) and not held.untested[list(rest)].any():
            found[rest] = row
    return found


def _apart(beside: Sequence[Slot], held: Stock, limits: Limits) -> frozenset[tuple[int, int, int]]:
    """Slots with tubes reserved for them that neither a set on record nor readings of one instrument call matched with
    the others of their letter (no query where none is reserved for a letter).
    """
    letters: dict[tuple[int, int, str], list[Slot]] = defaultdict(list)
    for slot in beside:
        if slot.position.matched and _tube_of(slot):
            letters[_letter(slot)].append(slot)
    wanted = [several for several in letters.values() if len(several) > 1 and any(one.wants for one in several)]
    sets = [{member.tube_id for member in row.members.all()} for row in held.matched_sets]
    loose = [several for several in wanted if not any({_tube_of(one) for one in several} <= keys for keys in sets)]
    compared = comparable({_tube_of(one) for several in loose for one in several}) if loose else []
    told = set()
    for several in loose:
        keys = {_tube_of(one) for one in several}
        shown = any(
            keys <= group.tubes.keys() and len(keys) <= MOST_SIZE
            and sets_within([Candidate(str(key), group.tubes[key]) for key in keys], len(keys), limits[TOLERANCE_PCT])
            for group in compared
        )  # fmt: skip
        told |= {one.key for one in several if one.wants and not shown}
    return frozenset(told)


def _mixed(slots: Sequence[Slot], groups: Sequence[Group], exact: Sequence[NDArray[np.bool_]]) -> dict[int, str]:
    """Of each slot of a group that wants several types, none of which is the very one in all of its positions."""
    told: dict[int, str] = {}
    for group, kinds in zip(groups, exact, strict=True):
        if len({slots[line].wanted for line in group.lines}) > 1 and not kinds.any():
            named = ", ".join(f"{slots[line].position.mark} {slots[line].wanted}" for line in group.lines)
            told |= dict.fromkeys(group.lines, named)
    return told


def _on_record(held: Stock) -> dict[Members, MatchedSet]:
    """Matched sets, not split, whose tubes are all on the shelf, or in sets in service, and good."""
    number_of = {tube.pk: number for number, tube in enumerate(held.tubes)}
    sets: dict[Members, MatchedSet] = {}
    for row in held.matched_sets:
        members = tuple(number_of.get(member.tube_id, -1) for member in row.members.all())
        if not members or -1 in members:
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
