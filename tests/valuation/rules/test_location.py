"""Location of a handful of prices, beside published examples and beside sorting everything.

L8.1: Hodges-Lehmann as on peterstatistics.com; L8.2, L8.5: the definitions of Hodges and Lehmann 1963 (with
self-pairs), by hand; L8.3, L8.4, L8.12: by hand, the sign-test coverage from the binomial distribution; L8.6: weighted
medians as in the encyclopedia's definition (from memory); L8.7: the encyclopedia's example of the MAD (from memory);
L8.8: coverage ``1 - 2 Binom(d - 1; n, 1/2)``. Beside scipy's binomial distribution and plain loops.
"""

from itertools import combinations_with_replacement, product
from statistics import median as plain_median

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom

from inventory.valuation.rules import selection
from inventory.valuation.rules.location import (
    NORMAL_MAD,
    LocationRefused,
    coverage,
    hodges_lehmann,
    hodges_lehmann_shift,
    interval_rank,
    location,
    mad,
    median_interval,
    weighted_median,
)

PRICES = [45, 50, 52, 55, 60, 140]
numbers = st.one_of(
    st.integers(-20, 20).map(float),  # many alike
    st.floats(-1e6, 1e6),
    st.floats(allow_nan=False, allow_infinity=False, min_value=-1e299, max_value=1e299),
)
lists = st.lists(numbers, min_size=1, max_size=40)


def walsh(values):
    return plain_median([(one + other) / 2 for one, other in combinations_with_replacement(sorted(values), 2)])


@pytest.mark.parametrize(("values", "expected"), [([1, 3, 7, 8], 4.75), ([22, 24, 26, 60], 25.5)])  # L8.1, L8.2
def test_hodges_lehmann(values, expected):
    assert hodges_lehmann(values) == pytest.approx(expected, abs=1e-9)


def test_l8_3_six_prices_one_of_them_odd():
    found = location(PRICES)
    assert (found.median, found.mean, found.hodges_lehmann, found.mad) == pytest.approx((53.5, 67, 55, 5), abs=1e-6)
    assert found.mad_scaled == pytest.approx(7.413011, abs=1e-6)
    assert found.geometric_mean == pytest.approx(61.490020743158, abs=1e-6)
    assert (found.interval, found.coverage) == ((45, 140), 0.96875)
    assert found.weighted_median == 53.5  # equal weights where none are given
    assert found.remarks == ()


def test_l8_4_five_prices():
    values = [18, 22, 25, 25, 31]
    found = location(values)
    assert (found.median, found.hodges_lehmann, found.mad) == (25, 24.5, 3)
    # every one of the 3125 draws with replacement: what the interval by order statistics stands beside
    drawn = np.sort([plain_median(draw) for draw in product(values, repeat=5)])
    assert drawn.mean() == pytest.approx(24.16352, abs=1e-6)
    assert (np.quantile(drawn, 0.025), np.quantile(drawn, 0.975)) == found.interval == (18, 31)


def test_l8_5_shift():
    assert hodges_lehmann_shift([45, 50, 60], [40, 41, 55]) == pytest.approx(5, abs=1e-9)


@pytest.mark.parametrize(
    ("values", "weights", "expected"),
    [
        ([40, 60, 80], [0.2, 0.5, 0.3], 60),  # L8.6
        ([10, 20, 30, 40], [1, 1, 1, 1], 25),
        ([35, 50, 55, 120], [1, 2, 3, 0.5], 55),
        ([30, 10, 20], [0.3, 0.1, 0.2], 25),  # exactly half as written, though not as doubles
        ([10, 15, 20], [1, 0, 1], 15),  # the one without weight stands aside: halfway is 15 either way
        ([10, 12, 20], [1, 0, 1], 15),
    ],
)
def test_weighted_median(values, weights, expected):
    assert weighted_median(values, weights) == pytest.approx(expected, abs=1e-9)


def test_l8_7_mad():
    assert mad([1, 1, 2, 2, 4, 6, 9]) == 1
    assert pytest.approx(1 / 0.6744897501960817, abs=1e-12) == NORMAL_MAD


@pytest.mark.parametrize(("count", "rank", "expected"), [(5, 1, 0.9375), (6, 1, 0.96875), (10, 2, 0.978515625)])  # L8.8
def test_coverage(count, rank, expected):
    assert coverage(count, rank) == pytest.approx(expected, abs=1e-12)
    assert interval_rank(count) == rank
    assert median_interval(list(range(1, count + 1))) == (rank, count + 1 - rank, pytest.approx(expected, abs=1e-12))


@pytest.mark.parametrize("count", [7, 19, 60, 299, 301, 5000])
def test_interval_beside_scipy(count):
    rank = interval_rank(count)
    assert coverage(count, rank) == pytest.approx(1 - 2 * binom.cdf(rank - 1, count, 0.5), abs=1e-9)
    assert coverage(count, rank) >= 0.95 > coverage(count, rank + 1)


def test_l8_12_adjusted_comparables():
    values = [60 * 237.4 / 193.3, 45 * 1.25, 90 * 0.8, 70 * 1]
    assert values == pytest.approx([73.6885669943, 56.25, 72, 70], abs=1e-6)
    found = location(values)
    assert (found.median, found.hodges_lehmann) == pytest.approx((71, 70.5), abs=1e-6)
    assert found.interval is None and found.coverage is None
    assert "4 of at least 5" in found.remarks[0]


@pytest.mark.parametrize("number", [5, 7, 30, 0.1])
def test_the_geometric_mean_of_equal_numbers_is_that_number(number):
    assert location([number] * 5).geometric_mean == number == location([number]).geometric_mean


def test_no_geometric_mean_of_nothing():
    found = location([0, 1, 2], [1, 1, 1])
    assert found.geometric_mean is None
    assert "above zero" in found.remarks[0]


@given(lists)
def test_hodges_lehmann_as_all_pairs_give_it(values):
    assert hodges_lehmann(values) == walsh(values)


@settings(deadline=None)
@given(lists, lists, st.sampled_from([0, 30, 10**6]))
def test_selection_as_sorting_gives_it(values, others, at_once):
    """Also where next to nothing is written down at once, so that the rounds are what decides."""
    kept, selection.AT_ONCE = selection.AT_ONCE, at_once - 4 * len(values)
    try:
        assert hodges_lehmann(values) == walsh(values)
        assert hodges_lehmann_shift(values, others) == plain_median(one - other for one in values for other in others)
    finally:
        selection.AT_ONCE = kept


@given(lists)
def test_equal_weights_are_the_median(values):
    assert weighted_median(values, [0.1] * len(values)) == plain_median(values)


@pytest.mark.parametrize(
    ("values", "weights", "told"),
    [
        ([], None, "no numbers"),
        ([1, float("nan")], None, "no finite figure"),
        ([1, float("inf")], None, "no finite figure"),
        ([1, 2], [1], "1 weights for 2 numbers"),
        ([1, 2], [1, -1], "below zero"),
        ([1, 2], [0, 0], "all of them are zero"),
        ([1, 2], [1, float("nan")], "no finite figure"),
    ],
)
def test_refused(values, weights, told):
    with pytest.raises(LocationRefused, match=told):
        location(values, weights)
