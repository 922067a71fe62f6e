"""What was paid for things, year by year, and what they are insured for, place by place. Nothing is converted."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import BooleanField, Count, Exists, ExpressionWrapper, F, OuterRef, Q, QuerySet, Sum

from inventory.figures.rules.parts import under
from inventory.figures.rules.years import Line, lines
from inventory.figures.rules.years import Sum as SumOf
from inventory.holdings.models import Item, Loan, Place
from inventory.holdings.queries.amounts import (
    UNREAD,
    UNSAID,
    UNWRITTEN,
    WHY_NOT,
    counted,
    not_counted,
    told_of,
)
from inventory.holdings.queries.coming import were_here, with_coming
from inventory.holdings.queries.paid import each
from inventory.holdings.rules.facts import INSURED, PAID


@dataclass(frozen=True, slots=True)
class NotIn:
    """What is in none of the sums, and why: so many prices of so many things (none, where none is written); ``here``:
    those of the things that are here, by kind.
    """

    reason: str
    prices: int
    things: int
    here: tuple[tuple[str, int], ...]

    @property
    def words(self) -> str:
        return WHY_NOT[self.reason]


@dataclass(frozen=True, slots=True)
class Money:
    """Sums by year or place and currency, and what is in none of them. ``names``: of the places, by number."""

    lines: tuple[Line, ...]
    not_in: tuple[NotIn, ...]
    names: dict[int, str]


def spent() -> Money:
    """What was paid for single things, those that have left too, by the year in which they were acquired (four
    queries). What was entered by mistake was never bought; a lot of parts has a price of its own, by the piece, the
    bag or the lot, and adds up to nothing.
    """
    things = with_coming(_told_whether_here(were_here(Item.objects.exclude(kind=Item.PARTS))))
    found = _sums(things, PAID, F("year_acquired"))
    return Money(lines(found), _not_in(things, PAID), {})


def insured(within: Place | None = None) -> Money:
    """What things of ours here are insured for, by the places directly inside one, each with all below it (seven
    queries). What is here on loan is its owner's to insure.
    """
    borrowed = Loan.objects.filter(way=Loan.IN, ended__isnull=True).order_by().values("item")
    things = _told_whether_here(Item.objects.filter(gone_on__isnull=True).exclude(pk__in=borrowed))
    parent_of = dict(Place.objects.order_by().values_list("pk", "parent"))
    found = _sums(things, INSURED, F("place"))
    top = within.pk if within else None
    told = [moved for one in found if (moved := _in_place(one, parent_of, top)) is not None]
    wanted = {one.of for one in told if one.of}
    names = {place.pk: place.path for place in Place.objects.filter(pk__in=wanted)}
    return Money(lines(told), _not_in(things, INSURED), names)


def _told_whether_here(things: QuerySet[Item]) -> QuerySet[Any]:
    here = ExpressionWrapper(Q(gone_on__isnull=True), output_field=BooleanField())
    return things.order_by().annotate(is_here=here)


def _in_place(one: SumOf, parent_of: dict[int, int | None], top: int | None) -> SumOf | None:
    """A sum as it counts in the place directly inside ``top`` that it lies in; None where it lies elsewhere."""
    if one.of is None:
        return None if top else one
    inside, directly = under({one.of: 1}, parent_of, top)
    if not inside and not directly:
        return None
    return SumOf(next(iter(inside), top), one.currency, one.kind, one.here, one.amount, one.prices, one.things)


def _sums(things: QuerySet[Any], about: str, of: Any) -> list[SumOf]:
    told = things.annotate(of=of).filter(facts__in=counted(about))
    rows = told.values_list("of", "facts__currency", "kind", "is_here").annotate(
        amount=Sum(each("facts__")), prices=Count("facts"), things=Count("pk", distinct=True)
    )
    return [
        SumOf(of, currency, kind, here, Decimal(str(amount)), prices, count)
        for of, currency, kind, here, amount, prices, count in rows.order_by()
    ]


def _not_in(things: QuerySet[Any], about: str) -> tuple[NotIn, ...]:
    found = [_bare(things.filter(~Exists(told_of(about).filter(item=OuterRef("pk")))))]
    for reason in (UNREAD, UNSAID):
        rows = things.filter(facts__in=not_counted(about, reason)).values_list("kind", "is_here")
        counts = rows.annotate(prices=Count("facts"), things=Count("pk", distinct=True)).order_by()
        found.append(_told(reason, counts))
    return tuple(one for one in found if one.things)


def _bare(things: QuerySet[Any]) -> NotIn:
    counts = things.values_list("kind", "is_here").annotate(things=Count("pk")).order_by()
    return _told(UNWRITTEN, ((kind, here, 0, many) for kind, here, many in counts))


def _told(reason: str, counts: Iterable[tuple[str, bool, int, int]]) -> NotIn:
    rows = list(counts)
    here = tuple(sorted((kind, many) for kind, is_here, _, many in rows if is_here))
    return NotIn(reason, sum(prices for *_, prices, _ in rows), sum(many for *_, many in rows), here)
