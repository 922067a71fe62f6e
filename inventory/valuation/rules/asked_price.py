"""A price that is asked beside what it is asked for: read off the end of a text, and weighed against ranges.

How prices are called out at a fair ("25 EUR", "4 for 60 EUR"): common practice, no source.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from inventory.holdings.rules.prices import MONEY, read_price
from inventory.house.currencies import is_currency
from inventory.house.money import Money

BELOW, WITHIN, ABOVE = "below", "within", "above"
_FIGURE, _SIGN = r"[0-9][0-9.,']*", r"[€£$]|[A-Za-z]{3}"
_AT_END = re.compile(
    rf"(?:^|(?P<what>.*?\S)[\s,;:]+)(?:(?:at|for)\s+)?(?:(?P<count>[1-9][0-9]{{0,3}})\s+for\s+)?"
    rf"(?P<price>(?:{_SIGN})\s?{_FIGURE}|{_FIGURE}\s?(?:{_SIGN})?)(?:\s+each)?\s*",
    re.IGNORECASE | re.DOTALL,
)


def price_at_end(text: str) -> tuple[str, Money | None]:
    """What stands before a price, and the price for one; the text as it is where no price with a currency ends it."""
    found = _AT_END.fullmatch(text)
    price = _money(found["price"], "") if found and found["what"] else None
    if not found or price is None:
        return text, None
    return found["what"], price / int(found["count"] or 1)


def price_alone(text: str, currency: str) -> Money | None:
    """A price that stands by itself, for one; ``currency`` is that of a bare figure. None for what is no price."""
    found = _AT_END.fullmatch(text.strip())
    if not found or found["what"]:
        return None
    price = _money(found["price"], currency)
    return price and price / int(found["count"] or 1)


def _money(text: str, currency: str) -> Money | None:
    read = read_price(text.upper(), dollar="USD", currency=currency)
    known = read.kind == MONEY and read.amount and is_currency(read.currency)
    return Money(read.amount, read.currency) if known and read.amount else None


@dataclass(frozen=True, slots=True)
class Range:
    """What others like it go for, in the money of the price: ``of`` says which, ``a good used one``."""

    of: str
    low: Decimal
    high: Decimal


def side_of(price: Decimal, low: Decimal, high: Decimal) -> str:
    """Below, within or above a range; its ends are within."""
    return BELOW if price < low else ABOVE if price > high else WITHIN


def weighed(price: Money, ranges: Sequence[Range]) -> str:
    """What a price is beside each range, in a sentence; empty without a range."""
    told = [
        f"{side_of(price.rounded.amount, one.low, one.high)} the fair range of {one.of} ({one.low} to {one.high})"
        for one in ranges
    ]
    return f"{price} is {', and '.join(told)}." if told else ""
