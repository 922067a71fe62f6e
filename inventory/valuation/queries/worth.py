"""The answer to what the collection is worth: lines, totals, groups, sets beside their tubes; also as JSON."""

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from typing import Any

from django.utils import timezone

from inventory.holdings.models import Item
from inventory.valuation.queries.lost_sales import lost_told
from inventory.valuation.queries.pricing import Priced
from inventory.valuation.queries.subjects import Subject
from inventory.valuation.queries.things import Thing
from inventory.valuation.rules.cover import Cover, by_tag
from inventory.valuation.rules.remarks import to_come, why_no_amount

NOTHING = Decimal(0)


@dataclass(frozen=True, slots=True)
class Line:
    """A thing with its value, None without evidence. ``spread``: what ``low`` to ``high`` is.

    ``counts``: it is added to the total; False where it is contained in the value of the set that it stands in.
    ``insured`` is in the currency of the answer, None where it is not insured or that cannot be converted.
    ``at_most``: the evidence does not tell what such ones fetch: ``high`` is what those of this better grade do (empty:
    of no grade); None elsewhere. ``at_least``: the same of a worse one, with ``low``; empty elsewhere. ``mark``:
    military, civilian or empty; ``stamp``: what on the glass makes it military.
    """

    thing: Thing
    subject: Subject | None
    amount: Decimal | None
    low: Decimal | None
    high: Decimal | None
    comparables: int
    spread: str
    at_most: str | None = None
    at_least: str = ""
    counts: bool = True
    insured: Decimal | None = None
    mark: str = ""
    stamp: str = ""

    @property
    def what(self) -> str:
        """What it is, with the stamp that makes it a military one, which may have prices of its own."""
        name = self.thing.what
        return f"{name}, stamped {self.stamp}" if self.stamp and self.stamp != name else name

    @property
    def no_amount(self) -> str:
        """Why there is no amount although there are sales; empty elsewhere."""
        most, least = (told_amount(one) or "" for one in (self.high, self.low))
        return why_no_amount(self.thing.grade, self.at_most, most, self.at_least, least)

    @property
    def prices_of(self) -> str:
        """By whose prices it goes: a type, a model, a mark."""
        return f"{self.subject.what} {self.subject.name}" if self.subject else ""

    def as_dict(self) -> dict[str, Any]:
        """The line as JSON; money as text."""
        thing = self.thing
        told = {
            "tag": thing.tag, "what": thing.what, "kind": thing.kind, "type": thing.type or None,
            "grade": thing.grade or None, "place": thing.place or None, "amount": told_amount(self.amount),
            "low": told_amount(self.low), "high": told_amount(self.high), "spread": self.spread or None,
            "comparables": self.comparables, "counts": self.counts,
        }  # fmt: skip
        more = {
            "in_set": thing.within,
            "belongs_with": thing.mate,
            "last_test": thing.against,
            "insured": str(thing.insured) if thing.insured else "",
            "no_amount": self.no_amount,
            "mark": self.mark,
            "stamp": self.stamp,
        }
        return told | {key: text for key, text in more.items() if text}


def told_amount(amount: Decimal | None) -> str | None:
    """Money as answers write it."""
    return None if amount is None else f"{amount:.2f}"


@dataclass(frozen=True, slots=True)
class Group:
    """What lies in one building, or is of one kind or type: what of it counts, summed. ``insured`` is of all of it.

    No ``things``: all that is there is contained in what stands elsewhere.
    """

    name: str
    things: int
    without: int
    amount: Decimal
    low: Decimal
    high: Decimal
    insured: Decimal

    @property
    def known(self) -> bool:
        """Whether there is evidence for any of it."""
        return self.things > self.without


@dataclass(frozen=True, slots=True)
class Split:
    """A set beside its tubes and units: what is lost, or won, where it is parted. ``units``: with its books.

    ``without``: how many of them have no evidence, and are in neither sum. ``tubes_told``, ``units_told``: the sums in
    words, which say where there is no evidence, or nothing to be summed.
    """

    line: Line
    tubes: Decimal
    units: Decimal
    without: int
    currency: str
    tubes_told: str = ""
    units_told: str = ""

    @property
    def whole(self) -> Decimal:
        return self.line.amount or NOTHING

    @property
    def alone(self) -> Decimal:
        """What tubes and units bring together when each is sold by itself."""
        return self.tubes + self.units

    @property
    def rest(self) -> Decimal:
        """What the bare set must bring, so that nothing is lost by parting it; below nothing it is a gain."""
        return self.whole - self.alone

    @property
    def told(self) -> str:
        """What parting it loses or gains."""
        if self.without and not self.alone:
            return f"{self.without} in it or with it, none with evidence: what parting it loses cannot be said."
        alone = f"Parted, what is in it and belongs with it brings {self.alone:,.2f} {self.currency} by itself"
        if self.rest > 0:
            told = f"{alone}: {self.rest:,.2f} less than the whole, lost unless the bare set brings that."
        elif self.rest < 0:
            told = f"{alone}: {-self.rest:,.2f} more than the whole, and the bare set beside."
        else:
            told = f"{alone}, as much as the whole, and the bare set beside."
        return told + (f" {self.without} of it without evidence, in no sum." if self.without else "")


@dataclass(frozen=True, slots=True)
class Matched:
    """A matched set that is together: the sum of its tubes. What being matched adds, no evidence here tells."""

    name: str
    tags: tuple[str, ...]
    amount: Decimal
    without: int


