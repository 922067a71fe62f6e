"""How sure the spares are enough for some hours: failures ahead by type, from the keeper's own record."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property

from inventory.holdings.models import Tube
from inventory.restoration.queries.cover import Cover
from inventory.restoration.queries.experience import Experience, demand_of, record_of
from inventory.restoration.queries.lines import TUBE, Line
from inventory.restoration.queries.nearness import the_very
from inventory.restoration.queries.stock import serves
from inventory.restoration.rules.demand import Demand, check_assurance, few, of_a_kit, percent
from inventory.restoration.rules.spares import NOT_COUNTED, Enough, of_demand
from inventory.restoration.rules.words import BY_RELATIVE, BY_SUBSTITUTE, COVERED, DUD, STOPS, WRONG_TYPE
from inventory.running.rules.verdicts import REJECT
from tubes.queries import knowledge
from tubes.queries.judging import court

MOST_MORE = 200  # spares that are counted on for a set as a whole
NONE_AT_ALL = 1e-300  # stands for a chance too small to be written

MOST_NAMED = 3


@dataclass(frozen=True)
class Assured:
    """One type: how many are in use, good spares, failures ahead and why so, how sure, and how many are wanted.

    ``gaps``: positions of the plan that nothing here covers. ``names``: other numbers under which positions want it;
    they are counted together, since the same spares serve them.
    """

    type: str
    enough: Enough
    experience: Experience
    why: str
    gaps: int = 0
    names: tuple[str, ...] = ()

    @property
    def called(self) -> str:
        """Every number under which it is wanted."""
        return " = ".join((self.type, *self.names))

    @property
    def in_use(self) -> int:
        return self.enough.in_use

    @property
    def needed(self) -> int:
        return self.enough.needed

    @property
    def spares(self) -> int:
        return self.enough.stock

    @property
    def demand(self) -> Demand:
        return self.enough.demand

    @property
    def wanted(self) -> int:
        return self.enough.wanted

    @property
    def assurance(self) -> float:
        return self.enough.assurance()

    @property
    def percent(self) -> str:
        return percent(self.assurance)

    @property
    def expected(self) -> str:
        """Failures ahead, in words of a table."""
        return few(self.demand.expected)


@dataclass(frozen=True)
class AssuredKit:
    """All types of a plan. The fitted tube counts as in use, never as a spare: a spare replaces it when it fails.

    ``refused``: why nothing can be said, in a sentence; then no type is here, and nothing is sure. ``not_recorded``:
    positions whose type nobody recorded, which are in no type. ``also``: other open plans for which spares that are
    counted here are counted too.
    """

    types: tuple[Assured, ...]
    hours: float
    wanted: float
    some: Mapping[str, int] = field(default_factory=dict)
    refused: str = ""
    not_recorded: int = 0
    also: tuple[str, ...] = ()

    @property
    def assurance(self) -> float:
        return 0.0 if self.refused else of_a_kit([one.assurance for one in self.types])

    @property
    def percent(self) -> str:
        return "?" if self.refused else percent(self.assurance)

    @cached_property
    def together(self) -> dict[str, int]:
        """How many spares more of each type make all types together as sure as was asked: the fewest, each where it
        gains most. Empty where they are, and where so many would be wanted that nobody holds them.
        """
        more = dict.fromkeys((one.type for one in self.types), 0)
        sure = {one.type: one.assurance for one in self.types}
        for _ in range(MOST_MORE):
            if of_a_kit(list(sure.values())) >= self.wanted:
                return {name: number for name, number in more.items() if number}
            then = {one.type: one.enough.assurance(one.spares + more[one.type] + 1) for one in self.types}
            best = max(then, key=lambda name: then[name] / max(sure[name], NONE_AT_ALL))
            more[best], sure[best] = more[best] + 1, then[best]
        return {}

    @property
    def _as_a_whole(self) -> str:
        """What the set as a whole wants where it is less sure than was asked, in a sentence."""
        if self.assurance >= self.wanted or not self.types:
            return ""
        named = ", ".join(f"{number} more of type {name}" for name, number in self.together.items())
        told = f"; they are reached with {named}" if named else ""
        return f" All types together are below the {100 * self.wanted:g} % that were asked{told}."

    @property
    def _not_filled(self) -> str:
        """That positions are empty or of no recorded type, which the chance says nothing of, in a sentence."""
        gaps = sum(one.gaps for one in self.types)
        told = [
            f"{gaps} {'is' if gaps == 1 else 'are'} not" if gaps else "",
            f"{self.not_recorded} of no recorded type {'is' if self.not_recorded == 1 else 'are'} left out"
            if self.not_recorded else "",
        ]  # fmt: skip
        said = ", ".join(text for text in told if text)
        return f" That is counted as if every position were filled; {said}." if said else ""

    @property
    def _also(self) -> str:
        """That other plans count on the same spares, in a sentence."""
        if not self.also:
            return ""
        named = ", ".join(self.also[:MOST_NAMED])
        more = f" and {len(self.also) - MOST_NAMED} more" if len(self.also) > MOST_NAMED else ""
        return f" Spares are set aside for no plan: of these some are counted for {named}{more} too."

    @property
    def sources(self) -> list[str]:
        """The texts that the ways rest on, each once."""
        return list(dict.fromkeys(one.demand.source for one in self.types))

    @property
    def text(self) -> str:
        if self.refused:
            return f"How sure the spares are cannot be said: {self.refused}"
        if not self.types:
            return "No tube is wanted, so no spare is."
        least = [
            f"{one.wanted} of type {one.type} ({one.spares} here)" for one in self.types if one.wanted > one.spares
        ]
        more = f" To be {100 * self.wanted:g} % sure of each by itself, hold {', '.join(least)}." if least else ""
        some = [f"{one.needed} of {one.in_use} {one.type}" for one in self.types if one.needed < one.in_use]
        fewer = f" Counted so that {', '.join(some)} are enough." if some else ""
        return (
            f"Spares on the shelf are enough for {self.hours:g} h with a chance of {self.percent} %. "
            f"{NOT_COUNTED}{fewer}{self._also}{self._not_filled}{more}{self._as_a_whole}"
        )


def assured(
    cover: Cover,
    on: date,
    hours: float | None = None,
    assurance: float | None = None,
    some: Mapping[str, int] | None = None,
) -> AssuredKit:
    """How sure the good spares are enough for every type that the sets of a plan have in use.

    ``hours``, ``assurance``: in the stead of those of the plan. ``some``: of a type so many in use are enough, where
    the keeper says so: no set model keeps that. Raises DemandRefused, ValueError for a type that is not in use.
    """
    hours = cover.plan.hours if hours is None else hours
    wanted = cover.plan.assurance if assurance is None else assurance
    check_assurance(wanted)
    lines = [line for line in cover.lines if line.slot is not None]
    by_type: dict[str, list[Line]] = {}
    for line in lines:
        by_type.setdefault(line.slot.wanted, []).append(line)  # type: ignore[union-attr]
    some = _checked(some or {}, by_type)
    judges = court(knowledge())
    serves = {name: the_very(name, judges) for name in by_type}
    left = left_over(cover)
    fitted = [line.slot.fitting.tube_id for line in lines if line.slot and line.slot.fitting]
    record = record_of(set().union(*serves.values()), on, fitted)
    told = []
    for names in _shared(serves):
        name, using = names[0], [line for one in names for line in by_type[one]]
        had = record.of(sorted(set().union(*(judges.known.kin.same_as(one) | {one} for one in names))))
        demand, why = demand_of(name, [_age(line, record.ages) for line in using], hours, had, judges)
        needed = sum(some.get(one, len(by_type[one])) for one in names)
        spares = sum(left[one] for one in set().union(*(serves[one] for one in names)))
        found = of_demand(demand, len(using), needed, spares, wanted)
        told.append(Assured(name, found, had, why, sum(line.status in STOPS for line in using), tuple(names[1:])))
    unknown = sum(line.kind == TUBE and line.slot is None for line in cover.lines)
    refused = "Which types the positions want is not recorded." if unknown and not told else ""
    return AssuredKit(tuple(told), hours, wanted, some, refused, unknown, _counted_too(cover, told, serves))


def _counted_too(cover: Cover, told: Sequence[Assured], serves: Mapping[str, frozenset[str]]) -> tuple[str, ...]:
    """Other open plans that have tubes in use for which spares counted here would serve."""
    there = frozenset[str]().union(*(serves[name] for one in told if one.spares for name in (one.type, *one.names)))
    others = (
        slot.plan.name for slot in cover.allotment.slots if slot.plan.pk != cover.plan.pk and slot.wanted in there
    )
    return tuple(dict.fromkeys(others))


def _shared(serves: Mapping[str, frozenset[str]]) -> list[list[str]]:
    """Wanted types in groups that share spares, each and all in the order of their names: a spare counts once."""
    groups: list[tuple[list[str], frozenset[str]]] = []
    for name in sorted(serves):
        alike = [group for group in groups if group[1] & serves[name]]
        groups = [group for group in groups if group not in alike]
        names = sorted([name, *(one for group in alike for one in group[0])])
        groups.append((names, serves[name].union(*(group[1] for group in alike))))
    return sorted(names for names, _ in groups)


def left_over(cover: Cover) -> Counter[str]:
    """Good tubes of the shelf, one's own, by type, that no line of any open plan takes or has reserved: the spares; and
    what is reserved for positions of this plan that want nothing, which nobody else gets.
    """
    found, held = cover.allotment, cover.allotment.stock
    slots = [line.slot for line in cover.lines if line.slot is not None and not line.slot.wants]
    own = [slot.reserved.item.tube for slot in slots if slot.reserved is not None]
    reserved = Counter(
        tube.type.name for tube in own
        if tube.type and tube.state == Tube.GOOD and serves(tube) and held.verdicts.get(tube.pk) != REJECT
        and tube.pk not in held.owed
    )  # fmt: skip
    return reserved + Counter(
        held.types[held.kinds[number]]
        for number in range(len(held.tubes))
        if not held.untested[number]
        and number not in held.sits
        and number not in found.taker
        and held.tubes[number].pk not in held.owed
    )


def _age(line: Line, ages: Mapping[int, float | None]) -> float | None:
    """Hours of the tube in a position; 0 where another goes in first, counted as new."""
    slot = line.slot
    if slot is None or slot.fitting is None or slot.standing in (DUD, WRONG_TYPE):
        return 0.0
    if slot.wants and line.status in (COVERED, BY_RELATIVE, BY_SUBSTITUTE):
        return 0.0
    return ages.get(slot.fitting.tube_id)


def _checked(some: Mapping[str, int], by_type: Mapping[str, list[Line]]) -> dict[str, int]:
    """How many of a type are enough, by the names as they are in use here. Raises ValueError."""
    names = {name.casefold(): name for name in by_type}
    told = {}
    for name, number in some.items():
        if name.casefold() not in names:
            raise ValueError(f"{name!r} is not in use here; in use: {', '.join(sorted(by_type)) or 'nothing'}.")
        meant = names[name.casefold()]
        if not 0 <= number <= len(by_type[meant]):
            raise ValueError(f"{number} of {meant}: expected from 0 to {len(by_type[meant])}, the number in use.")
        told[meant] = number
    return told


def parse_some(texts: list[str]) -> dict[str, int]:
    """``["6SN7GT:3", ...]``: of a type so many in use are enough. Raises ValueError."""
    told = {}
    for text in texts:
        name, mark, number = text.strip().rpartition(":")
        if not (mark and name and number.strip().isascii() and number.strip().isdigit() and len(number) < 6):
            raise ValueError(f"{text!r}: expected a type and how many are enough, such as 6SN7GT:3.")
        told[name.strip()] = int(number)
    return told
