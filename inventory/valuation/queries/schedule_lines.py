"""The insurance schedule as an answer: lines, buildings, totals, what is insured beside what it is worth."""

from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from typing import Any

from inventory.holdings.models import Loan
from inventory.valuation.queries.on_paper import Piece, borrowed_told
from inventory.valuation.queries.stated import Stated
from inventory.valuation.queries.worth import NOTHING, added, told_amount
from inventory.valuation.rules.cover import Cover, joined

NO_COVER = Cover(())


@dataclass(frozen=True, slots=True)
class ScheduleLine:
    """A thing, or like tubes of one place told in one line.

    ``amount`` is of all of it: of a set with what stands in it. None without evidence. ``holds``: what stands in it;
    ``held``: what of the amount that is worth by itself. ``goes_with``: what belongs with it and stands elsewhere.
    ``cover``: what of it is valued beside what that is insured for; what is contained in its value is insured with it.
    """

    pieces: tuple[Piece, ...]
    amount: Decimal | None
    insured: Decimal | None
    holds: tuple[str, ...] = ()
    held: Decimal = NOTHING
    goes_with: tuple[str, ...] = ()
    cover: Cover = NO_COVER

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
        one = self.first.figure
        return None if one.amount is None or not one.counts else (self.amount or NOTHING) - self.held

    @property
    def acquired(self) -> str:
        """How it came; of several things only where all came so."""
        return self.first.acquired if len({one.acquired for one in self.pieces}) == 1 else ""

    @property
    def gap(self) -> Decimal | None:
        """What it is insured for beyond its value; below zero it is under-insured. None where either is not known, and
        of a set that has no evidence of its own.
        """
        if self.itself is None or not self.cover.compared:
            return None
        return self.cover.over - self.cover.under

    def as_dict(self) -> dict[str, Any]:
        first = self.first
        return {
            "tags": list(self.tags), "count": len(self.pieces), "what": first.name, "kind": first.figure.kind,
            "maker": first.maker or None, "serial": first.serial or None, "grade": first.figure.grade or None,
            "condition": first.condition or None, "holds": list(self.holds), "goes_with": list(self.goes_with),
            "place": first.figure.place or None, "away": first.away or None, "acquired": self.acquired or None,
            "paid": first.paid or None, "papers": list(first.proofs), "photograph": first.photograph is not None,
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

    @cached_property
    def cover(self) -> Cover:
        return joined(line.cover for line in self.every)

    @property
    def gap(self) -> Decimal:
        """What is insured beyond the value, of all that can be compared, less what is under-insured."""
        return self.cover.over - self.cover.under

    def as_dict(self) -> dict[str, Any]:
        return {
            "building": self.name, "total": told_amount(self.amount), "insured": told_amount(self.insured),
            "gap": told_amount(self.gap), **_cover_told(self.cover), "lines": [line.as_dict() for line in self.lines],
        }  # fmt: skip


@dataclass(frozen=True)
class Schedule:
    """The schedule. ``singled_out``: a tube worth so much has a line of its own.

    ``borrowed``: what is here on loan and not ours; it is in no sum.
    """

    stated: Stated
    singled_out: Decimal
    buildings: tuple[Building, ...]
    borrowed: tuple[tuple[Loan, Piece], ...] = ()

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

    @cached_property
    def cover(self) -> Cover:
        return joined(building.cover for building in self.buildings)

    def as_dict(self) -> dict[str, Any]:
        return {
            "total": told_amount(self.total), "insured": told_amount(self.insured),
            "gap": told_amount(self.cover.over - self.cover.under), **_cover_told(self.cover),
            "single_out": told_amount(self.singled_out),
            "buildings": [building.as_dict() for building in self.buildings],
            "without_evidence_lines": [line.as_dict() for line in self.without],
            "not_ours": [borrowed_told(loan, piece) for loan, piece in self.borrowed],
        }  # fmt: skip


def _cover_told(cover: Cover) -> dict[str, Any]:
    return {
        "under_insured": told_amount(cover.under), "not_insured": told_amount(cover.not_insured),
        "over_insured": told_amount(cover.over), "insured_not_compared": told_amount(added(cover.not_compared)),
    }  # fmt: skip