@dataclass(frozen=True, eq=False)
class Collection:
    """The collection, or what of it lies in ``place`` or is of ``grade``, valued.

    ``market`` is that of tubes, ``sets`` that of whole sets.
    """

    market: Priced
    sets: Priced
    place: str
    lines: tuple[Line, ...]
    not_converted: tuple[str, ...] = ()
    matched: tuple[Matched, ...] = ()

    @cached_property
    def total(self) -> Decimal:
        return added(line.amount for line in self.counted)

    @cached_property
    def low(self) -> Decimal:
        """If every thing came out at its low end; the total itself is surer than that."""
        return added(line.low for line in self.counted)

    @cached_property
    def high(self) -> Decimal:
        return added(line.high for line in self.counted)

    @cached_property
    def counted(self) -> list[Line]:
        """Lines that are added: with evidence, and not contained in another."""
        return [line for line in self.lines if line.counts and line.amount is not None]

    @cached_property
    def without(self) -> list[Line]:
        """What there is no evidence for, and what is contained in no other line."""
        return [line for line in self.lines if line.counts and line.amount is None]

    @cached_property
    def insured(self) -> Decimal:
        return added(line.insured for line in self.lines)

    @cached_property
    def cover(self) -> Cover:
        """What is insured beside what it is worth."""
        told = (
            (line.thing.tag, "" if line.counts else line.thing.part_of, line.amount, line.insured)
            for line in self.lines
        )
        return Cover(tuple(by_tag(told).values()))

    def by(self, name: Callable[[Line], str]) -> list[Group]:
        """What counts, and what is without evidence, by a name; the dearest first."""
        groups: dict[str, list[Line]] = defaultdict(list)
        insured: dict[str, Decimal] = defaultdict(Decimal)
        for line in self.lines:
            insured[name(line)] += line.insured or NOTHING
            if line.counts:
                groups[name(line)].append(line)
        found = [
            Group(
                key, len(some), len(some) - len(valued), added(one.amount for one in valued),
                added(one.low for one in valued), added(one.high for one in valued), insured[key],
            )
            for key in groups.keys() | {key for key, sum_of in insured.items() if sum_of}
            for some in (groups.get(key, []),)
            for valued in ([one for one in some if one.amount is not None],)  # a bound of the others is no sum
        ]  # fmt: skip
        return sorted(found, key=lambda group: (-group.amount, group.name))

    @cached_property
    def splits(self) -> list[Split]:
        """Sets with evidence of their own, beside what their tubes and units would fetch alone."""
        inside: dict[str, list[Line]] = defaultdict(list)
        for line in self.lines:
            if not line.counts:
                inside[line.thing.part_of].append(line)
        return [
            _split(line, some, self.market.currency)
            for line in self.counted
            if line.thing.kind == Item.CHASSIS and (some := inside.get(line.thing.tag, []))
        ]

    @cached_property
    def remarks(self) -> tuple[str, ...]:
        """What is said of it before all else."""
        return tuple(filter(None, (self.lost, to_come(self.market.on, timezone.localdate()))))

    @cached_property
    def lost(self) -> str:
        """How many sales are not in it for lack of a rate of exchange, in words."""
        return lost_told((self.market, self.sets))

    def as_dict(self) -> dict[str, Any]:
        """The contract of ``appraise``; money as text."""
        market = self.market
        answer = {
            "on": str(market.on), "currency": market.currency, "basis": market.basis,
            "total": told_amount(self.total), "low": told_amount(self.low), "high": told_amount(self.high),
            "lines": [line.as_dict() for line in self.lines], "without_evidence": len(self.without),
            "buildings": [
                {"building": one.name, "total": told_amount(one.amount), "insured": told_amount(one.insured)}
                for one in self.by(building_of)
            ],
            "sets": [
                {"tag": one.line.thing.tag, "complete": told_amount(one.line.amount), "tubes": told_amount(one.tubes),
                 "rest": told_amount(one.rest), "units": told_amount(one.units), "alone": told_amount(one.alone),
                 "alone_without_evidence": one.without, "text": one.told}
                for one in self.splits
            ],
            "matched_sets": [
                {"name": one.name, "tags": list(one.tags), "tubes": told_amount(one.amount)} for one in self.matched
            ],
            "real": market.real,
            "sales_without_rate": market.without_rate()[0] + self.sets.without_rate()[0],
        }  # fmt: skip
        more: dict[str, Any] = {"place": self.place, "insured_not_converted": list(self.not_converted)}
        more["remarks"] = list(self.remarks)
        return answer | {key: told for key, told in more.items() if told}


def _split(line: Line, inside: list[Line], currency: str) -> Split:
    parts = [[one for one in inside if (one.thing.kind == Item.TUBE) == of_tubes] for of_tubes in (True, False)]
    tubes, units = (added(one.amount for one in some) for some in parts)
    told = [_sum_told(some) for some in parts]
    return Split(line, tubes, units, sum(one.amount is None for one in inside), currency, *told)


def _sum_told(lines: list[Line]) -> str:
    if not lines:
        return "none"
    amounts = [one.amount for one in lines if one.amount is not None]
    return f"{added(amounts):,.2f}" if amounts else "no evidence"


def building_of(line: Line) -> str:
    return line.thing.building


def kind_of(line: Line) -> str:
    return line.thing.kind


def type_of(line: Line) -> str:
    thing = line.thing
    return thing.type or thing.set_model or thing.unit_model or thing.companion or thing.what


def added(amounts: Iterable[Decimal | None]) -> Decimal:
    return sum((one for one in amounts if one is not None), NOTHING)
