"""What the collection is worth, thing by thing, on the evidence of one day in one currency.

A set for whose model there is evidence is worth what such sets fetch with their tubes; the tubes in it are then told,
and not added again. Of a set without evidence the tubes count by themselves.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from functools import cache, cached_property
from typing import Any

from inventory.holdings.models import Item
from inventory.house.money import CENT
from inventory.running.models import MatchedTube
from inventory.valuation.queries.pricing import (
    MARK,
    SET,
    Priced,
    Subject,
    mark_of,
    mark_subject,
    priced,
    tube_subject,
)
from inventory.valuation.queries.sales import exchange, sales
from inventory.valuation.queries.things import Thing, owned_things
from inventory.valuation.rules.estimate import Values, Weighting
from inventory.valuation.rules.sale import OF_THE_VALUATION
from tubes.queries import knowledge

NOTHING = Decimal(0)
NO_SUBJECT = Subject(MARK, "")  # of which there is never any evidence
RANGE, INTERVAL = "range of the comparables", "80 % of sales"


@dataclass(frozen=True, slots=True)
class Line:
    """A thing with its value, None without evidence. ``spread``: what ``low`` to ``high`` is.

    ``counts``: it is added to the total; False where it is contained in the value of the set that it stands in.
    ``insured`` is in the currency of the answer, None where it is not insured or that cannot be converted.
    """

    thing: Thing
    subject: Subject | None
    amount: Decimal | None
    low: Decimal | None
    high: Decimal | None
    comparables: int
    spread: str
    counts: bool = True
    insured: Decimal | None = None

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
            "last_test": thing.against,
            "insured": str(thing.insured) if thing.insured else "",
        }
        return told | {key: text for key, text in more.items() if text}


def told_amount(amount: Decimal | None) -> str | None:
    """Money as answers write it."""
    return None if amount is None else f"{amount:.2f}"


@dataclass(frozen=True, slots=True)
class Group:
    """What lies in one building, or is of one kind or type: what of it counts, summed."""

    name: str
    things: int
    without: int
    amount: Decimal
    low: Decimal
    high: Decimal
    insured: Decimal


@dataclass(frozen=True, slots=True)
class Split:
    """A set beside its tubes: what is lost, or won, where it is parted. ``rest``: what the bare set must bring."""

    line: Line
    tubes: Decimal
    without: int

    @property
    def rest(self) -> Decimal:
        return (self.line.amount or NOTHING) - self.tubes


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
        return _sum(line.amount for line in self.counted)

    @cached_property
    def low(self) -> Decimal:
        """If every thing came out at its low end; the total itself is surer than that."""
        return _sum(line.low for line in self.counted)

    @cached_property
    def high(self) -> Decimal:
        return _sum(line.high for line in self.counted)

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
        return _sum(line.insured for line in self.lines)

    def by(self, name: Callable[[Line], str]) -> list[Group]:
        """What counts, and what is without evidence, by a name; the dearest first."""
        groups: dict[str, list[Line]] = defaultdict(list)
        for line in self.lines:
            if line.counts:
                groups[name(line)].append(line)
        found = [
            Group(
                key, len(some), sum(one.amount is None for one in some), _sum(one.amount for one in some),
                _sum(one.low for one in some), _sum(one.high for one in some), _sum(one.insured for one in some),
            )
            for key, some in groups.items()
        ]  # fmt: skip
        return sorted(found, key=lambda group: (-group.amount, group.name))

    @cached_property
    def splits(self) -> list[Split]:
        """Sets with evidence of their own, beside what their tubes would fetch alone."""
        inside: dict[str, list[Line]] = defaultdict(list)
        for line in self.lines:
            if not line.counts:
                inside[line.thing.within].append(line)
        return [
            Split(line, _sum(one.amount for one in some), sum(one.amount is None for one in some))
            for line in self.counted
            if line.thing.kind == Item.CHASSIS and (some := inside.get(line.thing.tag, []))
        ]

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
                 "rest": told_amount(one.rest)}
                for one in self.splits
            ],
            "matched_sets": [
                {"name": one.name, "tags": list(one.tags), "tubes": told_amount(one.amount)} for one in self.matched
            ],
            "real": market.real,
        }  # fmt: skip
        more: dict[str, Any] = {"place": self.place, "insured_not_converted": list(self.not_converted)}
        return answer | {key: told for key, told in more.items() if told}


def building_of(line: Line) -> str:
    return line.thing.building


def kind_of(line: Line) -> str:
    return line.thing.kind


def type_of(line: Line) -> str:
    return line.thing.type or line.thing.set_model or line.thing.what


def _sum(amounts: Iterable[Decimal | None]) -> Decimal:
    return sum((one for one in amounts if one is not None), NOTHING)


def collection(
    currency: str, on: date, *, basis: str, real: bool = False, place: str = "", grade: str = "",
    weighting: Weighting | None = None,
) -> Collection:  # fmt: skip
    """All that is owned today, by the evidence of a day. Raises ValueError for a currency, basis or place that is none.

    ``grade``: only tubes of it. Things are taken as they are now, whatever the valuation date.
    """
    evidence = sales()
    tubes, sets = (
        priced(currency, on, basis=basis, real=real, weighting=weighting, found=evidence, sets=whole)
        for whole in (False, True)
    )
    things = owned_things(place)
    if place and not things:
        raise ValueError(f"nothing is in a place {place!r}; write its path as the page of places does")
    if grade:
        things = [one for one in things if one.grade == grade]
    return valued(tubes, sets, things, place)


def valued(tubes: Priced, sets: Priced, things: list[Thing], place: str = "") -> Collection:
    """Things by the markets of tubes and of sets, all at once."""
    known = knowledge()
    mark = cache(lambda stamp, name: mark_of(stamp, name, known))
    of = cache(lambda name: tube_subject(name, known))
    loose = cache(lambda stamp: mark_subject(stamp, known))

    def subject(thing: Thing) -> Subject | None:
        if thing.kind == Item.TUBE:
            found: Subject | None = of(thing.type) if thing.type else loose(thing.marked)
            return found
        return Subject(SET, thing.set_model) if thing.set_model else None

    subjects = [subject(thing) for thing in things]
    asked = [one or NO_SUBJECT for one in subjects]
    marks = [mark(thing.marked, thing.type) for thing in things]
    of_tubes = _figures(tubes.values(asked, [thing.grade for thing in things], marks))
    of_sets = _figures(sets.values(asked, ["" for _ in things]))
    insured, not_converted = _insured(things, tubes)
    lines = []
    for at, (thing, one) in enumerate(zip(things, subjects, strict=True)):
        amount, low, high, count, spread = (of_sets if one and one.what == SET else of_tubes)[at]
        lines.append(Line(thing, one, amount, low, high, count, spread, True, insured.get(thing.key)))
    return Collection(tubes, sets, place, _contained(lines), not_converted, _matched(lines))


def _figures(found: Values) -> list[tuple[Decimal | None, Decimal | None, Decimal | None, int, str]]:
    """Amount, low, high, comparables and what the spread is, of each thing."""
    columns = (found.amount, found.low, found.high, found.comparables, found.interval)
    return [
        (*(Decimal(one).quantize(CENT) for one in figures), count, INTERVAL if interval else RANGE)  # type: ignore[misc]
        if count
        else (None, None, None, 0, "")
        for *figures, count, interval in zip(*(column.tolist() for column in columns), strict=True)
    ]


def _matched(lines: list[Line]) -> tuple[Matched, ...]:
    """Matched sets of which a tube is among the lines (one query)."""
    by_tag = {line.thing.tag: line for line in lines}
    sets: dict[str, list[Line]] = defaultdict(list)
    rows = MatchedTube.objects.filter(matched_set__split_on__isnull=True).select_related("matched_set", "tube__item")
    for row in rows.order_by("matched_set_id", "pk"):
        if line := by_tag.get(row.tube.tag):
            sets[str(row.matched_set)].append(line)
    return tuple(
        Matched(
            name, tuple(one.thing.tag for one in some), _sum(one.amount for one in some),
            sum(one.amount is None for one in some),
        )
        for name, some in sets.items()
    )  # fmt: skip


def _contained(lines: list[Line]) -> tuple[Line, ...]:
    """The lines, those that stand in a set which is valued whole marked as contained in it."""
    whole = {line.thing.tag for line in lines if line.thing.kind == Item.CHASSIS and line.amount is not None}
    return tuple(replace(line, counts=line.thing.within not in whole) for line in lines)


def _insured(things: list[Thing], market: Priced) -> tuple[dict[int, Decimal], tuple[str, ...]]:
    """Insured sums in the currency of the answer, at the last rate before its date; what has no rate, in words."""
    rates = exchange(market.currency, market.on).rates
    found, refused = {}, []
    for thing in things:
        if thing.insured:
            try:
                money = rates.convert(thing.insured, market.currency, market.on, OF_THE_VALUATION).money
            except ValueError as why:
                refused.append(f"{thing.tag}, {thing.insured}: {why}")
            else:
                found[thing.key] = money.amount.quantize(CENT)
    return found, tuple(refused)
