"""The back test: honest (what is left out touches nothing that values it), and within what is asked of the estimate.

The bounds are those of the contract: the 80 % interval holds 75 to 85 % of the sales left out, and the median error is
at least a quarter below that of a plain mean of the type.
"""

import numpy as np
import pytest

from inventory.demo.actions.prices import SHAPES, Shape, made_evidence, sized
from inventory.valuation.rules.backtest import back_test
from inventory.valuation.rules.evidence import alone, evidence_of

ON = 10**7


@pytest.mark.parametrize("name", ["usual", "heavy tails", "very uneven", "each type in one grade"])
def test_intervals_and_errors(name):
    made = made_evidence(sized(SHAPES[name], 6_000, 120), 11)
    told = back_test(made.evidence, made.families, ON, folds=10).as_dict()
    assert list(told)[:5] == ["rows", "coverage_80", "mape_median", "baseline_mape_median", "n_types"]
    assert 0.75 <= told["coverage_80"] <= 0.85
    assert told["mape_median"] <= 0.75 * told["baseline_mape_median"]


def test_where_there_is_nothing_but_scatter_it_is_no_worse_than_the_mean():
    made = made_evidence(sized(SHAPES["nothing but scatter"], 4_000, 80), 3)
    told = back_test(made.evidence, made.families, ON, folds=10).as_dict()
    assert told["mape_median"] <= 1.02 * told["baseline_mape_median"]


def test_the_row_left_out_touches_nothing():
    made = made_evidence(Shape(rows=200, types=12), 4)
    prices = made.evidence.price.copy()
    prices[17] *= 1000
    words = {"grades": made.evidence.grade, "venues": made.evidence.venue, "marks": made.evidence.mark}
    changed = evidence_of(made.evidence.type, prices, made.evidence.day, **words)
    found, same = (back_test(one, made.families, ON) for one in (made.evidence, changed))
    for name in ("amount", "low", "high", "mean"):
        assert getattr(found, name)[17] == pytest.approx(getattr(same, name)[17], rel=1e-12)
    assert found.amount[16] != same.amount[16] or found.low[16] != same.low[16]


def test_a_plain_case_by_hand():
    """Three prices of one type, all else alike: each is valued by the mean logarithm of the other two."""
    found = back_test(evidence_of([0, 0, 0], [10, 20, 40], [5, 5, 5]), alone(1), ON)
    assert sorted(found.amount) == pytest.approx([np.sqrt(10 * 20), np.sqrt(10 * 40), np.sqrt(20 * 40)])
    assert sorted(found.mean) == pytest.approx([15, 25, 30])
    assert found.as_dict()["coverage_80"] is None  # fewer than five others: no interval


def test_types_of_one_row_are_told_apart():
    told = back_test(evidence_of([0, 1, 2], [10, 20, 40], [5, 5, 5]), alone(3), ON).as_dict()
    assert (told["rows"], told["n_types"], told["rows_of_types_with_no_other"]) == (0, 0, 3)
    assert told["mape_median"] is None and told["baseline_mape_median"] is None


def test_the_same_again():
    made = made_evidence(Shape(rows=300, types=20), 8)
    one, other = (back_test(made.evidence, made.families, ON).as_dict() for _ in range(2))
    assert one == other
