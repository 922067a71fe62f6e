"""Estimates beside the truth of made evidence, beside plain ways of reckoning the same, and what must never move them.

The levels beside the statistics of ``location`` (published cases there); factors and trend beside the truth that made
the prices; the rest are properties that any honest estimate has.
"""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.demo.actions.prices import FIRST_DAY, GRADE_TIMES, VENUE_TIMES, Shape, made_evidence
from inventory.valuation.rules import pooling
from inventory.valuation.rules.estimate import values
from inventory.valuation.rules.evidence import (
    ASKING,
    LATER,
    NO_DAY,
    NO_PRICE,
    NO_RATE,
    NOT_AT_ARMS_LENGTH,
    REASONS,
    SHARED,
    UNWEIGHED,
    USED,
    YEAR,
    Families,
    alone,
    evidence_of,
    left_out,
)
from inventory.valuation.rules.fitting import fit
from inventory.valuation.rules.levels import WALSH_MOST, Sorting, weighted_levels
from inventory.valuation.rules.location import hodges_lehmann, median, weighted_median
from inventory.valuation.rules.weighting import Weighting
from inventory.valuation.rules.words import GRADES, VENUES

ON = 10**7
SMALL = Shape(rows=3_000, types=60)


@pytest.fixture(scope="module")
def made():
    return made_evidence(SMALL, 5)


@pytest.fixture(scope="module")
def found(made):
    return fit(made.evidence, made.families, ON)


def valued(found, types, **words):
    """Values of types, all of one grade, venue and mark."""
    types = np.asarray(types)
    where = [np.full(len(types), words.get(name, -1), np.int8) for name in ("grade", "venue", "mark")]
    return values(found, types, *where, words.get("day", FIRST_DAY))


def of_one(prices, **rest):
    """A fit of one type alone, all on one day."""
    return fit(evidence_of([0] * len(prices), prices, [FIRST_DAY] * len(prices), **rest), alone(1), ON)


# --- factors ----------------------------------------------------------------------------------------------------------


def test_factors_and_trend_are_those_that_made_the_prices(found):
    for attribute, words, times in (("grade", GRADES, GRADE_TIMES), ("venue", VENUES, VENUE_TIMES)):
        against = found.factors.against[("grade", "venue").index(attribute)]
        for word, true in zip(words, times, strict=True):
            if word != against:
                factor = found.factors.of(attribute, word)
                assert factor.shown and factor.low < factor.times < factor.high
                assert factor.times == pytest.approx(true / times[words.index(against)], rel=0.1)
    assert found.factors.trend.shown
    assert found.factors.trend.times == pytest.approx(math.exp(SMALL.trend), abs=0.006)


def test_a_factor_that_the_evidence_does_not_show_is_taken_as_equal(found):
    premium = found.factors.of("mark", "military")  # none went into the prices
    assert not premium.shown and premium.times == 1 and premium.low < 1 < premium.high
    assert "no difference" in premium.why


def test_a_premium_is_found_where_there_is_one():
    made = made_evidence(Shape(rows=3_000, types=60, premium=0.3), 5)
    premium = fit(made.evidence, made.families, ON).factors.of("mark", "military")
    assert premium.shown and premium.times == pytest.approx(math.exp(0.3), rel=0.08)


def test_no_factor_without_a_type_that_has_both():
    """Duds of one type and good ones of another say nothing of what a dud is worth."""
    evidence = evidence_of([0] * 9 + [1] * 9, [50] * 9 + [5] * 9, [FIRST_DAY] * 18, grades=[2] * 9 + [5] * 9)
    found = fit(evidence, alone(2), ON)
    dud = found.factors.of("grade", "dud") or found.factors.of("grade", "used tested good")
    assert dud.shown is None and "no type has both" in dud.why and (dud.times, dud.low, dud.high) == (None,) * 3
    assert valued(found, [0, 1], grade=2).amount == pytest.approx([50, np.nan], nan_ok=True)
    assert valued(found, [1], grade=5).amount == pytest.approx([5])


