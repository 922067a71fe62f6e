"""A price as it is called out at a fair, read off the end of a text (common practice, no source)."""

from decimal import Decimal

import pytest

from inventory.house.money import Money
from inventory.valuation.rules.asked_price import (
    Range,
    grade_at_end,
    price_alone,
    price_at_end,
    unpriced_at_end,
    weighed,
)


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


@pytest.mark.parametrize(
    ("text", "what", "written", "bare", "nothing"),
    [
        ("6SN7GT 25", "6SN7GT", "25", True, False),
        ("6SN7GT 0 EUR", "6SN7GT", "0 EUR", False, True),
        ("6SN7GT -5 EUR", "6SN7GT", "-5 EUR", False, True),
        ("6SN7GT, -5", "6SN7GT", "-5", True, True),
    ],
)
def test_a_figure_that_is_no_price_is_found(text, what, written, bare, nothing):
    found = unpriced_at_end(text)
    assert (found.what, found.written, found.bare, found.nothing) == (what, written, bare, nothing)


@pytest.mark.parametrize("text", ["807", "6SN7GT 25 EUR", "KT RCA 807", ""])
def test_what_is_a_price_or_may_be_a_designation_is_none(text):
    assert unpriced_at_end(text) is None


@pytest.mark.parametrize(
    ("text", "what", "grade"),
    [("6SN7GT dud", "6SN7GT", "dud"), ("VT 231, NOS", "VT 231", "unused"), ("dud", "dud", ""),
     ("weak 807", "weak 807", ""), ("807 used tested good", "807", "used tested good")],
)  # fmt: skip
def test_a_grade_that_ends_what_is_asked(text, what, grade):
    assert grade_at_end(text) == (what, grade)


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
