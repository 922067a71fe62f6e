"""What to buy first, beside trying out every kit there is."""

from decimal import Decimal
from itertools import pairwise, product
from math import prod

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.restoration.rules.buying import ENOUGH, Gap, Line, buying_order, close_gaps, gains, kit_assurance
from inventory.restoration.rules.demand import RENEWAL, Demand, at_mean, from_record, renewed

NOBODY_PAYS = 1 - ENOUGH  # of each line: what is left of the chance that nobody buys a spare for


def by_trying(lines, budget):
    """The most assurance that the budget buys: every kit is tried."""
    ranges = [range(int(budget // line.price) + 1) if line.price else range(1) for line in lines]

    def price(kit):
        return sum(number * (line.price or 0) for number, line in zip(kit, lines, strict=True))

    sure = [[line.assurance(number) for number in numbers] for line, numbers in zip(lines, ranges, strict=True)]
    return max(
        prod(row[number] for row, number in zip(sure, kit, strict=True))
        for kit in product(*ranges)
        if price(kit) <= budget
    )


LINES = st.lists(
    st.tuples(st.floats(0.01, 6), st.integers(0, 3), st.integers(3, 40), st.booleans()), min_size=1, max_size=4
)


@settings(max_examples=150)
@given(LINES, st.integers(0, 100))
def test_it_is_the_best_that_the_budget_buys(rows, budget):
    lines = [
        Line(f"type {number}", at_mean(mean) if known else from_record(int(mean), 1000, 1, 800), stock, Decimal(price))
        for number, (mean, stock, price, known) in enumerate(rows)
    ]
    found = buying_order(lines, Decimal(budget))
    assert found.after == pytest.approx(by_trying(lines, Decimal(budget)), abs=2 * NOBODY_PAYS * len(lines))
    assert found.left == Decimal(budget) - sum(step.price for step in found.steps)
    assert found.left >= 0
    assert [step.after for step in found.steps] == sorted(step.after for step in found.steps)


@settings(max_examples=25)
@given(LINES, st.integers(0, 60), st.integers(2, 5), st.data())
def test_it_is_the_best_where_a_later_spare_gains_more(rows, budget, in_use, data):
    """Lives drawn in few histories, and some of those in use enough: the gains need not fall from spare to spare."""
    lines = []
    for number, (mean, stock, price, drawn) in enumerate(rows):
        demand = renewed(900, 3, [100 * mean] * in_use, 150 * mean, runs=40) if drawn else at_mean(mean)
        needed = data.draw(st.integers(1, in_use))
        lines.append(Line(f"type {number}", demand, stock, Decimal(price), in_use, needed))
    found = buying_order(lines, Decimal(budget))
    assert found.after == pytest.approx(by_trying(lines, Decimal(budget)), abs=2 * NOBODY_PAYS * len(lines))


WORN = st.tuples(
    st.sampled_from([1.6, 3.0, 5.0, 8.0]), st.lists(st.sampled_from([None, 0.0, 400.0, 900.0]), min_size=2, max_size=4),
    st.sampled_from([500.0, 1500.0, 2500.0]), st.integers(0, 2), st.integers(4, 40),
)  # fmt: skip


@settings(max_examples=60)
@given(st.lists(WORN, min_size=1, max_size=2), st.integers(20, 250))
def test_it_is_the_best_where_the_first_spares_gain_nothing(rows, budget):
    """Tubes that outlive no two lives ahead: the first spares are never enough, so they gain 0, all alike."""
    lines = [
        Line(str(number), renewed(1000, beta, ages, hours, runs=400), stock, Decimal(price), len(ages))
        for number, (beta, ages, hours, stock, price) in enumerate(rows)
    ]
    found = buying_order(lines, Decimal(budget))
    assert found.after == pytest.approx(by_trying(lines, Decimal(budget)), abs=2 * NOBODY_PAYS * len(lines))


@pytest.mark.parametrize(
    ("mine", "other", "budget", "sure"),
    [
        # no fewer than three fail: two spares are as good as none
        (Demand(RENEWAL, 3.25, "drawn", drawn=(0, 0, 0, 0.8, 0.15, 0.05)), at_mean(0), 30, 0.8),
        # the second gains less than the first, and the third more than either: behind both
        (Demand(RENEWAL, 1.35, "drawn", drawn=(0.4, 0.2, 0.05, 0.35)), at_mean(0.5), 30, 0.6065),
    ],
)
def test_a_spare_is_never_bought_without_those_before_it(mine, other, budget, sure):
    lines = [Line("mine", mine, 0, Decimal(10)), Line("other", other, 0, Decimal(10))]
    found = buying_order(lines, Decimal(budget))
    assert found.after == pytest.approx(by_trying(lines, Decimal(budget)), abs=2 * NOBODY_PAYS * len(lines))
    assert found.after == pytest.approx(sure, abs=1e-4)


def test_spares_that_gain_only_together_are_bought_in_one_go():
    """Two of the worn type gain nothing and the third much: dearer for each than the other type, so after it."""
    worn = Demand(RENEWAL, 3.0, "drawn", drawn=(0.3, 0.0, 0.0, 0.7))
    lines = [Line("worn", worn, 0, Decimal(10)), Line("steady", at_mean(1), 0, Decimal(10))]
    found = buying_order(lines, Decimal(50))
    assert [step.name for step in found.steps] == ["steady", "worn", "worn", "worn", "steady"]


@given(st.lists(st.tuples(st.integers(1, 3), st.integers(1, 30)), max_size=4), st.integers(0, 90))
def test_no_choice_closes_more_gaps(rows, budget):
    gaps = [Gap(f"type {number}", count, Decimal(price)) for number, (count, price) in enumerate(rows)]
    found = close_gaps(gaps, Decimal(budget))
    kits = product(*[range(gap.count + 1) for gap in gaps])
    most = max(sum(kit) for kit in kits if sum(n * g.price for n, g in zip(kit, gaps, strict=True)) <= budget)
    assert len(found.steps) == most
    assert found.open == sum(gap.count for gap in gaps) - most
    assert found.left == budget - sum(price for _, price in found.steps) >= 0


def test_a_gap_without_a_price_stays_open():
    found = close_gaps([Gap("dear", 1, None), Gap("cheap", 2, Decimal(4))], Decimal(100))
    assert (found.steps, found.open) == ((("cheap", Decimal(4)), ("cheap", Decimal(4))), 1)


def test_the_curve_starts_at_nothing_spent():
    lines = [Line("any", at_mean(2), 0, Decimal(7))]
    found = buying_order(lines, Decimal(20))
    assert [money for money, _ in found.curve] == [0, 7, 14]
    assert [chance for _, chance in found.curve] == pytest.approx([at_mean(2).at_most(n) for n in range(3)])


def test_gain_for_the_money_goes_first():
    """A cheap tube that fails often before a dear one that seldom does."""
    lines = [Line("dear", at_mean(0.2), 1, Decimal(200)), Line("cheap", at_mean(2), 1, Decimal(5))]
    found = buying_order(lines, Decimal(250))
    assert found.steps[0].name == "cheap"
    assert {step.name for step in found.steps} == {"cheap", "dear"}
    assert found.steps[0].before == pytest.approx(kit_assurance(lines))


def test_no_price_is_told_and_left_alone():
    lines = [Line("without", at_mean(2), 0, None), Line("with", at_mean(1), 0, Decimal(10))]
    found = buying_order(lines, Decimal(10))
    assert found.no_price == ("without",)
    assert [step.name for step in found.steps] == ["with"]


def test_enough_is_enough():
    lines = [Line("enough", at_mean(0.001), 9, Decimal(1))]
    assert buying_order(lines, Decimal(1000)).steps == ()
    assert gains(lines[0]) == []


@given(st.floats(0.01, 50), st.integers(0, 10), st.integers(0, 20))
def test_each_further_spare_gains_less(mean, stock, failures):
    for demand in (at_mean(mean), from_record(failures, 1000, 1, mean * 100)):
        told = gains(Line("any", demand, stock, Decimal(1)))
        assert all(after <= before + 1e-12 for before, after in pairwise(told))


@pytest.mark.parametrize(
    ("price", "budget"), [(Decimal(0), Decimal(5)), (Decimal(3), Decimal(-1)), (Decimal("NaN"), Decimal(1))]
)
def test_money_that_cannot_be(price, budget):
    with pytest.raises(ValueError, match="expected"):
        buying_order([Line("any", at_mean(1), 0, price)], budget)
