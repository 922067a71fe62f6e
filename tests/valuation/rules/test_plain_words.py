"""Amounts and things in plain words. Rounding: common practice, no source."""

from decimal import Decimal

import pytest

from inventory.valuation.rules.plain_words import about, in_round_figures, plain_word


@pytest.mark.parametrize(
    ("amount", "said"), [("3.20", "3"), ("3.30", "3.5"), ("47.30", "47"), ("133.94", "135"), ("1263", "1250")]
)
def test_an_amount_is_rounded_to_what_about_can_bear(amount, said):
    assert about(Decimal(amount)) == Decimal(said)


def test_a_range_says_one_figure_where_both_ends_are_alike():
    assert in_round_figures(Decimal("39.6"), Decimal("61.2"), "EUR") == "about 40 to 60 EUR"
    assert in_round_figures(Decimal("40"), Decimal("40"), "EUR") == "about 40 EUR"
    assert in_round_figures(Decimal("980"), Decimal("1490"), "USD") == "about 980 to 1,500 USD"


def test_every_kind_of_thing_has_a_plain_word():
    assert plain_word("chassis", "receiver") == "radio receiver"
    assert plain_word("chassis", "of a kind that is new") == "piece of radio equipment"
    assert "valve" in plain_word("tube")
