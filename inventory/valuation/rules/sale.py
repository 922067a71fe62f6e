"""A price as an estimate needs it: what, when, in which grade, how much for one, in which money; and whether it counts.

A price in another currency goes by the rates of its own day. Told as of today's price level, it goes through US
dollars: at the rate of its day into dollars, by CPI-U to the month of the valuation, and from dollars at the last rate
before the valuation date. What lacks a rate or an index is left out with the reason.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory.house.money import Money
from inventory.valuation.rules import words
from inventory.valuation.rules.evidence import NO_DAY, REASONS
from inventory.valuation.rules.price_level import CURRENCY, SERIES, PriceLevel, adjusted
from inventory.valuation.rules.rates import Rates

#: Days that the last rate before the valuation date may lie back; it is named in the answer.
OF_THE_VALUATION = 92
OWN = "own"


@dataclass(frozen=True, slots=True)
class Sale:
    """One piece of evidence. ``row`` is its number among the price evidence, None for the keeper's own (``own``).

    ``type``, ``set_model``, ``unit_model`` and ``companion`` are names, one of them at most is not empty; ``money`` is
    for all of ``quantity``; ``each`` and ``postage_each`` are for one, the first with the buyer's premium.
    ``where_from`` says where it is kept. ``on``: None of a purchase of which no day is told: it never counts.
    """

    row: int | None
    on: date | None
    designation: str
    type: str
    set_model: str
    grade: str
    kind: str
    venue: str
    money: Money
    quantity: int
    each: Money
    postage_each: Money | None = None
    premium_pct: Decimal | None = None
    arms_length: str = words.UNKNOWN
    own: bool = False
    source: str = ""
    note: str = ""
    where_from: str = ""
    unit_model: str = ""
    companion: str = ""

    @property
    def name(self) -> str:
        """How answers name it: the number of its row, or the thing that it was paid for."""
        return self.where_from if self.row is None else str(self.row)


@dataclass(frozen=True, slots=True)
class Brought:
    """A sale in the money of an answer: ``price`` and ``postage`` for one, or ``reason`` why there is no such price.

    ``by``: the rates and indexes that it went by, in words.
    """

    sale: Sale
    price: Decimal | None
    postage: Decimal | None = None
    by: tuple[str, ...] = ()
    reason: str = ""


@dataclass(frozen=True)
class Exchange:
    """What prices are brought into: a currency, at a valuation date, in money of the day or (``real``) of that date."""

    currency: str
    on: date
    rates: Rates
    level: PriceLevel | None = None

    @property
    def real(self) -> bool:
        return self.level is not None

    def brought(self, sale: Sale) -> Brought:
        """One sale in that money, not rounded."""
        if sale.on is None:
            return Brought(sale, None, reason=REASONS[NO_DAY])
        try:
            factor, by = self.factor(sale.each.currency, sale.on)
        except ValueError as why:
            return Brought(sale, None, reason=str(why))
        postage = sale.postage_each.amount * factor if sale.postage_each else None
        return Brought(sale, sale.each.amount * factor, postage, by())

    def factor(self, currency: str, day: date) -> tuple[Decimal, Callable[[], tuple[str, ...]]]:
        """What one of a currency on a day is in the money of the answer, and by what, in words when asked for.

        Raises ValueError where there is no rate or index.
        """
        if self.level is None:
            factor, rates = self.rates.factor(currency, self.currency, day)
            return factor, lambda: tuple(map(str, rates))
        into, rates = self.rates.factor(currency, CURRENCY, day)
        then, now = self.level.at(day), self.level.at(self.on)
        out, more = self.rates.factor(CURRENCY, self.currency, self.on, OF_THE_VALUATION)
        told = f"CPI-U {SERIES}, {then} to {now}"
        return adjusted(into, then.value, now.value) * out, lambda: (*map(str, rates), told, *map(str, more))
