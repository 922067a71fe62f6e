"""Rates of exchange and money, beside what is published."""

import csv
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.house.money import Money
from inventory.valuation.rules.rates import NoRate, Rates, read_fixed

REFERENCE = Path(__file__).resolve().parents[3] / "fixtures" / "reference"
#: GNU units 2.22, currency.units: what one euro is in former currencies, each by its fixed conversion rate.
GNU_UNITS = {
    "ATS": "13.7603", "BEF": "40.3399", "CYP": "0.585274", "EEK": "15.6466", "FIM": "5.94573", "FRF": "6.55957",
    "DEM": "1.95583", "GRD": "340.75", "IEP": "0.787564", "ITL": "1936.27", "LVL": "0.702804", "LTL": "3.4528",
    "LUF": "40.3399", "MTL": "0.4293", "SKK": "30.1260", "SIT": "239.640", "ESP": "166.386", "NLG": "2.20371",
    "PTE": "200.482",
}  # fmt: skip
#: European Central Bank, reference rates of 4 January 1999, the first day of the series; from memory.
FIRST_DAY = {"USD": "1.1789", "JPY": "133.73", "GBP": "0.7111", "CHF": "1.6168"}


@pytest.fixture(scope="module")
def fixed():
    with (REFERENCE / "euro_fixed.csv").open(encoding="utf-8", newline="") as file:
        return read_fixed(csv.DictReader(file))


@pytest.fixture(scope="module")
def rates():
    from inventory.valuation.queries.money import rates

    return rates()


def made(published, fixed=None, last=date(2020, 1, 31)):
    return Rates(lambda code, day: published.get((code, day)), fixed or {}, last)


@pytest.mark.parametrize(("code", "per_euro"), GNU_UNITS.items())
def test_fixed_rates_are_those_of_gnu_units(fixed, code, per_euro):
    assert fixed[code].per_euro == Decimal(per_euro)


@pytest.mark.parametrize("code", ["CYP", "EEK", "LTL", "LVL", "MTL", "SIT", "SKK"])
def test_fixed_rate_is_the_last_that_the_central_bank_published(rates, fixed, code):
    """The reference rates of the last days before a currency went into the euro stood at its conversion rate."""
    before = fixed[code].since.replace(year=fixed[code].since.year - 1, month=12, day=31)
    assert rates.rate(code, before).per_euro == fixed[code].per_euro
    assert "fixed since" in rates.rate(code, fixed[code].since).source


@pytest.mark.parametrize(("code", "per_euro"), FIRST_DAY.items())
def test_first_day_of_the_series(rates, code, per_euro):
    rate = rates.rate(code, date(1999, 1, 4))
    assert (rate.per_euro, rate.on) == (Decimal(per_euro), date(1999, 1, 4))


def test_hundred_marks_and_a_thousand_lire(rates):
    """Council Regulation (EC) No 2866/98: 1 EUR is 1.95583 DEM and 1936.27 ITL."""
    assert rates.convert(Money(Decimal(100), "DEM"), "EUR", date(2001, 6, 1)).money.figure == "51.13"
    assert rates.convert(Money(Decimal("193627"), "ITL"), "DEM", date(2001, 6, 1)).money.amount == Decimal("195.583")


def test_a_price_of_before_the_euro_is_restated_by_the_fixed_rate_and_says_so(rates):
    """Council Regulation (EC) No 2866/98, as above; amounts restated so: No 974/98, art. 14, from memory."""
    answer = rates.convert(Money(Decimal("195.583"), "DEM"), "EUR", date(1987, 5, 1))
    assert answer.money.amount == 100 and "a price of before, restated" in str(answer.rates[0])
    with pytest.raises(NoRate, match="no rate of USD for 1987-05-01"):
        rates.convert(Money(Decimal(1), "DEM"), "USD", date(1987, 5, 1))


def test_weekend_takes_the_friday_before_and_names_it(rates):
    rate = rates.rate("USD", date(2014, 3, 30))
    assert rate.on == date(2014, 3, 28) and "2014-03-28" in rate.source


@pytest.mark.parametrize(
    ("code", "day", "says"),
    [
        ("USD", date(1985, 5, 1), "begin in January 1999"),
        ("GRD", date(2000, 12, 31), "no rate of GRD"),
        ("RUB", date(2024, 1, 1), "no rate of RUB"),
        ("USD", date(2099, 1, 1), "rates that are here end on"),
    ],
)
def test_no_rate_is_told_and_never_drawn_on(rates, code, day, says):
    with pytest.raises(NoRate, match=says):
        rates.convert(Money(Decimal(1), code), "EUR", day)


def test_a_sale_later_than_the_rates_is_told_that_it_will_count():
    rates = made({("USD", date(2020, 1, 31)): Decimal("1.1"), ("RUB", date(2019, 5, 3)): Decimal("72")})
    assert rates.wanting("USD", date(2020, 2, 3)) == rates.wanting("EUR", date(2030, 1, 1)) == ""
    told = rates.wanting("USD", date(2020, 3, 1))
    assert told.startswith("outside USD it will count once rates of that day are here: they end on 2020-01-31")
    assert "RATES_FILE" in told
    for day in (date(2020, 3, 1), date(2020, 1, 31), date(1987, 5, 1)):  # a newer file would not help
        assert "it counts only in RUB" in rates.wanting("RUB", day)


def test_same_currency_needs_no_rate(rates):
    answer = rates.convert(Money(Decimal("12.50"), "USD"), "USD", date(1950, 1, 1))
    assert answer.money == Money(Decimal("12.50"), "USD") and answer.rates == ()


def test_not_further_back_than_a_few_days():
    day = date(2020, 1, 1)
    held = made({("USD", day): Decimal("1.25")})
    assert held.rate("USD", date(2020, 1, 8)).on == day
    with pytest.raises(NoRate):
        held.rate("USD", date(2020, 1, 9))


@given(st.decimals("0.01", "99999", places=2), st.decimals("0.01", "999", places=4))
def test_there_and_back_is_the_same_money(amount, per_euro):
    held = made({("USD", date(2020, 1, 2)): per_euro})
    there = held.convert(Money(amount, "USD"), "EUR", date(2020, 1, 2)).money
    assert held.convert(there, "USD", date(2020, 1, 2)).money.rounded == Money(amount, "USD").rounded


def test_money_is_decimal_with_a_code_and_stays_in_its_currency():
    one = Money(Decimal("1.10"), "EUR")
    assert str(one + one) == "2.20 EUR" and str(one * 3) == "3.30 EUR" and str(one / 4) == "0.28 EUR"
    with pytest.raises(TypeError):
        one + Money(Decimal(1), "USD")
    with pytest.raises(TypeError):
        Money(1.1, "EUR")
    with pytest.raises(ValueError, match="no currency code"):
        Money(Decimal(1), "EUX")
    with pytest.raises(ValueError):
        Money(Decimal("NaN"), "EUR")
