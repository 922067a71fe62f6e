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
from inventory.valuation.rules.one_line import GRADE, grade_named

BELOW, WITHIN, ABOVE = "below", "within", "above"
_FIGURE, _SIGN = r"[0-9][0-9.,']*", r"[€£$]|[A-Za-z]{3}"
_FIGURE_AT_END = re.compile(
    rf"(?P<what>.*?[^\s,;:])[\s,;:]+(?P<written>(?P<before>{_SIGN})?\s?(?P<minus>[-−])?(?P<figure>{_FIGURE})"
    rf"\s?(?P<after>{_SIGN})?)",
    re.DOTALL,
)
_AT_END = re.compile(
    rf"(?P<what>.*?[^\s,;:])[\s,;:]+(?P<figure>(?:{_SIGN})?\s?[-−]?{_FIGURE}(?:\s?(?:{_SIGN}))?)", re.DOTALL
)
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


@dataclass(frozen=True, slots=True)
class Unpriced:
    """A figure that ends a text and is no price. ``bare``: without a currency; ``nothing``: it is not above nothing."""

    what: str
    written: str
    bare: bool
    nothing: bool


def unpriced_at_end(text: str) -> Unpriced | None:
    """A figure behind what is asked for, without a currency, or not above nothing: told, and not passed over."""
    found = _FIGURE_AT_END.fullmatch(text.strip())
    if not found:
        return None
    sign = (found["before"] or found["after"] or "").upper()
    if sign.isalpha() and not is_currency(sign):
        return None
    nothing = bool(found["minus"]) or not found["figure"].strip("0.,'")
    return Unpriced(found["what"], found["written"], not sign, nothing) if nothing or not sign else None


def grade_at_end(text: str) -> tuple[str, str]:
    """What stands before a grade that ends a text, and the grade; the text and nothing where none does."""
    found = list(GRADE.finditer(text))
    if not found or text[found[-1].end() :].strip(" ,;:") or not (what := text[: found[-1].start()].strip(" ,;:")):
        return text, ""
    return what, grade_named(found[-1][1])


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
