"""A worse grade is never dearer; the property beside any made evidence, the order itself common practice, no source."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.valuation.rules.backtest import back_test
from inventory.valuation.rules.estimate import values
from inventory.valuation.rules.evidence import alone, evidence_of
from inventory.valuation.rules.fitting import fit
from inventory.valuation.rules.words import GRADES

DAY, ON = 735_000, 736_000
WEAK, DUD = GRADES.index("weak"), GRADES.index("dud")


def fitted(*rows):
    """``rows``: (type, price, grade), all of one day."""
    types, prices, grades = zip(*rows, strict=True)
    return fit(evidence_of(types, prices, [DAY] * len(rows), grades=grades), alone(max(types) + 1), ON)


def in_every_grade(found, kind=0):
    many = len(GRADES)
    none = np.full(many, -1, np.int8)
    return values(found, np.full(many, kind), np.arange(many, dtype=np.int8), none, none, DAY)


def of_types(prices, many=8):
    """Each price and grade once for every type, whose levels differ."""
    return [(kind, price * (1 + kind), grade) for kind in range(many) for price, grade in prices]


def test_weak_ones_are_never_dearer_than_used_ones_and_duds_never_than_weak_ones():
    found = in_every_grade(fitted(*of_types([(20, 2), (20.5, 2), (12, 3), (11.9, 3), (16, 4), (17, 4), (30, 5)])))
    for better, worse in ((3, WEAK), (WEAK, DUD)):
        for one in (found.amount, found.low, found.high, found.level_low, found.level_high):
            assert one[worse] <= one[better] * 1.0001
    assert [GRADES[found.cut[one]] for one in (WEAK, DUD)] == ["used untested", "weak"]
    assert 15 < found.uncut[WEAK] < 18 and found.uncut[DUD] == pytest.approx(30) and np.isnan(found.uncut[:WEAK]).all()


def test_one_that_the_evidence_does_not_tell_apart_stands_between_its_neighbours():
    rows = of_types([(20, 2), (20.2, 2), (30, 1), (30.5, 1)])
    boxed = [(kind, price * (1 + kind), 0) for kind, price in zip(range(4), (19, 40, 22, 44), strict=True)]
    found = fitted(*rows, (0, 20, 2), *boxed)
    factor = found.factors.of("grade", "unused boxed")
    assert not factor.shown and factor.why == "4 of at least 5 rows: never cheaper than unused" and factor.times > 1.4
    amounts = in_every_grade(found).amount
    assert amounts[0] == pytest.approx(amounts[1])


@settings(deadline=None, max_examples=60)
@given(st.lists(st.tuples(st.integers(0, 3), st.floats(1, 90), st.integers(-1, 5)), min_size=1, max_size=60))
def test_whatever_sales_say_the_worst_grades_are_the_cheapest(rows):
    found = fitted(*rows)
    for kind in range(4):
        if kind >= found.types or not found.count[kind]:
            continue
        said = in_every_grade(found, kind)
        used, weak, dud = said.amount[2:4], said.amount[WEAK], said.amount[DUD]
        assert not (weak > np.nanmin([*used, np.inf]) * 1.0001) and not (
            dud > np.nanmin([*used, weak, np.inf]) * 1.0001
        )
        told = np.isfinite(said.high) | np.isfinite(said.low)
        assert told[said.comparables > 0].all() and not said.interval[said.refused].any()


def test_weak_ones_that_nothing_compares_with_good_ones_say_nothing_of_them():
    found = in_every_grade(fitted((0, 10.0, 2), (0, 1.0, WEAK)))
    assert found.amount[2] == pytest.approx(10) and found.amount[WEAK] == pytest.approx(1)
    assert np.isnan(found.amount[DUD]) and found.high[DUD] == pytest.approx(1) and found.bound[DUD] == WEAK
    for row in ((0, 9.0, DUD), (0, 10.0, DUD)), ((0, 9.0, WEAK), (0, 10.0, WEAK)):  # the commonest grade is a bad one
        many = in_every_grade(fitted(*row, (0, 60.0, 2)))
        assert many.amount[2] == pytest.approx(60) and 9 <= many.amount[row[0][2]] <= 10
    dear = in_every_grade(fitted((0, 10.0, 2), (0, 15.0, WEAK), (0, 20.0, DUD)))
    assert dear.amount[[2, WEAK, DUD]] == pytest.approx([10, 10, 10])  # never dearer than a better one


def test_what_is_not_valued_is_in_no_back_test_and_counted():
    rows = [*of_types([(20, 2), (20.5, 2), (21, 2)], many=3), (0, 2, DUD)]
    types, prices, grades = zip(*rows, strict=True)
    told = back_test(evidence_of(types, prices, [DAY] * len(rows), grades=grades), alone(3), ON).as_dict()
    assert (told["rows"], told["rows_of_grades_not_told"], told["rows_of_types_with_no_other"]) == (9, 1, 0)
