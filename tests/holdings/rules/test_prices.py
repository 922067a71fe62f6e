"""Prices: currency codes by ISO 4217; old British money by the Decimal Currency Act 1967.

The rest is common practice, no source.
"""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.holdings.rules.prices import (
    EACH,
    FREE,
    LOT,
    MONEY,
    NEGOTIABLE,
    ROW,
    SWAP,
    UNKNOWN,
    UNREAD,
    currency_of_heading,
    read_price,
)

# cell, amount, currency, per, how many in the lot
MONEY_CASES = [
    ("$5 ea", "5", "$", EACH, None),
    ("@ $5", "5", "$", EACH, None),
    ("3 @ $2", "2", "$", EACH, None),
    ("5 € je Stück", "5", "EUR", EACH, None),
    ("je 3 DM", "3", "DEM", EACH, None),
    ("4 for $10", "10", "$", LOT, 4),
    ("3/$10", "10", "$", LOT, 3),
    ("$10/4", "10", "$", LOT, 4),
    ("3 Stk für 6 DM", "6", "DEM", LOT, 3),
    ("$20 for the lot", "20", "$", LOT, None),
    ("$5/pr", "5", "$", LOT, None),
    ("€ 12,50", "12.50", "EUR", "", None),
    ("12.50 EUR", "12.50", "EUR", "", None),
    ("2,50", "2.50", "", "", None),
    (".50", "0.50", "", "", None),
    ("$75", "75", "$", "", None),
    ("US$ 20", "20", "USD", "", None),
    ("DM 45,-", "45", "DEM", "", None),
    ("DM 20", "20", "DEM", "", None),
    ("10 FF", "10", "FRF", "", None),
    ("hfl 25", "25", "NLG", "", None),
    ("SFr. 12.--", "12", "CHF", "", None),
    ("Fr. 20", "20", "Fr.", "", None),  # French, Swiss, Belgian: not said
    ("RM 100", "100", "RM", "", None),  # no code in ISO 4217
    ("20 Mark", "20", "Mark", "", None),
    ("1.200,00", "1200.00", "", "", None),
    ("$1,200.50", "1200.50", "$", "", None),
    ("1'200.-", "1200", "", "", None),
    ("$1,200", "1200", "$", "", None),
    ("50c", "0.5", "$", "", None),
    ("50p", "0.5", "GBP", "", None),
    ("£5", "5", "GBP", "", None),
    ("12/6", "0.625", "GBP", "", None),  # 150 pence of 240
    ("2/-", "0.1", "GBP", "", None),
    ("7s 6d", "0.375", "GBP", "", None),
    ("£1/2/6", "1.125", "GBP", "", None),  # 270 pence of 240
    ("£2 10s", "2.5", "GBP", "", None),
    ("40 + gas", "40", "", "", None),
    ("45 VB", "45", "", "", None),
    ("$5?", "5", "$", "", None),
    ("0", "0", "", "", None),
]
REMARKS = [
    ("12/6", "12 shillings 6 pence"),
    ("12/6", "a date or a count is written the same way"),
    ("£1/2/6", "old British money"),
    ("40 + gas", "gas was given beside the money"),
    ("45 VB", "asking price"),
    ("$75", "which currency $ means"),
    ("2,50", "no currency is written"),
    ("$1,200", "no third decimal"),
    ("0", "given or not known"),
    ("$5?", "doubted"),
]


@pytest.mark.parametrize(("cell", "amount", "currency", "per", "count"), MONEY_CASES)
def test_money_is_read(cell: str, amount: str, currency: str, per: str, count: int | None) -> None:
    found = read_price(cell)
    assert (found.kind, found.amount, found.currency) == (MONEY, Decimal(amount), currency)
    assert (found.per, found.lot_count) == (per, count)
    assert isinstance(found.amount, Decimal)
    if len(currency) != 3:
        assert found.remark is not None


@pytest.mark.parametrize(("cell", "reason"), REMARKS)
def test_what_is_not_plain_is_remarked(cell: str, reason: str) -> None:
    found = read_price(cell)
    assert found.remark is not None and reason in found.remark.reason


