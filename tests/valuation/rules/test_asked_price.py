"""A price as it is called out at a fair, read off the end of a text (common practice, no source)."""

from decimal import Decimal

import pytest

from inventory.house.money import Money
from inventory.valuation.rules.asked_price import Range, price_alone, price_at_end, weighed


@pytest.mark.parametrize(
    ("text", "what", "each", "code"),
    [
        ("6SN7GT 25 EUR", "6SN7GT", "25", "EUR"),
        ("845 240 gbp", "845", "240", "GBP"),
        ("6SN7GT 25€", "6SN7GT", "25", "EUR"),
        ("VT 231, at €25,50", "VT 231", "25.50", "EUR"),
        ("T-0004 4 for 60 EUR", "T-0004", "15", "EUR"),
        ("6V6 1.234,50 EUR each", "6V6", "1234.50", "EUR"),
    ],
)
def test_a_price_ends_what_is_asked(text, what, each, code):
    assert price_at_end(text) == (what, Money(Decimal(each), code))


@pytest.mark.parametrize("text", ["VT 231", "6SN7GT 25", "RCA 807", "25 EUR", "807 RCA 12", ""])
def test_a_number_without_a_currency_stays_what_is_asked(text):
    assert price_at_end(text) == (text, None)


def test_a_figure_by_itself_is_in_the_currency_that_is_usual():
    assert price_alone("25", "GBP") == Money(Decimal(25), "GBP")
    assert price_alone("4 for 60 EUR", "GBP") == Money(Decimal(15), "EUR")
    assert price_alone("cheap", "GBP") is None


def test_the_ends_of_a_range_are_within_it():
    two = [Range("a good one", Decimal(10), Decimal(20)), Range("an unused one", Decimal(21), Decimal(30))]
    assert weighed(Money(Decimal(20), "EUR"), two) == (
        "20.00 EUR is within the fair range of a good one (10 to 20), and below the fair range of an unused one "
        "(21 to 30)."
    )
