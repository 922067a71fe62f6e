"""What is made of a back test: groups by the number of other sales, and words; every case is counted by hand.

Chance: of 100 sales 80 % lie within 72.2 to 87.8 % nineteen times in twenty (normal curve, sqrt(0.8 * 0.2 / 100)).
"""

import numpy as np
import pytest

from inventory.valuation.rules.backtest import BackTest
from inventory.valuation.rules.judged import Judged, all_of, by_comparables, thought_of


def of_rows(rows):
    """Rows of (price, estimate, low, high, interval, others, mean)."""
    price, amount, low, high, interval, others, mean = (np.array(column) for column in zip(*rows, strict=True))
    place = np.arange(len(rows))
    return BackTest(place, place, price, amount, low, high, interval, others, mean, folds=50, seed=1)


ROWS = [
    (100.0, 110.0, 0.0, 0.0, False, 1, 150.0),
    (100.0, 130.0, 0.0, 0.0, False, 1, 100.0),
    (100.0, 120.0, 0.0, 0.0, False, 4, 180.0),
    (100.0, 95.0, 90.0, 105.0, True, 7, 140.0),
    (100.0, 80.0, 70.0, 99.0, True, 9, 140.0),
    (100.0, np.nan, np.nan, np.nan, False, 0, np.nan),
]


def test_groups_are_counted_by_the_number_of_others():
    found = {
        one.words: (one.sales, one.with_interval, one.covered, one.off, one.mean_off)
        for one in by_comparables(of_rows(ROWS))
    }
    assert found == {
        "1 other": (2, 0, None, 0.2, 0.25),
        "2 to 4 others": (1, 0, None, 0.2, 0.8),
        "5 to 9 others": (2, 2, 0.5, 0.125, 0.4),
    }
    whole = all_of(of_rows(ROWS))
    assert (whole.sales, whole.with_interval, whole.covered, whole.off, whole.mean_off) == (5, 2, 0.5, 0.2, 0.4)
    assert all_of(of_rows(ROWS[-1:])) is None


@pytest.mark.parametrize(
    ("covered", "sales", "words"),
    [
        (0.5, 12, "too few sales to judge it by"),
        (0.75, 100, "as they should"),
        (0.87, 100, "as they should"),
        (0.70, 100, "too narrow"),
        (0.90, 100, "on the wide side"),
        (0.84, 1000, "on the wide side"),
    ],
)
def test_coverage_is_told_within_what_chance_makes(covered, sales, words):
    first, _ = thought_of(Judged(1, None, sales, sales, covered, 0.2, 0.4))
    assert words in first


def test_an_estimate_that_is_no_better_than_the_mean_is_told_to_be_so():
    told = " ".join(thought_of(Judged(1, None, 400, 0, None, 0.4, 0.3)))
    assert "no better than that" in told and "no interval to test" in told
    assert "nearer by 50 %" in thought_of(Judged(1, None, 400, 0, None, 0.2, 0.4))[1]
    assert "too few to say" in thought_of(Judged(1, None, 8, 0, None, 0.2, 0.4))[1]
    assert "nothing can be tested" in thought_of(None)[0]