@pytest.mark.parametrize(
    ("cell", "kind"),
    [
        ("free", FREE),
        ("geschenkt", FREE),
        ("swap", SWAP),
        ("swap for two 6L6", SWAP),
        ("Tausch", SWAP),
        ("VB", NEGOTIABLE),
        ("obo", NEGOTIABLE),
        ("", UNKNOWN),
        ("?", UNKNOWN),
        ("n/a", UNKNOWN),
        ("same", UNREAD),
        ("25/6", UNREAD),  # no twenty-five shillings
        ("1/2/6", UNREAD),
        ("04/05", UNREAD),  # a date: no zero is put before shillings
        ("1/82", UNREAD),
        ("$5 10", UNREAD),
        ("5 $ 6 €", UNREAD),
        ("-5", UNREAD),
        ("=3*4", UNREAD),
        ("1.5E+03", UNREAD),
        ("#REF!", UNREAD),
        ("12½", UNREAD),
        ("a song", UNREAD),
    ],
)
def test_other_words_and_what_is_not_read(cell: str, kind: str) -> None:
    found = read_price(cell)
    assert found.kind == kind
    assert found.amount is None or kind == FREE
    if kind in (UNREAD, SWAP, NEGOTIABLE):
        assert found.remark is not None and found.remark.action
        assert found.remark.reason.endswith("kept as found")


@pytest.mark.parametrize("cell", ["VB", "DM 20 VB", "$5 obo"])
def test_a_price_open_to_bargaining_was_asked(cell: str) -> None:
    assert read_price(cell).open and not read_price("$5 ea").open


def test_the_dollar_is_what_the_keeper_says() -> None:
    assert read_price("$75", "USD").currency == "USD"
    assert read_price("$75", "CAD").currency == "CAD"
    assert read_price("€ 75", "USD").currency == "EUR"
    assert read_price("$75", "USD").remark is None


def test_a_bare_price_is_for_what_the_keeper_says() -> None:
    assert read_price("€ 5").per == ""
    assert read_price("€ 5", bare=ROW).per == ROW
    assert read_price("€ 5 ea", bare=ROW).per == EACH
    assert read_price("4 for € 5", bare=EACH).per == LOT


@pytest.mark.parametrize(
    ("heading", "currency"),
    [
        ("$", "$"),
        ("Preis (DM)", "DEM"),
        ("price EUR", "EUR"),
        ("Price", ""),
        ("£ or $", ""),
        ("", ""),
        ("Price PLN", "PLN"),
        ("Cost (CZK)", "CZK"),
        ("PRICE HUF", "HUF"),
        ("Price XYZ", ""),
        ("PRICE ALL", ""),
        ("TOP PRICE", ""),
        ("PLN or HUF", ""),
        ("Cena Kč", "CZK"),
    ],
)
def test_a_heading_may_name_the_currency(heading: str, currency: str) -> None:
    """Codes: ISO 4217; what is a word in a heading all in capitals (all, top) is no code. Signs: Unicode CLDR."""
    assert currency_of_heading(heading) == currency
    assert read_price("12,50", heading=heading).currency == currency
    assert read_price("€ 12,50", heading=heading).currency == "EUR"
    assert read_price("12,50", heading=heading, currency="EUR").currency == (currency or "EUR")  # the list says it last


@pytest.mark.parametrize(
    ("cell", "heading", "currency", "told"),
    [
        ("$3.50", "", "USD", "USD"), ("$3.50", "", "CAD", "CAD"), ("40 kr", "", "SEK", "SEK"),
        ("5 Mark", "", "DDM", "DDM"), ("12 zł", "", "PLN", "PLN"), ("12 zł", "", "PLZ", "PLZ"),
        ("12 zł", "", "EUR", "zł"),
        ("40 kr", "", "NOK", "NOK"), ("Fr. 12", "", "CHF", "CHF"), ("12.50", "$", "AUD", "AUD"),
        ("$3.50", "", "EUR", "$"), ("40 kr", "", "EUR", "kr"),  # not one of theirs: nothing is converted
        ("3,50", "EK €", "", "EUR"), ("3,50", "EK€", "", "EUR"), ("3", "Paid US$", "", "USD"),
    ],
)  # fmt: skip
def test_the_currency_of_the_list_says_what_a_shared_sign_means(
    cell: str, heading: str, currency: str, told: str
) -> None:
    """$, kr and Fr. are signs of several currencies (ISO 4217)."""
    found = read_price(cell, heading=heading, currency=currency)
    assert found.currency == told
    assert (found.remark is None) == (len(told) == 3)


def test_a_sign_that_stays_open_says_what_answers_it() -> None:
    for cell, ways in (("$3", ("$ means", "--dollar")), ("40 kr", ("SEK", "NOK", "--currency"))):
        action = read_price(cell, currency="EUR").remark.action  # type: ignore[union-attr]
        assert all(way in action for way in ways)
    assert read_price("$3", "CAD", currency="USD").currency == "CAD"  # said of the sign itself


@settings(deadline=None)
@given(st.text(max_size=20), st.text(max_size=20))
def test_any_heading_and_cell_are_read(cell: str, heading: str) -> None:
    assert isinstance(read_price(cell, heading=heading, currency="SEK").currency, str)
