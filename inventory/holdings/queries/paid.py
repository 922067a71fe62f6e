"""What was paid for things, of one piece, in the money that it was paid in: in sums, filters and orders alike.

Nothing is converted, and only what is known counts: a price that a list says of a row of several things may be of each
or of all of them, and is left out where nobody said which. Sums tell how many prices are not in them, and why.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from django.db.models import Case, Count, DecimalField, F, Q, QuerySet, Sum, Value, When
from django.db.models.functions import Cast, NullIf, Round

from inventory.holdings.models import Fact
from inventory.holdings.queries.coming import never_there
from inventory.holdings.rules import facts as rule
from inventory.holdings.rules.prices import EACH, LOT, ROW
from inventory.house.lists_out import ListOut

ADDS_UP = ("tubes", "chassis", "units", "companions")  # lists of single things; a lot of parts has a price of its own
CENT = Decimal("0.01")
PLACES = 6  # of decimals, as the figure of a fact has them
NO_CURRENCY = "no currency"
UNSAID, UNREAD = "not said for how many", "not read"


def _alone(way: str) -> Q:
    """Said of one thing: so it was written, or somebody entered it on the page of the thing."""
    unsaid = Q(**{f"{way}per": ""})
    return Q(**{f"{way}per": EACH}) | unsaid & (Q(**{f"{way}from_list": False}) | Q(**{f"{way}of_count": 1}))


def _shared(way: str) -> Q:
    """Said of several things together, of so many."""
    return Q(**{f"{way}per__in": (LOT, ROW), f"{way}of_count__gt": 0})


def for_one(way: str = "") -> Q:
    """A condition on facts: it is known what one piece comes to, where the figure was read."""
    return _alone(way) | _shared(way)


def each(way: str = "") -> Case:
    """The price of one piece; NULL where it is not known. ``way``: what leads from the rows to the fact."""
    money = DecimalField(max_digits=24, decimal_places=12)
    # SQLite divides whole ones as integers, and others in binary: 0.30 for 3 is 0.10 to the places that a price has.
    share = Round(Cast(F(f"{way}value") * 1.0 / F(f"{way}of_count"), money), precision=PLACES)
    return Case(When(_alone(way), then=F(f"{way}value")), When(_shared(way), then=share), output_field=money)


@dataclass
class Paid:
    """What was paid: sums by currency, not rounded, and how many prices are not in them, by the reason."""

    sums: dict[str, Decimal] = field(default_factory=lambda: defaultdict(Decimal))
    left: dict[str, int] = field(default_factory=lambda: defaultdict(int))

    def add(self, other: "Paid") -> None:
        for currency, amount in other.sums.items():
            self.sums[currency] += amount
        for reason, many in other.left.items():
            self.left[reason] += many

    @property
    def words(self) -> str:
        """Sums by currency: ``120.00 USD, 35.00 EUR``."""
        told = ((currency or NO_CURRENCY, amount) for currency, amount in sorted(self.sums.items()))
        return ", ".join(f"{amount.quantize(CENT):,} {currency}" for currency, amount in told)

    @property
    def not_in_it(self) -> str:
        """How many prices are not in the sum, and why; empty where all are."""
        return ", ".join(f"{many} {reason}" for reason, many in sorted(self.left.items()) if many)

    def as_dict(self) -> dict[str, Any]:
        """``{"sums":{"USD":"120.00"},"not_counted":{"not read":1}}``."""
        sums = {currency: f"{amount.quantize(CENT)}" for currency, amount in sorted(self.sums.items())}
        return {"sums": sums, "not_counted": {reason: many for reason, many in sorted(self.left.items()) if many}}


def adds_up(one: ListOut) -> bool:
    """Whether prices of the rows of a list add up to what was paid for them."""
    return one.name in ADDS_UP


def paid_for(rows: QuerySet[Any], path: str) -> dict[Any, Paid]:
    """What was paid for things, by what a path leads to (one query). What was entered by mistake was never bought."""
    way = "item__facts__"
    paid = rows.order_by().exclude(never_there("item__")).filter(**{f"{way}about": rule.PAID, f"{way}struck": ""})
    read = Q(**{f"{way}value__isnull": False})
    known = for_one(way)
    by = paid.annotate(grouped=NullIf(F(path), Value(""))).values_list("grouped", f"{way}currency")
    told = by.annotate(
        total=Sum(each(way), filter=read), counted=Count("pk", filter=read & known),
        unsaid=Count("pk", filter=read & ~known), unread=Count("pk", filter=~read),
    ).order_by(f"{way}currency")  # fmt: skip
    found: dict[Any, Paid] = defaultdict(Paid)
    for value, currency, total, counted, unsaid, unread in told:
        one = found[value]
        if counted:
            one.sums[currency] += Decimal(str(total))
        one.left[UNSAID] += unsaid
        one.left[UNREAD] += unread
    return found


def all_paid(parts: Iterable[Paid]) -> Paid:
    """Several of them together."""
    every = Paid()
    for one in parts:
        every.add(one)
    return every


def moneys_paid() -> list[str]:
    """The currencies in which prices paid stand (one query)."""
    paid = Fact._base_manager.filter(about=rule.PAID, struck="", value__isnull=False).order_by("currency")
    return list(paid.values_list("currency", flat=True).distinct())