def test_no_trend_in_a_year():
    days = [FIRST_DAY + 30 * n for n in range(12)]
    found = fit(evidence_of([0] * 12, [10 + n for n in range(12)], days), alone(1), ON)
    assert not found.factors.trend.shown and "2 years" in found.factors.trend.why
    assert found.factors.slope == 0


def test_no_trend_is_carried_beyond_the_evidence(found):
    last = found.factors.trend.last
    assert valued(found, [0], day=last).amount == valued(found, [0], day=last + 5000).amount
    assert valued(found, [0], day=last).amount > valued(found, [0], day=FIRST_DAY).amount


# --- levels -----------------------------------------------------------------------------------------------------------

rows = st.lists(
    st.tuples(st.integers(0, 5), st.floats(-3, 9), st.sampled_from([0.0, 0.1, 0.2, 1.0])), min_size=1, max_size=150
)


@settings(deadline=None)
@given(rows)
def test_levels_as_one_by_one(told):
    types, logs = np.array([row[0] for row in told]), np.array([row[1] for row in told])
    count = np.bincount(types, minlength=6)
    sorting = Sorting(count, float(np.abs(logs).max()))
    for part in (slice(0, 20), slice(20, None)):
        sorting.take(types[part], logs[part].copy())
    for number, level in enumerate(np.concatenate([half.levels() for half in sorting.sorted().parts(2)])):
        mine = logs[types == number]
        if len(mine):
            one = hodges_lehmann if len(mine) <= WALSH_MOST else median
            assert level == pytest.approx(one(mine), abs=1e-9)


@settings(deadline=None)
@given(rows)
def test_weighted_levels_as_one_by_one(told):
    types, logs, weights = (np.array(column) for column in zip(*told, strict=True))
    level, worth = weighted_levels(types, logs, weights, 6)
    for number in range(6):
        mine, heavy = logs[types == number], weights[types == number]
        if heavy.any():
            assert level[number] == pytest.approx(weighted_median(mine, heavy), abs=1e-12)
            assert 1 - 1e-9 <= worth[number] <= (heavy > 0).sum() + 1e-9
        else:
            assert level[number] == worth[number] == 0


def test_l8_12_comparables_as_adjusted():
    """Four adjusted comparables (L8.12; by hand): Hodges-Lehmann 70.5 of the prices; here of their logarithms."""
    prices = [73.6885669943, 56.25, 72, 70]
    said = valued(of_one(prices), [0])
    assert said.amount[0] == pytest.approx(math.exp(hodges_lehmann(np.log(prices))), rel=1e-9)
    assert (said.low[0], said.high[0]) == pytest.approx((56.25, 73.6885669943))
    assert said.comparables[0] == 4 and not said.interval[0]  # below five the range


def test_from_five_on_an_interval():
    said = valued(of_one([45, 50, 52, 55, 60, 140]), [0])
    assert said.interval[0] and said.low[0] < said.level_low[0] < said.amount[0] < said.level_high[0] < said.high[0]


def test_without_evidence_no_amount():
    nothing = valued(fit(evidence_of([], [], []), alone(2), ON), [0, 1])
    assert np.isnan(nothing.amount).all() and np.isnan(nothing.low).all() and not nothing.comparables.any()
    one = valued(fit(evidence_of([0], [12], [FIRST_DAY]), Families(np.array([0, 0]), np.array([0, 0])), ON), [0, 1])
    assert one.amount[0] == pytest.approx(12) and np.isnan(one.amount[1])


def test_prices_that_are_all_alike():
    said = valued(of_one([30.0] * 8), [0])
    assert (said.amount[0], said.low[0], said.high[0]) == pytest.approx((30, 30, 30))


def test_one_odd_price_does_not_carry_the_level_away():
    plain, odd = [45, 50, 52, 55, 60, 48, 51], [45, 50, 52, 55, 60, 48, 51_000]
    amounts = [valued(of_one(prices), [0]).amount[0] for prices in (plain, odd)]
    assert amounts[1] == pytest.approx(amounts[0], rel=0.1)


# --- which rows count -------------------------------------------------------------------------------------------------


