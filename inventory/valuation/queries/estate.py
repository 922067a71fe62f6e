"""The estate list: what there is, for somebody who has to deal with it and does not know such things."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cached_property
from typing import Any

from inventory.holdings.models import Item, Loan
from inventory.holdings.rules.hazard_kinds import HazardKind
from inventory.holdings.rules.hazard_words import kinds_named
from inventory.valuation.models import Contact, Promise
from inventory.valuation.queries.belonging import STANDS_IN, Bond, bonds_on
from inventory.valuation.queries.on_paper import Piece, borrowed_told, on_loan_here, pieces
from inventory.valuation.queries.promises import Askable, askable, promised_by_tag
from inventory.valuation.queries.stated import Figure, Stated
from inventory.valuation.queries.things import NO_PLACE
from inventory.valuation.queries.worth import added, told_amount


@dataclass(frozen=True, slots=True)
class EstateLine:
    """A thing, or like tubes of one place. Amounts are of all of it, of a set with what stands in it that counts by
    itself; None without evidence. ``sales``: comparables, at least.

    ``itself``: whether the thing has evidence of its own. ``holds``: what stands in it. ``with_it``: what belongs with
    it. ``hazards``: words of what can hurt, of what stands in it too. ``held_promised``: what of that is promised.
    """

    pieces: tuple[Piece, ...]
    amount: Decimal | None
    low: Decimal | None
    high: Decimal | None
    sales: int
    itself: bool
    holds: tuple[str, ...] = ()
    with_it: tuple[str, ...] = ()
    hazards: tuple[str, ...] = ()
    promise: Promise | None = None
    held_promised: tuple[tuple[Piece, Promise], ...] = ()
    ask: tuple[Contact, ...] = ()

    @property
    def first(self) -> Piece:
        return self.pieces[0]

    @property
    def tags(self) -> tuple[str, ...]:
        return tuple(one.tag for one in self.pieces)

    @property
    def place(self) -> str:
        return self.first.figure.place

    @property
    def lent_to(self) -> str:
        """With whom it is; empty of what is gone for good."""
        return "" if self.left else str(self.first.item.lent_to)

    @property
    def left(self) -> bool:
        """Whether it left the collection since it was valued."""
        return self.first.item.gone_on is not None

    def as_dict(self) -> dict[str, Any]:
        first = self.first
        return {
            "tags": list(self.tags), "count": len(self.pieces), "what": first.name, "kind": first.figure.kind,
            "serial": first.serial or None, "place": self.place or None, "lent_to": self.lent_to or None,
            "value": told_amount(self.amount), "low": told_amount(self.low), "high": told_amount(self.high),
            "away": first.away or None, "in_value_of": first.figure.part_of or None, "sales": self.sales,
            "holds": list(self.holds), "belongs_with": list(self.with_it),
            "hazards": list(self.hazards), "promised_to": self.promise.to if self.promise else None,
            "promised_in_it": [{"tag": one.tag, "what": one.name, "to": row.to} for one, row in self.held_promised],
            "ask": [one.name for one in self.ask],
        }  # fmt: skip


@dataclass(frozen=True)
class Estate:
    """The list. ``borrowed``: what is here on loan, which nobody inherits. ``marked``: hazards that things bear, with
    how many. ``gone``: tags of what an appraisal values, and is here no more.
    """

    stated: Stated
    borrowed: tuple[tuple[Loan, Piece], ...]
    lines: tuple[EstateLine, ...]
    marked: tuple[tuple[HazardKind, int], ...]
    ask: Askable
    gone: frozenset[str] = frozenset()

    @property
    def lent(self) -> list[EstateLine]:
        return [line for line in self.lines if line.lent_to]

    @property
    def left(self) -> list[EstateLine]:
        """What an appraisal values, and is here no more."""
        return [line for line in self.lines if line.left]

    @cached_property
    def here(self) -> list[Figure]:
        """What has an amount that counts, and has not left since it was valued."""
        return [one for one in self.stated.counted if one.tag not in self.gone]

    @property
    def promised(self) -> list[EstateLine]:
        return [line for line in self.lines if line.promise and not line.left]

    @property
    def promises(self) -> list[tuple[Piece, tuple[str, ...], Promise]]:
        """What is promised, its tags, to whom; what stands in sets too."""
        found = [(line.first, line.tags, line.promise) for line in self.promised if line.promise]
        return found + [(one, (one.tag,), row) for line in self.lines for one, row in line.held_promised]

    @property
    def buildings(self) -> dict[str, list[EstateLine]]:
        """By building, what is in no place last; what is lent is with whoever has it, what left is gone."""
        found: dict[str, list[EstateLine]] = defaultdict(list)
        for line in self.lines:
            if not line.lent_to and not line.left:
                found[line.place.partition(" / ")[0] or NO_PLACE].append(line)
        return dict(sorted(found.items(), key=lambda pair: (pair[0] == NO_PLACE, pair[0])))

    def as_dict(self) -> dict[str, Any]:
        return {
            "total": told_amount(self.stated.total), "low": told_amount(self.stated.low),
            "high": told_amount(self.stated.high),
            "total_here": told_amount(added(one.amount for one in self.here)),
            "low_here": told_amount(added(one.low for one in self.here)),
            "high_here": told_amount(added(one.high for one in self.here)),
            "not_ours": [borrowed_told(loan, piece) for loan, piece in self.borrowed],
            "left": [line.as_dict() for line in self.left],
            "lent": [line.as_dict() for line in self.lent],
            "buildings": [
                {"building": name, "lines": [line.as_dict() for line in lines]}
                for name, lines in self.buildings.items()
            ],
            "hazards": [{"hazard": kind.words, "things": count, "care": kind.usual} for kind, count in self.marked],
            "ask": [
                {"name": one.name, "reach": one.reach, "about": one.about, "for": one.knows or None}
                for one in self.ask.contacts
            ],
        }  # fmt: skip


def estate(found: Stated, today: date) -> Estate:
    """The list of a valuation, in a fixed number of queries."""
    on_loan = on_loan_here(found.place)
    foreign = [one for _, one in on_loan]
    known = pieces((*found.figures, *foreign))
    figures = [one for one in found.figures if one.tag in known]
    bonds, ask = bonds_on(today).of(), askable()
    promises = promised_by_tag(known)
    there = {one.tag for one in figures}
    inside: dict[str, list[Figure]] = defaultdict(list)
    alone: list[Figure] = []
    for one in figures:
        (inside[one.within] if one.within in there else alone).append(one)
    lines = [
        _line(some, inside.get(some[0].tag, []), known, bonds, promises, ask)
        for some in _folded(alone, known, bonds, promises, ask)
    ]
    order = sorted(lines, key=lambda line: (line.place, _rank(line), line.first.name, line.tags))
    borrowed = tuple((loan, known[one.tag]) for loan, one in on_loan if one.tag in known)
    gone = frozenset(one.tag for one in figures if known[one.tag].item.gone_on)
    return Estate(found, borrowed, tuple(order), _marked(known[one.tag] for one in (*figures, *foreign)), ask, gone)


def _folded(
    figures: Sequence[Figure], known: dict[str, Piece], bonds: dict[str, list[tuple[str, Bond]]],
    promises: dict[str, Promise], ask: Askable,
) -> list[list[Figure]]:  # fmt: skip
    """Like tubes of one grade and place together, all else by itself; what is promised, away, known to somebody or
    belongs with something is told by itself too, and what is contained in the worth of a set apart from what is not.
    """
    like: dict[tuple[str, ...], list[Figure]] = defaultdict(list)
    for one in figures:
        piece = known[one.tag]
        told = one.tag in promises or one.tag in bonds or piece.item.pk in ask.of_item or piece.away
        alike = (piece.name, one.grade, one.place, one.prices_of, str(one.amount), one.part_of)
        key = (one.tag,) if told or one.kind != Item.TUBE else alike
        like[key].append(one)
    return list(like.values())


def _line(
    some: Sequence[Figure], holds: Sequence[Figure], known: dict[str, Piece],
    bonds: dict[str, list[tuple[str, Bond]]], promises: dict[str, Promise], ask: Askable,
) -> EstateLine:  # fmt: skip
    first = some[0]
    valued = [one for one in (*some, *holds) if one.counts and one.amount is not None]
    amount, low, high = (
        added(getattr(one, name) for one in valued) if valued else None for name in ("amount", "low", "high")
    )
    marks = {other: bond.words for other, bond in bonds.get(first.tag, ()) if bond.sort == STANDS_IN}
    held = sorted(holds, key=lambda one: (one.kind, marks.get(one.tag, "")))
    with_it = dict.fromkeys(
        f"{known[other].name} {other}"
        for other, bond in bonds.get(first.tag, ())
        if bond.sort != STANDS_IN and other in known and other not in {one.tag for one in holds}
    )
    of_held = (row for one in held for row in ask.of_item.get(known[one.tag].item.pk, ()))
    hazards = dict.fromkeys(word for one in (*some, *holds) for word in known[one.tag].hazards)
    return EstateLine(
        tuple(known[one.tag] for one in some), amount, low, high, min((one.comparables for one in valued), default=0),
        first.amount is not None,
        tuple(f"{marks.get(one.tag, '')} {known[one.tag].name}".strip() for one in held), tuple(with_it),
        tuple(hazards), promises.get(first.tag),
        tuple((known[one.tag], promises[one.tag]) for one in held if one.tag in promises),
        tuple(dict.fromkeys((*ask.about(known[first.tag].item.pk, first.kind, first.place), *of_held))),
    )  # fmt: skip


def _rank(line: EstateLine) -> int:
    """Sets first, then what belongs with sets, then tubes, then parts."""
    order = (Item.CHASSIS, Item.UNIT, Item.COMPANION, Item.TUBE, Item.PARTS)
    kind = line.first.figure.kind
    return order.index(kind) if kind in order else len(order)


def _marked(every: Iterable[Piece]) -> tuple[tuple[HazardKind, int], ...]:
    """Hazards that marks and cautions of things name, with how many things bear each; the most first."""
    count: dict[HazardKind, int] = defaultdict(int)
    for piece in every:
        for kind in {kind for text in piece.hazards for kind in kinds_named(text)}:
            count[kind] += 1
    return tuple(sorted(count.items(), key=lambda pair: (-pair[1], pair[0].words)))
