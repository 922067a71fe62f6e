"""One line for each hazard of a thing: what the keeper found, what rules say, what was looked for; nothing is dropped.

That a check comes before any handling, and that "none found" is recorded too: Science Museum Group, "May contain
hazards" (blog.sciencemuseumgroup.org.uk/may-contain-hazards).
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from inventory.holdings.rules.hazard_grounds import Ground
from inventory.holdings.rules.hazard_kinds import BY_WORDS, OTHER, HazardKind
from inventory.holdings.rules.hazard_words import kinds_named

#: How a hazard stands: found; likely, nobody looked; by a rule, nobody looked; a rule that the keeper has disproved;
#: looked for and not found; and of a thing without any: looked at, nobody looked.
CONFIRMED, PROPOSED, BY_RULE, DISPROVED = "confirmed", "proposed", "by rule", "disproved"
NOT_FOUND, UNSEEN = "none found", "not looked at"
NONE_FOUND = "none found"  # the hazard of a line that tells of a check for every kind
STANDINGS = (CONFIRMED, PROPOSED, BY_RULE, DISPROVED, NOT_FOUND, UNSEEN)
OPEN = frozenset({PROPOSED, BY_RULE})
BEARS = frozenset({CONFIRMED, PROPOSED, BY_RULE})
GRAVEST = {NOT_FOUND: 0, PROPOSED: 1, CONFIRMED: 2}


@dataclass(frozen=True, slots=True)
class Mark:
    """The keeper's word on one hazard of a thing: ``standing`` is confirmed, proposed or none found."""

    hazard: str
    standing: str
    reason: str
    on: date
    by: str = ""

    @property
    def told(self) -> str:
        """What it says, when and by whom, in words."""
        by = f" by {self.by}" if self.by else ""
        return f"{self.hazard}: {self.standing} on {self.on}{by}{f' ({self.reason})' if self.reason else ''}"

    @property
    def names(self) -> tuple[str, ...]:
        """The hazards that it marks, a line each; of another hazard found those that its reason names."""
        if self.hazard == OTHER and self.standing != NOT_FOUND and (named := kinds_named(self.reason)):
            return tuple(kind.words for kind in named)
        kind = BY_WORDS.get(self.hazard)
        return (kind.words if kind else self.hazard,)


@dataclass(frozen=True, slots=True)
class Look:
    """A check that found nothing: of every kind, or of one (``hazard``). ``how`` it was looked for."""

    on: date
    by: str
    how: str
    hazard: str = ""
    key: int = 0

    @property
    def told(self) -> str:
        by = f" by {self.by}" if self.by else ""
        return f"{self.hazard or 'every kind'} looked for on {self.on}{by}, none found ({self.how})"


@dataclass(frozen=True, slots=True)
class Line:
    """``hazard``: words of a kind, or ``NONE_FOUND``. ``against``: what contradicts it, in a sentence; empty: nothing.

    ``on`` and ``by``: of whoever looked; None and empty where nobody did.
    """

    hazard: str
    standing: str
    grounds: tuple[Ground, ...] = ()
    note: str = ""
    on: date | None = None
    by: str = ""
    against: str = ""
    look: int = 0
    more: tuple[str, ...] = ()  # what other marks on the same hazard say of it

    @property
    def kind(self) -> HazardKind | None:
        return BY_WORDS.get(self.hazard)

    @property
    def to_do(self) -> str:
        """What is usual with it and whom to ask; of a check that found nothing, what that does not say."""
        if self.hazard == NONE_FOUND:
            return CHECKED if self.standing == NOT_FOUND else NEVER
        return self.kind.to_do if self.kind else ""

    @property
    def reasons(self) -> tuple[str, ...]:
        """Why, each once: the keeper's own word first, then those of rules."""
        named = self.look or self.on or self.standing == PROPOSED
        own = f"own record{f': {self.note}' if self.note else ''}" if named else ""
        return tuple(filter(None, (own, *self.more, *dict.fromkeys(one.text for one in self.grounds))))

    @property
    def texts(self) -> tuple[str, ...]:
        """The texts behind care and rules."""
        texts = dict.fromkeys(one.source for one in self.grounds)
        return tuple(texts) or ((self.kind.source,) if self.kind else ())


