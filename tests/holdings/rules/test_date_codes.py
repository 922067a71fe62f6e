"""What date codes tell. The forms of the codes: common practice, no source."""

import pytest

from inventory.holdings.rules.date_codes import decade_made, decades


@pytest.mark.parametrize(
    ("code", "decade"),
    [
        ("1944", "1940s"), ("44-12", "1940s"), ("3-44", "1940s"), ("Nov 1952", "1950s"), ("VIII 1961 г.", "1960s"),
        ("", "none"), ("  ", "none"), ("6C", "unread"), ("R5A7", "unread"), ("1943 / 1951", "unread"),
        ("2000 V", "unread"), ("01432", "unread"),
    ],
)  # fmt: skip
def test_a_date_code_tells_its_decade_or_that_it_does_not(code, decade):
    assert decade_made(code) == decade


def test_every_decade_that_a_code_can_tell_is_offered():
    assert {decade_made(str(year)) for year in range(1920, 2050)} == set(decades())
