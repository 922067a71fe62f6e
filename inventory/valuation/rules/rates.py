"""Rates of exchange of a day: the euro reference rates, and the fixed ones of currencies that went into the euro.

A price of before 1999 in a currency that the euro took the place of at its beginning is restated by its fixed rate, as
the regulation does with amounts of money, and the rate says so; in any other currency it has no rate.
A day without a rate (weekend, holiday) takes the nearest published day before, at most ``FEW_DAYS`` before; that day
stands in the answer. What has no rate stays without one, with the reason: nothing is drawn on into other days.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from inventory.house.money import Money
from inventory.valuation.rules.remarks import NEWER

EURO, FEW_DAYS = "EUR", 7
NO_RATE_OF, RATES_END = "no rate of", "the rates that are here end on"  # how reasons begin, and what they name
ECB = "euro reference rate of the European Central Bank"
EURO_BEGAN = date(1999, 1, 1)
#: What one euro is in a currency on one day, as published; None where nothing was published.
Published = Callable[[str, date], Decimal | None]


@dataclass(frozen=True, slots=True)
class FixedRate:
    """One euro is ``per_euro`` of a former currency since a day, by a regulation."""

    currency: str
    per_euro: Decimal
    since: date
    regulation: str


@dataclass(frozen=True, slots=True)
class Rate:
    """One euro is ``per_euro`` of ``currency``, by what was published for the day ``on``; ``source`` names it."""

    currency: str
    per_euro: Decimal
    on: date
    source: str

    def __str__(self) -> str:
        return f"1 EUR = {self.per_euro:f} {self.currency}, {self.source}"


@dataclass(frozen=True, slots=True)
class Converted:
    """What an amount became, and the rates that it went by (none where the currency is the same)."""

    money: Money
    rates: tuple[Rate, ...] = ()


class NoRate(ValueError):
    """There is no rate; its text is the reason."""


def read_fixed(rows: Iterable[Mapping[str, str]]) -> dict[str, FixedRate]:
    """The rows of ``fixtures/reference/euro_fixed.csv`` by currency. Raises ValueError for one that cannot be read."""
    found = {}
    for row in rows:
        code = row["currency"]
        found[code] = FixedRate(code, Decimal(row["per_euro"]), date.fromisoformat(row["from"]), row["regulation"])
    return found


@dataclass(frozen=True)
class Rates:
    """Every rate that is known. ``last``: the last day of what is published here."""

    published: Published
    fixed: Mapping[str, FixedRate]
    last: date

    def rate(self, currency: str, on: date, most: int = FEW_DAYS) -> Rate:
        """The rate of a currency to the euro on a day, or of the nearest published day up to ``most`` days before.

        Raises NoRate with the reason.
        """
        if currency == EURO:
            return Rate(EURO, Decimal(1), on, "the euro itself")
        fixed = self.fixed.get(currency)
        if fixed and on >= fixed.since:
            return Rate(currency, fixed.per_euro, on, f"fixed since {fixed.since} by {fixed.regulation}")
        if fixed and fixed.since == EURO_BEGAN:  # what the euro took the place of at its beginning is restated by law
            told = f"fixed since {fixed.since} by {fixed.regulation}: a price of before, restated by it"
            return Rate(currency, fixed.per_euro, fixed.since, told)
        if on < EURO_BEGAN:
            raise NoRate(f"{NO_RATE_OF} {currency} for {on}: euro reference rates begin in January 1999")
        for back in range(most + 1):
            day = on - timedelta(days=back)
            if (found := self.published(currency, day)) is not None:
                return Rate(currency, found, day, f"{ECB} of {day}")
        told = f"{NO_RATE_OF} {currency} for {on}, nor for {most} days before"
        if on > self.last:
            told += f": {RATES_END} {self.last}"
        raise NoRate(told)

    def wanting(self, currency: str, on: date) -> str:
        """Why a sale in a currency on a day does not count in another one yet, or never; empty where it has a rate."""
        try:
            self.rate(currency, on)
        except NoRate as why:
            if on <= self.last or not self.published_still(currency):
                return f"{why}: it counts only in {currency}"
        else:
            return ""
        told = f"outside {currency} it will count once rates of that day are here"
        return f"{told}: they end on {self.last}; {NEWER}"

    def published_still(self, currency: str) -> bool:
        """Whether a currency has a rate where rates end, so that newer ones are to be looked for."""
        try:
            self.rate(currency, self.last)
        except NoRate:
            return False
        return True

    def factor(self, currency: str, to: str, on: date, most: int = FEW_DAYS) -> tuple[Decimal, tuple[Rate, ...]]:
        """What one of a currency is in another on a day, and the rates that this goes by. Raises NoRate."""
        if currency == to:
            return Decimal(1), ()
        one, other = self.rate(currency, on, most), self.rate(to, on, most)
        return other.per_euro / one.per_euro, tuple(rate for rate in (one, other) if rate.currency != EURO)

    def convert(self, money: Money, to: str, on: date, most: int = FEW_DAYS) -> Converted:
        """Money in another currency at the rates of a day, not rounded. Raises NoRate with the reason."""
        if money.currency == to:
            return Converted(money)
        one, other = self.rate(money.currency, on, most), self.rate(to, on, most)
        amount = money.amount * other.per_euro / one.per_euro  # in one go: exact where the quotient is
        return Converted(Money(amount, to), tuple(rate for rate in (one, other) if rate.currency != EURO))
