"""What a thing goes for, as answers tell it: fair range by grade, last sales, top price, and the verdict on a price."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from inventory.house.money import Money
from inventory.valuation.rules.asked_price import Range, weighed
from inventory.valuation.rules.bases import REPLACEMENT
from inventory.valuation.rules.top_price import End, Gap

GOOD, UNUSED = "used tested good", "unused"
GOOD_ONES = (GOOD, UNUSED, "unused boxed")  # of which the top price of a good one tells
NO_EVIDENCE = "no evidence of a sale, so no figure"


@dataclass(frozen=True, slots=True)
class Band:
    """What a tube of a grade goes for. ``interval``: eight in ten such sales; else the range of the few there are."""

    grade: str
    low: Money
    amount: Money
    high: Money
    interval: bool


@dataclass(frozen=True, slots=True)
class LastSale:
    """A sale that counts: ``price`` of one, with the buyer's premium, at the rate of its day.

    ``own``: which of the keeper's own purchases or sales it is; empty where it is somebody else's.
    """

    on: date
    venue: str
    grade: str
    price: Money
    own: str = ""


@dataclass(frozen=True, slots=True)
class Uncounted:
    """A sale as late as those that are told, which does not count: ``price`` of one as it was paid, and why."""

    on: date
    price: Money
    reason: str
    own: str = ""


@dataclass(frozen=True, slots=True)
class TopPrice:
    """What one may cost at most. ``band``: of a good one, delivered; ``comparables``: how many sales it rests on."""

    price: Money
    end: End
    reason: str
    band: Band
    gap: Gap
    comparables: int

    @property
    def text(self) -> str:
        """The reasons, in one sentence."""
        rests = f"{self.comparables} sale{'s' * (self.comparables != 1)}"
        of = "where eight in ten sales lie" if self.band.interval else "the range of its sales"
        told = f"{self.band.low.figure} to {self.band.high.figure}, {of} ({rests}), {GOOD}, delivered"
        return f"{self.reason}: the {self.end} of {told}"

    def as_dict(self) -> dict[str, Any]:
        return {
            "top_price": self.price.figure, "currency": self.price.currency, "end": str(self.end), "text": self.text,
            "low": self.band.low.figure, "amount": self.band.amount.figure, "high": self.band.high.figure,
            "interval": self.band.interval, "comparables": self.comparables, "basis": REPLACEMENT,
            "positions": self.gap.positions, "wanting": self.gap.wanting, "good_spares": self.gap.spares,
        }  # fmt: skip


@dataclass(frozen=True, slots=True)
class Going:
    """What one type goes for. ``bands``: fair, of a good used one and an unused one; none without evidence.

    A set, unit or book has one band, of the commonest grade of its own evidence, and no top price. ``grade``: the one
    that was asked for, of which the band then is.
    """

    name: str
    currency: str
    comparables: int
    bands: tuple[Band, ...]
    top: TopPrice | None
    last: tuple[LastSale, ...] = ()
    uncounted: tuple[Uncounted, ...] = ()
    grade: str = ""

    @property
    def no_range(self) -> str:
        """Why there is no fair range: no sale, or none that tells what the grade that was asked for fetches."""
        if self.comparables:
            return f"the evidence does not tell what {self.grade or 'working'} ones fetch"
        return NO_EVIDENCE

    @property
    def range_text(self) -> str:
        """The fair range in a line; empty without evidence."""
        if not self.bands:
            return ""
        told = [f"{band.low.figure} to {band.high.figure} {self.currency} {band.grade}".rstrip() for band in self.bands]
        if len(self.bands) > 1 and _alike(*self.bands):
            told = [f"{self.bands[0].low.figure} to {self.bands[0].high.figure} {self.currency}, good or unused"]
        of = f"{self.comparables} sale{'s' * (self.comparables != 1)}"
        return f"{'; '.join(told)} ({f'8 in 10 of {of}' if self.bands[0].interval else f'range of {of}'})"

    @property
    def last_text(self) -> str:
        """The last sales in a line; empty where there are none."""
        return "; ".join(
            ", ".join(
                filter(None, (" ".join(filter(None, (f"{one.on}", one.venue, str(one.price)))), one.grade, one.own))
            )
            for one in self.last
        )

    @property
    def uncounted_text(self) -> str:
        """The latest sales that do not count, with the reason of each; empty where there are none."""
        return "; ".join(
            f"{one.on} {one.price}{f', {one.own}' if one.own else ''}: {one.reason}" for one in self.uncounted
        )

    def verdict(self, price: Money) -> str:
        """What a price in this currency is beside the fair range of each grade, and beside the top price."""
        if not self.bands:
            return f"{price}: {self.no_range}, and no verdict."
        ranges = [Range(_one_of(band.grade), band.low.amount, band.high.amount) for band in self.bands]
        if len(self.bands) > 1 and _alike(*self.bands):
            ranges = [Range("a good or unused one", ranges[0].low, ranges[0].high)]
        told = weighed(price, ranges)
        if not self.bands[0].interval:
            told += f" That range is of {self.comparables} sale{'s' * (self.comparables != 1)} only."
        if self.grade and self.grade not in GOOD_ONES:
            return f"{told} The top price is of a {GOOD} one, and says nothing of it." if self.top else told
        if self.top and price.rounded > self.top.price:
            told += f" It is {price.rounded - self.top.price} above the top price of {self.top.price}."
        elif self.top:
            told += f" It is not above the top price of {self.top.price}."
        return told

    def as_dict(self) -> dict[str, Any]:
        why = NO_EVIDENCE if self.bands else self.no_range
        return {
            "type": self.name, "currency": self.currency, "comparables": self.comparables,
            "fair": [
                {"grade": band.grade, "low": band.low.figure, "amount": band.amount.figure, "high": band.high.figure,
                 "interval": band.interval}
                for band in self.bands
            ],
            "last": [
                {"date": str(one.on), "venue": one.venue or None, "grade": one.grade or None,
                 "price": one.price.figure, "currency": one.price.currency, "own": one.own or None}
                for one in self.last
            ],
            "latest_left_out": [
                {"date": str(one.on), "price": one.price.figure, "currency": one.price.currency,
                 "reason": one.reason, "own": one.own or None}
                for one in self.uncounted
            ],
        } | (self.top.as_dict() if self.top else {"top_price": None, "text": why})  # fmt: skip


def _one_of(grade: str) -> str:
    return f"{'an' if grade.startswith(UNUSED) else 'a'} {grade} one" if grade else "one"


def _alike(one: Band, other: Band) -> bool:
    return (one.low, one.high) == (other.low, other.high)
