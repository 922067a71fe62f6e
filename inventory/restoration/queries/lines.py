"""What every line of a plan is, whatever it asks for."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from inventory.holdings.models import Item, PartType, Tube
from inventory.pairing.queries import PairRow
from inventory.restoration.models import Finding, Requirement, WeakPart
from inventory.restoration.queries.slots import Slot, tube_words
from inventory.restoration.rules.findings import check_of_line, check_of_part
from inventory.restoration.rules.instead import Instead
from inventory.restoration.rules.words import AWAITED, ELSEWHERE, NOT_SAID, SHORT, TO_DO, WAITING
from inventory.running.models import TubeTest
from inventory.sets.models import Bay, Chassis, Fitting

TUBE, BAY, COMPANION, WEAK, HAZARD, OWN = "tube", "bay", "companion", "weak part", "hazard", "own"
FOUND, SET = "finding", "set"


@dataclass(frozen=True)
class Line:
    """One thing that a plan asks for.

    ``by``: what covers it, in words; ``substitute``: the type that stands in; ``entails``: what has to be done with it;
    ``reasons``: why so, each a sentence. ``thing``: what covers it, where it is one thing; ``offer``: the
    key of a line of parts under which what is proposed can be reserved; ``offered``: of which lots; ``kept``: how many
    are reserved for it.
    ``check``: of the start sheet, by which it is settled; ``finding``: what failed there; ``weak``: a known weak part
    that is no line of the keeper's own yet; ``unjudged``: the last readings of tubes that nothing on record judges;
    ``rejected``: tubes of the type wanted that the register calls untested and their last test rejects;
    ``bay``: that it asks a unit for; ``pair``: of the set and the unit in it, or to come, where it is to be neutralized
    or set back; ``sits``: where the tube that covers it is in service, before it is taken out; ``instead``: what does
    its work and is no such part, where the plan is short of it.
    """

    kind: str
    need: str
    status: str
    chassis: Chassis
    position: str = ""
    by: str = ""
    substitute: str = ""
    entails: tuple[str, ...] = ()
    reasons: tuple[str, ...] = ()
    before_power: bool = False
    slot: Slot | None = None
    thing: Item | None = None
    to_test: tuple[Tube, ...] = ()
    requirement: Requirement | None = None
    reserved: bool = False
    offer: str = ""
    offered: str = ""
    kept: int = 0
    check: str = ""
    finding: Finding | None = None
    weak: WeakPart | None = None
    unjudged: tuple[TubeTest, ...] = ()
    rejected: tuple[Tube, ...] = ()
    bay: Bay | None = None
    sits: Fitting | None = None
    pair: PairRow | None = None
    instead: tuple[Instead, ...] = ()

    @property
    def part_type(self) -> PartType | None:
        """The kind of part that it asks for."""
        row = self.requirement or self.weak
        return row.type if row is not None else None

    @property
    def sought(self) -> str:
        """The part that it asks for and has not, as the search for a replacement reads it; empty where it asks none."""
        if self.part_type is not None:
            return str(self.part_type) if self.status in (SHORT, ELSEWHERE, TO_DO) else ""
        row = self.requirement
        return row.words if row is not None and row.kind == row.PART and self.status == NOT_SAID else ""

    @property
    def to_come(self) -> bool:
        """Whether it is a part, tool or book that is waited for."""
        row = self.requirement
        return self.status == WAITING and row is not None and row.is_thing

    @property
    def may_be_said(self) -> bool:
        """Whether its keeper may say that it is here, and has not."""
        row = self.requirement
        return self.status in (NOT_SAID, WAITING) and row is not None and row.needs_word

    @property
    def counted(self) -> tuple[str, bool, bool]:
        """What ``count_of`` counts it by."""
        return AWAITED if self.to_come else self.status, self.before_power, bool(self.substitute)

    @property
    def seen(self) -> str:
        """The tube that is proposed, as the form that reserves it carries it."""
        return tube_words(self.thing.tube) if self.thing and self.slot else ""

    @property
    def told_by(self) -> str:
        """What covers it; where another type stands in, that type is named first."""
        if not (self.by and self.substitute and self.slot):
            return self.by
        return f"{self.substitute} in the place of {self.slot.wanted}: {self.by}"

    def as_dict(self) -> dict[str, Any]:
        return {
            "need": self.need,
            "position": self.position,
            "status": self.status,
            "by": self.by,
            "substitute": self.substitute,
            "entails": list(self.entails),
            "reasons": list(self.reasons),
            "set": self.chassis.tag,
            "kind": self.kind,
            "reserved": self.reserved,
            "stand_in_there": [one.as_dict() for one in self.slot.stand_ins] if self.slot else [],
            "stand_ins": [one.as_dict() for one in self.instead],
        }


def part_check(part: WeakPart) -> str:
    """The key of the check of the start sheet that looks at a weak part."""
    return check_of_part(part.pk)


def line_check(row: Requirement) -> str:
    """The key of the check of the start sheet that looks at a line of the keeper's own; empty where none does."""
    return check_of_part(row.weak_id) if row.weak_id else check_of_line(row.pk) if row.before_power else ""


def sets_asked(row: Requirement, sets: Sequence[Chassis]) -> Sequence[Chassis]:
    """The sets at which the check of a line is made: the one that it names, else each set of the plan."""
    return [one for one in sets if row.chassis_id in (None, one.pk)]
