"""What the register's words say of a price of the keeper's own (common practice, no source)."""

from decimal import Decimal

import pytest

from inventory.house.money import Money
from inventory.valuation.rules.own import sold_for


@pytest.mark.parametrize(
    ("how", "price"),
    [
        ("sold for 25 EUR", "25"), ("Sold: 25 € at the quay, lot 12", "25"), ("sold 3 for 30 EUR", None),
        ("sold 3 pcs, 10 EUR each", "10"), ("sold for 25.50 EUR, its share, together with a box", "25.50"),
        ("sold with three others for 90 EUR", None), ("sold in a lot of ten for 40 EUR", None),
        ("sold as a pair: 60 EUR the pair", None), ("not sold, 25 EUR", None), ("unsold, 25 EUR", None),
        ("never sold; worth 25 EUR", None), ("given away, 25 EUR", None), ("sold", None),
        ("sold 25 EUR, 5 EUR post", None),
    ],
)  # fmt: skip
def test_the_one_price_of_a_thing_that_left(how, price):
    assert sold_for(how) == (None if price is None else Money(Decimal(price), "EUR"))