CHECKED = "None was found as it was looked for; that does not say that there is none. Look again before it is opened."
NEVER = "Look before it is handled: words on parts, dates, dials, cords, glass. Local codes come first."


def lines_of(grounds: Iterable[Ground], marks: Iterable[Mark], looks: Iterable[Look]) -> list[Line]:
    """The lines of one thing, its hazards by the order of the kinds, then what checks found; at least one.

    A check contradicts every hazard that it looked for and that still stands; only a mark for that very hazard
    disproves a rule, since whoever looks along a shelf does not look into each capacitor.
    """
    by_hazard: dict[str, list[Ground]] = defaultdict(list)
    for ground in grounds:
        by_hazard[ground.hazard].append(ground)
    own: dict[str, list[Mark]] = defaultdict(list)
    for mark in sorted(marks, key=lambda one: GRAVEST.get(one.standing, 0)):  # of two on one hazard the graver stands
        for name in mark.names:
            own[name].append(mark)
    seen = sorted(looks, key=lambda one: (one.on, one.key), reverse=True)
    found = [_line(name, by_hazard.get(name, []), own.get(name, ()), seen) for name in _ordered({*by_hazard, *own})]
    found += _checks(seen, found)
    return found or [Line(NONE_FOUND, UNSEEN)]


def unsettled(grounds: Iterable[Ground], marks: Iterable[Mark]) -> list[Ground]:
    """Why a thing is taken to bear hazards of which nobody has written whether they are there."""
    settled = {name for mark in marks for name in mark.names}
    return [ground for ground in grounds if ground.hazard not in settled]


def _ordered(names: set[str]) -> list[str]:
    order = {name: at for at, name in enumerate(BY_WORDS)}
    return sorted(names, key=lambda name: (order.get(name, len(order)), name))


def _line(name: str, grounds: Sequence[Ground], marks: Sequence[Mark], looks: Sequence[Look]) -> Line:
    look = next((one for one in looks if one.hazard in ("", name, _mark(name))), None)
    if not marks:
        return Line(name, BY_RULE, tuple(grounds), against=f"{look.told}; a rule says otherwise." if look else "")
    mark, others = marks[-1], marks[:-1]
    against = []
    if mark.standing == NOT_FOUND:
        standing = DISPROVED if grounds else NOT_FOUND
    else:
        standing = mark.standing
        if look:
            against.append(f"{look.told}; {_since(mark, look)}.")
        against += [f"{one.told}; that stands beside it." for one in others if one.standing == NOT_FOUND]
    more = tuple(one.told for one in others if (one.standing == NOT_FOUND) == (mark.standing == NOT_FOUND))
    looked = mark.standing != PROPOSED
    on, by = (mark.on, mark.by) if looked else (None, "")
    return Line(name, standing, tuple(grounds), mark.reason, on, by, " ".join(against), more=more)


def _since(mark: Mark, look: Look) -> str:
    """How a mark stands to a check that found none."""
    if mark.standing == PROPOSED:
        return "proposed all the same, and nobody has settled it"
    return "found since" if mark.on > look.on else "on record all the same"


def _mark(name: str) -> str:
    kind = BY_WORDS.get(name)
    return kind.mark if kind else name


def _checks(looks: Sequence[Look], found: Sequence[Line]) -> Iterator[Line]:
    """The last check of each sort, with what stands against it."""
    told = set()
    for look in looks:
        if look.hazard in told:
            continue
        told.add(look.hazard)
        bears = [
            line.hazard for line in found
            if line.standing in BEARS and look.hazard in ("", line.hazard, _mark(line.hazard))
        ]  # fmt: skip
        against = f"On record or by rule all the same: {', '.join(bears)}." if bears else ""
        yield Line(look.hazard or NONE_FOUND, NOT_FOUND, (), look.how, look.on, look.by, against, look.key)
