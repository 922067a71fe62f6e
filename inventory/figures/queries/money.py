"""What was paid for things, year by year, and what they are insured for, place by place. Nothing is converted."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import BooleanField, Count, ExpressionWrapper, F, OuterRef, Q, QuerySet, Subquery, Sum

from inventory.figures.rules.parts import under
from inventory.figures.rules.years import Line, lines
from inventory.figures.rules.years import Sum as SumOf
from inventory.holdings.models import Item, Place
from inventory.holdings.queries.amounts import WHY_NOT, counted, why_not
from inventory.holdings.queries.coming import with_coming
from inventory.holdings.rules.facts import INSURED, PAID

HUNDREDTH = Decimal("0.01")
NO_PLACE, IN_A_SET = 0, -1  # in the place of the number of one


@dataclass(frozen=True, slots=True)
class NotIn:
    """Things whose money is in none of the sums, and why; ``here``: those of them that are here, by kind."""

    reason: str
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
    queries). Lots of parts have prices by the piece, the bag or the lot, which do not add up.
    """
    things = with_coming(_told_whether_here(Item.objects.exclude(kind=Item.PARTS)))
    found = _sums(things, PAID, F("year_acquired"))
    return Money(lines(found), _not_in(things, PAID), {})


def insured(within: Place | None = None) -> Money:
    """What things here are insured for, by the places directly inside one, each with all below it (seven queries)."""
    things = _told_whether_here(Item.objects.filter(gone_on__isnull=True))
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
    return SumOf(next(iter(inside), top), one.currency, one.kind, one.here, one.amount, one.things)


def _sums(things: Any, about: str, of: Any) -> list[SumOf]:
    facts: Any = counted(about).filter(item=OuterRef("pk"))
    told = things.annotate(
        of=of, amount=Subquery(facts.values("each")[:1]), in_currency=Subquery(facts.values("currency")[:1])
    ).filter(amount__isnull=False)
    rows = told.values_list("of", "in_currency", "kind", "is_here").annotate(Sum("amount"), Count("pk"))
    return [
        SumOf(of, currency, kind, here, Decimal(str(amount)).quantize(HUNDREDTH), count)
        for of, currency, kind, here, amount, count in rows
    ]


def _not_in(things: Any, about: str) -> tuple[NotIn, ...]:
    found = []
    for reason in WHY_NOT:
        rows: Iterable[Any] = things.filter(why_not(about, reason)).values_list("kind", "is_here")
        here: dict[str, int] = defaultdict(int)
        every = 0
        for kind, is_here, count in rows.annotate(Count("pk")):  # type: ignore[attr-defined]
            every += count
            if is_here:
                here[kind] += count
        if every:
            found.append(NotIn(reason, every, tuple(sorted(here.items()))))
    return tuple(found)