def test_every_row_that_does_not_count_has_its_reason():
    evidence = evidence_of(
        [0] * 8, [10, 10, 10, 10, 10, math.nan, 0, 10], [5, 5, 9, 0, 5, 5, 5, 5],
        sold=[True, False, True, True, True, True, True, True],
        arms_length=[True, True, True, True, False, True, True, True], shared=[False] * 7 + [True],
    )  # fmt: skip
    told = [USED, ASKING, LATER, NO_DAY, NOT_AT_ARMS_LENGTH, NO_RATE, NO_PRICE, SHARED]
    assert left_out(evidence, 8).tolist() == told
    assert {*told, UNWEIGHED} == {*range(len(REASONS))} and all(REASONS[1:])


def test_nothing_dated_later_counts(made):
    """An estimate of a day is the same with and without the evidence of afterwards."""
    on = FIRST_DAY + 2000
    before = made.evidence.only(made.evidence.day <= on)
    both = [valued(fit(rows, made.families, on), range(60), grade=2) for rows in (made.evidence, before)]
    np.testing.assert_array_equal(both[0].amount, both[1].amount)
    np.testing.assert_array_equal(both[0].high, both[1].high)


def test_the_order_of_rows_means_nothing(made, found):
    mixed = made.evidence.only(np.random.default_rng(1).permutation(len(made.evidence)))
    said, same = (valued(one, range(60), grade=1) for one in (fit(mixed, made.families, ON), found))
    np.testing.assert_allclose(said.amount, same.amount, rtol=1e-6)
    np.testing.assert_allclose(said.low, same.low, rtol=1e-6)


def test_prices_in_another_money_give_the_same_in_that_money(made, found):
    there = evidence_of(
        made.evidence.type, made.evidence.price * 163.5, made.evidence.day, grades=made.evidence.grade,
        venues=made.evidence.venue, marks=made.evidence.mark,
    )  # fmt: skip
    said, same = (valued(one, range(60), grade=1) for one in (fit(there, made.families, ON), found))
    np.testing.assert_allclose(said.amount, same.amount * 163.5, rtol=1e-6)
    np.testing.assert_allclose(said.high, same.high * 163.5, rtol=1e-6)


def test_weights_by_age_and_venue():
    days = [FIRST_DAY - 600] * 6 + [FIRST_DAY] * 5
    prices = [10, 11, 12, 13, 14, 15, 40, 41, 42, 43, 44]
    aged, plain = (
        valued(fit(evidence_of([0] * 11, prices, days), alone(1), FIRST_DAY, weighting), [0]).amount[0]
        for weighting in (Weighting(half_life=0.1), None)
    )
    assert aged == pytest.approx(42) and 15 < plain < 40
    evidence = evidence_of([0] * 11, prices, days, venues=[0] * 6 + [1] * 5)
    barred = fit(evidence, alone(1), FIRST_DAY, Weighting(venues=(("dealer", 0),)))
    assert barred.count[0] == 6 and barred.why.tolist() == [USED] * 6 + [UNWEIGHED] * 5
    for wrong in (Weighting(half_life=0), Weighting(venues=(("shop", 1),)), Weighting(venues=(("fair", -1),))):
        with pytest.raises(ValueError, match="expected"):
            fit(evidence, alone(1), FIRST_DAY, wrong)


def test_words_that_are_none_are_refused():
    with pytest.raises(ValueError, match="a grade is no number from -1 to 5"):
        evidence_of([0], [1], [1], grades=[6])
    with pytest.raises(ValueError, match="different lengths"):
        evidence_of([0, 1], [1], [1, 1])


# --- few prices lean on their relatives -------------------------------------------------------------------------------


