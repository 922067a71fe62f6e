"""Currency codes against published lists: ISO 4217 as pycountry holds it, and the currencies that the euro replaced."""

import pytest

from inventory.holdings.rules.prices import MONEY, UNREAD, read_price
from inventory.house.currencies import FORMER, currency_refused, is_currency

#: Council Regulation (EC) No 2866/98 on the conversion rates between the euro and other currencies, as amended up to
#: 2022: the codes are those of ISO 4217 for the currencies that it names.
REPLACED = "BEF DEM ESP FRF IEP ITL LUF NLG ATS PTE FIM GRD SIT CYP MTL SKK EEK LVL LTL HRK".split()


def test_the_currencies_that_the_euro_replaced_are_read_still() -> None:
    assert set(REPLACED) <= FORMER
    assert all(is_currency(code) and currency_refused(code) == "" for code in REPLACED)


@pytest.mark.parametrize("code", ["EUR", "USD", "GBP", "CHF", "SEK", "PLN", "CZK", "SUR", "DDM"])
def test_codes_in_use_and_of_states_that_are_no_more(code: str) -> None:
    assert is_currency(code)


@pytest.mark.parametrize("code", ["EUA", "EU", "eur", "XYZ", "EURO", "XXX", "XTS", "DMK"])
def test_what_is_no_code_of_money(code: str) -> None:
    """XXX: no currency involved; XTS: for tests (ISO 4217)."""
    assert not is_currency(code) and code in currency_refused(code)


def test_nothing_entered_is_nothing_refused() -> None:
    assert currency_refused("") == ""


@pytest.mark.parametrize(
    ("cell", "amount", "currency"),
    [("120 PLN", "120", "PLN"), ("PLN 120,50", "120.50", "PLN"), ("CZK 1.200", "1200", "CZK"), ("40 SUR", "40", "SUR"),
     ("4 for 20 HUF", "20", "HUF"), ("15 IEP each", "15", "IEP"), ("12ITL", "12", "ITL")],
)  # fmt: skip
def test_a_price_in_any_currency_whose_code_stands_in_capitals(cell: str, amount: str, currency: str) -> None:
    found = read_price(cell)
    assert (found.kind, str(found.amount), found.currency) == (MONEY, amount, currency)


@pytest.mark.parametrize("cell", ["12 XYZ", "EUA 12", "12.50EUA", "XXX 5"])
def test_an_unknown_code_is_told_and_the_price_kept_as_found(cell: str) -> None:
    found = read_price(cell)
    assert (found.kind, found.amount) == (UNREAD, None)
    assert "is no currency code of ISO 4217" in found.remark.reason and found.remark.reason.endswith("kept as found")


@pytest.mark.parametrize("cell", ["12 try", "5 top", "10 bob"])
def test_small_letters_are_words_and_no_code(cell: str) -> None:
    """A bob is a shilling, and no Bolivian money (common practice, no source)."""
    found = read_price(cell)
    assert found.kind == UNREAD and "cannot be read as a price" in found.remark.reason
