"""Preferred values of IEC 60063 against two packages that hold them; the numbers L7.x stand for worked examples."""

from decimal import Decimal

import eseries
import iec60063
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.holdings.rules.preferred import SERIES, coarsest, nearest, series

#: Parts of a decade; the packages hold a decade at a time.
VALUES = st.integers(min_value=1000, max_value=9_999_999).map(lambda number: Decimal(number) / 1000)


@pytest.mark.parametrize("number", SERIES)
def test_all_values_are_those_of_both_packages(number):
    """PyPI: eseries 1.2 and iec60063 0.2, written apart from one another and from this.

    TRAP: iec60063 has 2.97 in E192; eseries and the formula (10^(91/192) = 2.978) have 2.98.
    """
    slips = {Decimal("2.97"): Decimal("2.98")}
    assert list(series(number)) == [slips.get(one, one) for one in getattr(iec60063, f"E{number}")]
    theirs = eseries.series(eseries.ESeries(number))
    assert [float(one) for one in series(number)] == pytest.approx([one / 10 ** (len(str(one)) - 1) for one in theirs])


def test_e24_is_no_formula():
    """L7.1: the formula is wrong in exactly eight places (twiki.owiki.org; list at qsl.net/g4usp)."""
    formula = [Decimal(str(round(10 ** (at / 24), 1))) for at in range(24)]
    wrong = {mine: theirs for mine, theirs in zip(series(24), formula, strict=True) if mine != theirs}
    assert list(wrong) == [Decimal(one) for one in "2.7 3.0 3.3 3.6 3.9 4.3 4.7 8.2".split()]
    assert list(wrong.values()) == [Decimal(one) for one in "2.6 2.9 3.2 3.5 3.8 4.2 4.6 8.3".split()]


def test_e96_and_the_one_value_of_e192_that_the_formula_misses():
    """L7.2: E96 index 24 and 64; E192 index 185, by the formula 9.194786863188794, the standard has 9.20."""
    assert (series(96)[24], series(96)[64]) == (Decimal("1.78"), Decimal("4.64"))
    assert pytest.approx(9.194786863188794, rel=1e-15) == 10 ** (185 / 192)
    assert series(192)[185] == Decimal("9.20")
    for number in (48, 96, 192):
        formula = [Decimal(str(round(10 ** (at / number), 2))) for at in range(number)]
        missed = [mine for mine, theirs in zip(series(number), formula, strict=True) if mine != theirs]
        assert missed == ([Decimal("9.20")] if number == 192 else [])


@given(VALUES, st.sampled_from(SERIES))
def test_the_nearest_is_that_of_a_package(value, number):
    mine = float(nearest(value, number))
    theirs = eseries.find_nearest(eseries.ESeries(number), float(value))
    assert abs(mine - float(value)) == pytest.approx(abs(theirs - float(value)), rel=1e-9, abs=1e-9)


@given(st.decimals(min_value="1e-9", max_value="1e12", places=9), st.sampled_from(SERIES))
def test_the_nearest_is_of_the_series_and_stays(value, number):
    if not value:
        return
    found = nearest(value, number)
    assert coarsest(found) is not None and nearest(found, number) == found


@pytest.mark.parametrize(
    ("value", "number"),
    [("47000", 3), ("0.68", 6), ("1.2e6", 12), ("5.1", 24), ("4990", 96), ("1.02", 96), ("101", 192), ("920", 192)],
)
def test_the_coarsest_series_of_a_value(value, number):
    assert coarsest(Decimal(value)) == number


@pytest.mark.parametrize("value", ["250000", "500000", "25", "0.05"])
def test_values_of_the_time_before_are_of_no_series(value):
    """RMA adopted preferred values in 1936 (handwiki.org): 250 k, 500 k, 0.05 mfd are older."""
    assert coarsest(Decimal(value)) is None


@pytest.mark.parametrize("value", ["0", "-1", "NaN", "Infinity"])
def test_what_is_no_value(value):
    with pytest.raises(ValueError, match="expected more than 0"):
        nearest(Decimal(value), 24)


def test_there_is_no_e7():
    with pytest.raises(ValueError, match="E7 is no series"):
        series(7)
