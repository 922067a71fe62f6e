"""The price level: the worked examples, and the table beside the package that carries the same series."""

from datetime import date
from decimal import Decimal

import pytest

from inventory.valuation.rules.price_level import NoIndex, PriceLevel, adjusted


@pytest.fixture(scope="module")
def level():
    from inventory.valuation.queries.money import price_level

    return price_level()


#: L8.9: BLS, Math calculations to better utilize CPI data (G. Perrins, D. Nilsen). L8.10: fool.com, quoting BLS.
#: L8.11: macrodata of statsmodels, CPI of 1959Q1, 1980Q1, 2009Q3.
CASES = [
    ("L8.9", "100", "239.261", "240.236", "100.40750477512", 1e-8),
    ("L8.10", "100", "237.4", "127.4", "53.6647009267", 1e-6),
    ("L8.10", "100", "15.7", "193.3", "1231.21019108", 1e-6),
    ("L8.11", "50", "28.98", "216.385", "373.335058661", 1e-6),
    ("L8.11", "120", "80.9", "216.385", "320.966625464", 1e-6),
]


@pytest.mark.parametrize(("case", "amount", "then", "now", "expected", "within"), CASES)
def test_worked_examples(case, amount, then, now, expected, within):
    found = adjusted(Decimal(amount), Decimal(then), Decimal(now))
    assert float(found) == pytest.approx(float(expected), abs=within), case


#: fool.com, quoting BLS (laws of 8.4). It gives November 2015 as 237.4; the series has 237.336.
@pytest.mark.parametrize(
    ("month", "value", "within"),
    [
        (date(1990, 1, 9), "127.4", 0), (date(1942, 1, 1), "15.7", 0), (date(2005, 3, 31), "193.3", 0),
        (date(2015, 11, 1), "237.4", 0.07), (date(2016, 4, 1), "239.261", 0),
    ],
)  # fmt: skip
def test_spot_figures(level, month, value, within):
    assert abs(level.at(month).value - Decimal(value)) <= Decimal(str(within))


@pytest.mark.filterwarnings("ignore:CPI data is out of date")
def test_table_is_the_series_of_the_independent_package(level):
    """The package cpi, which carries the series of the Bureau of Labor Statistics."""
    import cpi

    series = cpi.series.get_by_id("CUUR0000SA0")
    theirs = {
        (one.year, one.date.month): one.value for one in series.indexes if one.period.type == "monthly"
    }  # fmt: skip
    both = level.by_month.keys() & theirs.keys()
    assert len(both) > 1360
    assert all(float(level.by_month[month]) == pytest.approx(theirs[month], abs=5e-4) for month in both)


def test_month_that_was_not_published_takes_the_one_before_and_names_it(level):
    found = level.at(date(2025, 10, 15))
    assert (found.year, found.month) == (2025, 9) and "2025-09" in str(found)


def test_no_index_before_the_series_and_long_after_it(level):
    for day in (date(1912, 12, 31), date(2099, 1, 1)):
        with pytest.raises(NoIndex, match="CUUR0000SA0"):
            level.at(day)
    with pytest.raises(NoIndex):
        PriceLevel({(2020, 1): Decimal(100)}).at(date(2020, 5, 1))