def test_a_single_price_leans_on_its_group():
    """One price of 10 beside a group whose other members lie close together at 100: it is drawn towards them."""
    random = np.random.default_rng(2)
    types = [*np.repeat(np.arange(12), 9), 12]
    prices = [*(100 * np.exp(random.normal(0, 0.3, 108))), 10]
    together = Families(np.zeros(13, dtype=np.int64), np.zeros(13, dtype=np.int64))
    evidence = evidence_of(types, prices, [FIRST_DAY] * 109)
    grouped, apart = (valued(fit(evidence, families, ON), [12, 0]) for families in (together, alone(13)))
    assert 15 < grouped.amount[0] < 95
    assert grouped.amount[1] == pytest.approx(apart.amount[1], rel=0.15)  # nine prices of its own speak for themselves


def test_groups_that_lie_far_apart_lend_little(found):
    shares, count = found.working.pooled, found.working.own
    many = count >= 50
    assert (shares.own[many] > 0.8).all()
    np.testing.assert_allclose(shares.own + shares.group + shares.kind + shares.others, 1, atol=1e-9)
    thin = (count > 0) & (count <= 20)
    assert shares.own[thin].mean() < shares.own[many].mean()


def test_some_of_the_rows_tell_how_far_sales_lie(made, found, monkeypatch):
    from inventory.valuation.rules import scatter

    monkeypatch.setattr(scatter, "REACH_ROWS", 400)
    some, whole = fit(made.evidence, made.families, ON).working.reach, found.working.reach
    assert some == pytest.approx(whole, rel=0.15) and some != whole


def test_every_k_th_type_tells_the_factors_of_large_evidence(made, found, monkeypatch):
    from inventory.valuation.rules import factors

    monkeypatch.setattr(factors, "FACTOR_ROWS", 900)
    some = fit(made.evidence, made.families, ON).factors
    for one in some.factors:
        if one.shown:
            whole = found.factors.of(one.attribute, one.word)
            assert whole.low / 1.15 < one.times < whole.high * 1.15


@settings(deadline=None, max_examples=80)
@given(st.integers(0, 10**9))
@pytest.mark.filterwarnings("error")
def test_whatever_a_few_rows_say_there_is_an_amount_within_its_ends(seed):
    random = np.random.default_rng(seed)
    many, types = int(random.integers(1, 60)), int(random.integers(1, 12))
    prices = np.round(np.exp(random.normal(3, random.choice([0, 0.1, 1, 3]), many)), 2) + 0.01
    days = FIRST_DAY + random.integers(0, int(random.choice([1, 300, 5000])), many)
    grades, venues, marks = (random.integers(-1, most, many) for most in (6, 5, 2))
    sold = random.random(many) < 0.9
    evidence = evidence_of(
        random.integers(0, types, many), prices, days, grades=grades, venues=venues, marks=marks, sold=sold
    )
    families = Families(random.integers(0, 3, types + 1), random.integers(0, 2, types + 1))
    found = fit(evidence, families, ON, Weighting(1.0) if seed % 3 == 0 else None)
    said = valued(found, range(types + 1), grade=seed % 6, venue=seed % 5, mark=seed % 2)
    assert np.isnan(said.amount[(said.comparables == 0) | said.refused]).all()
    assert np.isfinite(said.high[said.bounded]).all() and np.isfinite(said.low[said.floor >= 0]).all()
    assert (said.bounded | (said.floor >= 0))[said.refused].all()
    has = (said.comparables > 0) & ~said.refused
    for low, high in ((said.low, said.level_high), (said.level_low, said.high), (said.low, said.amount)):
        assert np.isfinite(low[has]).all() and np.isfinite(high[has]).all()
    for low, high in ((said.low, said.amount), (said.amount, said.high), (said.level_low, said.level_high)):
        assert (low[has] <= high[has] * (1 + 1e-9)).all()


# --- little evidence --------------------------------------------------------------------------------------------------

SIX = (45.0, 50.0, 52.0, 55.0, 60.0, 140.0)  # L8.3


def test_six_months_of_one_type_are_no_trend_however_long_the_others_are_sold():
    """The months of L8.3 go up; one sale of another type two years later must not make ten times of it."""
    types = [*[0] * 6, *[1] * 4, *[2] * 5, 3]
    months = [*range(6), *range(4), *range(5), 30]
    told = evidence_of(types, [*SIX, 10, 12, 14, 18, *[30] * 5, 5], [FIRST_DAY + 30 * one for one in months])
    found = fit(told, alone(4), ON)
    assert not found.factors.trend.shown and "30 rows" in found.factors.trend.why
    assert 50 < valued(found, [0], day=FIRST_DAY + 900).amount[0] < 62  # L8.3: median 53.5, geometric mean 61.5


