"""The insurance schedule: every thing owned, building by building, with what an insurer asks of it.

What an insurer asks (maker, type, serial, condition, completeness, what goes with it, photograph, proof or date of
purchase, replacement value with its date, the building): common practice, no source.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cached_property
from typing import Any

from inventory.holdings.models import Item
from inventory.valuation.queries.belonging import STANDS_IN, bonds_on
from inventory.valuation.queries.on_paper import Piece, pieces
from inventory.valuation.queries.stated import Figure, Stated
from inventory.valuation.queries.things import NO_PLACE
from inventory.valuation.queries.worth import NOTHING, added, told_amount

SINGLED_OUT = Decimal(100)  # worth so much, a tube has a line of its own, where nothing else is asked


@dataclass(frozen=True, slots=True)
class ScheduleLine:
    """A thing, or like tubes of one place told in one line.

    ``amount`` is of all of it: of a set with what stands in it. None without evidence. ``holds``: what stands in it;
    ``held``: what of the amount that is worth by itself. ``goes_with``: what belongs with it and stands elsewhere.
    """

    pieces: tuple[Piece, ...]
    amount: Decimal | None
    insured: Decimal | None
    holds: tuple[str, ...] = ()
    held: Decimal = NOTHING
    goes_with: tuple[str, ...] = ()

    @property
    def first(self) -> Piece:
        return self.pieces[0]

    @property
    def tags(self) -> tuple[str, ...]:
        return tuple(one.tag for one in self.pieces)

    @property
    def contained(self) -> str:
        """The tag of the set in whose value it is, where it lies elsewhere; it has then no amount of its own."""
        return self.first.figure.part_of

    @property
    def itself(self) -> Decimal | None:
        """What the thing is worth without what stands in it, as far as that has evidence of its own."""
        return None if self.first.figure.amount is None else (self.amount or NOTHING) - self.held

    @property
    def gap(self) -> Decimal | None:
        """What it is insured for beyond its value; below zero it is under-insured. None where either is not known."""
        return None if self.amount is None or self.insured is None else self.insured - self.amount

    def as_dict(self) -> dict[str, Any]:
        first = self.first
        return {
            "tags": list(self.tags), "count": len(self.pieces), "what": first.name, "kind": first.figure.kind,
            "maker": first.maker or None, "serial": first.serial or None, "grade": first.figure.grade or None,
            "condition": first.condition or None, "holds": list(self.holds), "goes_with": list(self.goes_with),
            "place": first.figure.place or None, "acquired": first.acquired or None, "paid": first.paid or None,
            "papers": list(first.proofs), "photograph": first.photograph is not None,
            "value": told_amount(self.amount), "in_value_of": self.contained or None,
            "insured": told_amount(self.insured), "gap": told_amount(self.gap),
        }  # fmt: skip


@dataclass(frozen=True)
class Building:
    """What is in one building. ``bare``: what stands in sets that count by their contents, and has no evidence."""

    name: str
    every: tuple[ScheduleLine, ...]
    bare: tuple[ScheduleLine, ...] = ()

    @cached_property
    def lines(self) -> list[ScheduleLine]:
        """What has a value, or is contained in one."""
        return [line for line in self.every if line.amount is not None or line.contained]

    @cached_property
    def without(self) -> list[ScheduleLine]:
        """What has no evidence; a set is among it though its tubes have a value."""
        return [*(one for one in self.every if one.first.figure.amount is None and not one.contained), *self.bare]

    @cached_property
    def amount(self) -> Decimal:
        return added(line.amount for line in self.every)

    @cached_property
    def insured(self) -> Decimal:
        """Of all in it, also of what is without evidence."""
        return added(line.insured for line in self.every)

    @property
    def gap(self) -> Decimal:
        return self.insured - self.amount

    def as_dict(self) -> dict[str, Any]:
        return {
            "building": self.name, "total": told_amount(self.amount), "insured": told_amount(self.insured),
            "gap": told_amount(self.gap), "lines": [line.as_dict() for line in self.lines],
        }  # fmt: skip


@dataclass(frozen=True)
class Schedule:
    """The schedule. ``singled_out``: a tube worth so much has a line of its own."""

    stated: Stated
    singled_out: Decimal
    buildings: tuple[Building, ...]

    @property
    def without(self) -> list[ScheduleLine]:
        """Things without evidence, of all buildings; a set is among them though its tubes have a value."""
        return [line for building in self.buildings for line in building.without]

    @property
    def total(self) -> Decimal:
        return added(building.amount for building in self.buildings)

    @property
    def insured(self) -> Decimal:
        return added(building.insured for building in self.buildings)

    def as_dict(self) -> dict[str, Any]:
        return {
            "total": told_amount(self.total), "insured": told_amount(self.insured),
            "gap": told_amount(self.insured - self.total), "single_out": told_amount(self.singled_out),
            "buildings": [building.as_dict() for building in self.buildings],
            "without_evidence_lines": [line.as_dict() for line in self.without],
        }  # fmt: skip


def schedule(found: Stated, today: date, *, single_out: Decimal = SINGLED_OUT) -> Schedule:
    """The schedule of a valuation, in a fixed number of queries."""
    known = pieces(found.figures)
    figures = [one for one in found.figures if one.tag in known]
    inside: dict[str, list[Figure]] = defaultdict(list)
    alone: list[Figure] = []
    there = {one.tag for one in figures}
    for one in figures:
        (inside[one.within] if one.within in there else alone).append(one)
    where, goes_with = _bonds(today, known)
    lines = _lines(alone, inside, known, where, goes_with, single_out)
    held = (one for holder in alone for one in inside.get(holder.tag, ()))
    bare = _folded((one for one in held if one.counts and one.amount is None), known)
    return Schedule(found, single_out, _buildings(lines, bare))


def _bonds(today: date, known: dict[str, Piece]) -> tuple[dict[str, str], dict[str, list[tuple[str, str]]]]:
    """By tag the circuit mark or bay that a thing stands in; and what else belongs with it: its tag, and in words."""
    where: dict[str, str] = {}
    goes: dict[str, list[tuple[str, str]]] = defaultdict(list)
    for bond in bonds_on(today).bonds:
        if bond.sort == STANDS_IN:
            where[bond.one] = bond.words
            continue
        for one, other in ((bond.one, bond.other), (bond.other, bond.one)):
            if other in known:
                words = f"{known[other].name} {other}"
                goes[one].append((other, f"{words}, {bond.words}" if bond.words else words))
    return where, goes


def _lines(
    alone: Sequence[Figure], inside: dict[str, list[Figure]], known: dict[str, Piece], where: dict[str, str],
    goes_with: dict[str, list[tuple[str, str]]], single_out: Decimal,
) -> list[ScheduleLine]:  # fmt: skip
    like, lines = [], []
    for one in alone:
        dear = one.amount is not None and one.amount >= single_out
        told = dear or one.insured is not None or known[one.tag].photograph or goes_with.get(one.tag)
        if one.kind == Item.TUBE and not told:
            like.append(one)
        else:
            holds = sorted(inside.get(one.tag, ()), key=lambda held: (held.kind, where.get(held.tag, "")))
            lines.append(_line(one, holds, known, where, goes_with.get(one.tag, [])))
    return [*lines, *_folded(like, known)]


def _line(
    one: Figure, holds: Sequence[Figure], known: dict[str, Piece], where: dict[str, str],
    goes_with: Sequence[tuple[str, str]],
) -> ScheduleLine:  # fmt: skip
    valued = [thing.amount for thing in holds if thing.counts and thing.amount is not None]
    held = sum(valued, NOTHING)
    own = one.amount if one.counts else None
    amount = None if own is None and not valued else (own or NOTHING) + held
    insured = [thing.insured for thing in (one, *holds) if thing.insured is not None]
    standing = {thing.tag for thing in holds}
    return ScheduleLine(
        (known[one.tag],), amount, sum(insured, NOTHING) if insured else None,
        tuple(_held(thing, known, where.get(thing.tag, ""), one.place) for thing in holds),
        held, tuple(dict.fromkeys(words for tag, words in goes_with if tag not in standing)),
    )  # fmt: skip


def _held(thing: Figure, known: dict[str, Piece], where: str, place: str) -> str:
    """What a set holds, or what belongs with it and is contained in its value, with its place where that differs."""
    elsewhere = f", in {thing.place}" if thing.place and thing.place != place else ""
    return f"{where} {known[thing.tag].name} {thing.tag}{elsewhere}".strip()


def _folded(figures: Iterable[Figure], known: dict[str, Piece]) -> list[ScheduleLine]:
    """Like things of one grade, place and value, each sort in one line."""
    like: dict[tuple[str, ...], list[Figure]] = defaultdict(list)
    for one in figures:
        like[known[one.tag].name, one.kind, one.grade, one.place, one.prices_of, str(one.amount)].append(one)
    return [
        ScheduleLine(
            tuple(known[one.tag] for one in some),
            None if some[0].amount is None else added(one.amount for one in some), None,
        )
        for some in like.values()
    ]  # fmt: skip


def _buildings(lines: Iterable[ScheduleLine], bare: Iterable[ScheduleLine]) -> tuple[Building, ...]:
    """Buildings by name, what is in no place last; in each by place and name."""
    of, bare_of = _by_building(lines), _by_building(bare)
    names = sorted({*of, *bare_of}, key=lambda one: (one == NO_PLACE, one))
    return tuple(Building(name, tuple(of.get(name, ())), tuple(bare_of.get(name, ()))) for name in names)


def _by_building(lines: Iterable[ScheduleLine]) -> dict[str, list[ScheduleLine]]:
    found: dict[str, list[ScheduleLine]] = defaultdict(list)
    for line in sorted(lines, key=lambda one: (one.first.figure.place, one.first.name, one.tags)):
        found[line.first.figure.place.partition(" / ")[0] or NO_PLACE].append(line)
    return found
