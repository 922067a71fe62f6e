"""The insurance schedule: every thing owned, building by building, with what an insurer asks of it.

What an insurer asks (maker, type, serial, condition, completeness, what goes with it, photograph, proof or date of
purchase, replacement value with its date, the building): common practice, no source.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory.holdings.models import Item
from inventory.valuation.queries.belonging import STANDS_IN, bonds_on
from inventory.valuation.queries.on_paper import Piece, on_loan_here, pieces
from inventory.valuation.queries.schedule_lines import Building, Schedule, ScheduleLine
from inventory.valuation.queries.stated import Figure, Stated
from inventory.valuation.queries.things import NO_PLACE
from inventory.valuation.queries.worth import NOTHING, added
from inventory.valuation.rules.cover import Cover, Valued, by_tag

SINGLED_OUT = Decimal(100)  # worth so much, a tube has a line of its own, where nothing else is asked


@dataclass(frozen=True, slots=True)
class _Known:
    """What is known of all things, by tag: what papers say of them, in which mark or bay they stand, what else belongs
    with them (its tag, and in words), what stands in them, and their cover.
    """

    pieces: dict[str, Piece]
    where: dict[str, str]
    goes_with: dict[str, list[tuple[str, str]]]
    inside: dict[str, list[Figure]]
    covers: dict[str, Valued]


def schedule(found: Stated, today: date, *, single_out: Decimal = SINGLED_OUT) -> Schedule:
    """The schedule of a valuation, in a fixed number of queries."""
    borrowed = on_loan_here(found.place)
    known = pieces((*found.figures, *(one for _, one in borrowed)))
    figures = [one for one in found.figures if one.tag in known]
    inside: dict[str, list[Figure]] = defaultdict(list)
    alone: list[Figure] = []
    there = {one.tag for one in figures}
    for one in figures:
        (inside[one.within] if one.within in there else alone).append(one)
    covers = by_tag((one.tag, one.part_of, one.amount, one.insured) for one in figures)
    every = _Known(known, *_bonds(today, known), inside, covers)
    lines = _lines(alone, every, single_out)
    held = (one for holder in alone for one in inside.get(holder.tag, ()))
    bare = _folded((one for one in held if one.counts and one.amount is None), known)
    return Schedule(
        found, single_out, _buildings(lines, bare),
        tuple((loan, known[one.tag]) for loan, one in borrowed if one.tag in known),
    )  # fmt: skip


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


def _lines(alone: Sequence[Figure], every: _Known, single_out: Decimal) -> list[ScheduleLine]:
    like, lines = [], []
    for one in alone:
        piece = every.pieces[one.tag]
        dear = one.amount is not None and one.amount >= single_out
        told = dear or one.insured is not None or every.goes_with.get(one.tag)
        if one.kind == Item.TUBE and not (told or piece.photograph or piece.proofs):
            like.append(one)
        else:
            lines.append(_line(one, every))
    return [*lines, *_folded(like, every.pieces)]


def _line(one: Figure, every: _Known) -> ScheduleLine:
    where = every.where
    holds = sorted(every.inside.get(one.tag, ()), key=lambda held: (held.kind, where.get(held.tag, "")))
    valued = [thing.amount for thing in holds if thing.counts and thing.amount is not None]
    held = sum(valued, NOTHING)
    own = one.amount if one.counts else None
    amount = None if own is None and not valued else (own or NOTHING) + held
    insured = [thing.insured for thing in (one, *holds) if thing.insured is not None]
    standing = {thing.tag for thing in holds}
    return ScheduleLine(
        (every.pieces[one.tag],), amount, sum(insured, NOTHING) if insured else None,
        tuple(_held(thing, every.pieces, where.get(thing.tag, ""), one.place) for thing in holds), held,
        tuple(dict.fromkeys(words for tag, words in every.goes_with.get(one.tag, ()) if tag not in standing)),
        Cover(tuple(every.covers[thing.tag] for thing in (one, *holds) if thing.tag in every.covers)),
    )  # fmt: skip


def _held(thing: Figure, known: dict[str, Piece], where: str, place: str) -> str:
    """What a set holds, or what belongs with it and is contained in its value, with its place where that differs."""
    elsewhere = f", in {thing.place}" if thing.place and thing.place != place else ""
    return f"{where} {known[thing.tag].name} {thing.tag}{elsewhere}".strip()


def _folded(figures: Iterable[Figure], known: dict[str, Piece]) -> list[ScheduleLine]:
    """Like things of one grade, place, value and price paid, each sort in one line. What is contained in the value
    of a set, what is lent, lost or gone is none of those that are not.
    """
    like: dict[tuple[str, ...], list[Figure]] = defaultdict(list)
    for one in figures:
        piece = known[one.tag]
        like[
            piece.name, one.kind, one.grade, one.place, one.prices_of, str(one.amount), one.part_of, piece.away,
            piece.paid,
        ].append(one)  # fmt: skip
    lines = []
    for some in like.values():
        counts = some[0].counts and some[0].amount is not None
        covers = (Valued(one.amount, one.insured) for one in some if one.counts)
        amount = added(one.amount for one in some) if counts else None
        lines.append(ScheduleLine(tuple(known[one.tag] for one in some), amount, None, cover=Cover(tuple(covers))))
    return lines


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