def test_a_handful_of_rows_over_years_is_no_trend():
    days = [FIRST_DAY + 800 * year for year in range(6)]
    assert not fit(evidence_of([0] * 6, SIX, days), alone(1), ON).factors.trend.shown


def test_one_type_sold_over_many_years_tells_a_trend():
    days = [FIRST_DAY + 100 * many for many in range(60)]
    noise = np.random.default_rng(3).normal(0, 0.2, 60)
    prices = [20 * math.exp(0.05 * (day - FIRST_DAY) / YEAR + more) for day, more in zip(days, noise, strict=True)]
    trend = fit(evidence_of([0] * 60, prices, days), alone(1), ON).factors.trend
    assert trend.shown and trend.low < math.exp(0.05) < trend.high


def test_a_single_sale_is_not_carried_off_by_the_few_others_of_the_house():
    """One sale each of two kinds of tube, six of a third: nobody can tell from them how kinds scatter."""
    told = evidence_of([0, 1, *[2] * 6], [5, 20, *SIX], [FIRST_DAY] * 8)
    families = Families(np.arange(3), np.arange(3))
    found = valued(fit(told, families, ON), [0, 1, 2]).amount
    assert 4 < found[0] < 9 and 15 < found[1] < 27 and 45 < found[2] < 62
    wide = evidence_of([0, 1, *[2] * 6], [5, 20, 4, 9, 11, 30, 45, 100], [FIRST_DAY] * 8)
    one, other = valued(fit(wide, families, ON), [0, 1]).amount
    assert other / one > 1.2  # nothing shows that kinds scatter; they are not taken as all alike for that


def test_words_that_mean_nothing_make_no_steps_of_few_rows():
    """Ten rows, two words by lot, at 95 %: Student's test of the same (scipy 1.14) is wrong 27 times in 480."""
    random, told = np.random.default_rng(1), 0
    for _ in range(480):
        prices, words = np.exp(random.normal(3, 0.5, 10)), random.permutation([1] * 5 + [2] * 5)
        told += of_one(prices.tolist(), grades=words).factors.factors[0].shown
    assert told <= 48


def test_what_comes_of_itself_of_relatives_of_its_kind_and_of_other_kinds(monkeypatch):
    """Shares of a level are what it moves by when another does; the variances between are held fast."""
    monkeypatch.setattr(pooling, "USUAL_ROWS", 1e12)
    families = Families(np.array([0, 0, 1, 2, 3]), np.array([0, 0, 0, 1, 1]))
    level, variance = np.array([3.0, 3.8, 2.5, 4.2, 3.0]), np.array([0.1, 0.2, 0.1, 0.2, 0.05])
    whole = pooling.pooled(level, variance, families)
    moved = np.array([pooling.pooled(level + one, variance, families).level - whole.level for one in np.eye(5)])
    assert whole.own == pytest.approx(np.diag(moved))
    assert whole.group == pytest.approx([moved[1, 0], moved[0, 1], 0, 0, 0])
    of_its_kind = [moved[2, 0], moved[2, 1], moved[0, 2] + moved[1, 2], moved[4, 3], moved[3, 4]]
    assert whole.kind == pytest.approx(of_its_kind)
    assert whole.others == pytest.approx(1 - whole.own - whole.group - whole.kind) and whole.others.min() > 0


def test_the_only_one_of_its_kind_leans_on_no_kind():
    told = evidence_of([0, 1, 1, 1], [5, 20, 22, 25], [FIRST_DAY] * 4)
    whole = fit(told, Families(np.arange(2), np.arange(2)), ON).working.pooled
    assert whole.own[0] > 0.5 and whole.kind == pytest.approx([0, 0]) and whole.others[0] > 0
