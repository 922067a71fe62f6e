"""The null from readings.

The model is derived, not published: least squares on A^2 = S^2 (C - C0)^2 + F^2. Cases L1.8 to L1.11 were worked out
apart from this code (L1.9 can be followed by hand: 169, 25, 169 at 30, 40, 50 is 1.44 (C - 40)^2 + 25). Points of
Student's t are those of the usual printed table (Fisher and Yates; from memory).
"""

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.pairing.rules.null import CAUTIONS, find_null
from inventory.pairing.rules.null_fit import DB, LINEAR, MOST_READINGS, SCALES, SQUARE_LAW, NullReading, NullRefused
from inventory.pairing.rules.null_next import suggest_next
from inventory.pairing.rules.null_table import parse_readings

L1_11 = ([20, 25, 30, 35, 40, 45, 50], [41, 28, 16, 6, 12, 24, 37])


def taken(places, values, weights=None):
    weights = weights or [1.0] * len(places)
    return [NullReading(*row) for row in zip(places, values, weights, strict=True)]


def shown(square, scale):
    """What an indicator of that scale shows for A^2."""
    return {LINEAR: math.sqrt, SQUARE_LAW: float, DB: lambda s: 10 * math.log10(s)}[scale](square)


def curve(places, null, slope, floor, scale=LINEAR):
    return taken(places, [shown(slope**2 * (at - null) ** 2 + floor**2, scale) for at in places])


# --- check cases ------------------------------------------------------------------------------------------------------


def test_l1_8_an_exact_curve():
    values = [3.7947331922, 2.3323807579, 1.2649110641, 1.6970562748, 3.0463092423]
    found = find_null(taken([38, 40, 42, 44, 46], values))
    assert found.curve == pytest.approx((0.64, -54.4, 1157.44), abs=1e-6)
    assert (found.setting, found.slope) == pytest.approx((42.5, 0.8), abs=1e-6)
    assert found.floor**2 == pytest.approx(1.44, abs=1e-6)
    assert found.depth_db == pytest.approx(10, abs=1e-6)  # 38 holds the largest reading
    assert (found.points, found.inside, found.freedom, found.warnings) == (5, True, 2, ())


def test_l1_9_three_readings():
    found = find_null(taken([30, 40, 50], [13, 5, 13]))
    assert (found.setting, found.slope, found.floor) == pytest.approx((40, 1.2, 5), abs=1e-9)
    assert found.standard_error is None and found.standard_error_even is None
    assert any("no standard error" in warning for warning in found.warnings)


def test_l1_10_three_readings_unequally_spaced():
    found = find_null(taken([30, 40, 60], [10, 4, 20]))
    assert found.curve[0] == pytest.approx(0.92, abs=1e-8)
    assert found.setting == pytest.approx(39.5652173913, abs=1e-8)
    assert found.floor**2 == pytest.approx(15.8260869565, abs=1e-8)
    assert found.floor == pytest.approx(3.97820147259, abs=1e-8)


def test_l1_11_readings_with_scatter():
    found = find_null(taken(*L1_11))
    assert found.curve == pytest.approx((6.6219047619, -473.99047619, 8507.92857143), abs=1e-6)
    assert (found.setting, found.slope) == pytest.approx((35.7895872285, 2.5733061928), abs=1e-6)
    assert found.floor**2 == pytest.approx(25.9668248718, abs=1e-6)
    assert found.standard_error == pytest.approx(0.0309040951, abs=1e-9)
    assert found.freedom == 4


def test_the_contract_of_the_answer():
    found = find_null(taken(*L1_11)).as_dict()
    names = "setting standard_error floor depth_db slope points inside warnings next_setting"
    assert list(found) == names.split() and found["warnings"] == []


# --- scales, weights, repeated readings -------------------------------------------------------------------------------


@pytest.mark.parametrize("scale", SCALES)
def test_every_scale_finds_the_same_null(scale):
    found = find_null(curve([30, 34, 41, 47, 50], 39.3, 0.7, 1.1, scale), scale)
    assert (found.setting, found.slope, found.floor) == pytest.approx((39.3, 0.7, 1.1), abs=1e-9)
    assert found.reading_at(41) == pytest.approx(shown(0.49 * 1.7**2 + 1.21, scale), abs=1e-9)


def test_a_square_law_reading_is_not_squared_again():
    readings = curve([30, 35, 40, 45, 50], 40, 1, 2, SQUARE_LAW)
    assert find_null(readings, SQUARE_LAW).floor == pytest.approx(2)
    assert find_null(readings, LINEAR).floor != pytest.approx(2, abs=0.5)


def test_a_weight_of_two_is_the_reading_twice():
    places, values = L1_11
    twice = find_null(taken([*places, 45], [*values, 24]))
    heavy = find_null(taken(places, values, [1, 1, 1, 1, 1, 2, 1]))
    assert heavy.setting == pytest.approx(twice.setting, abs=1e-12)
    assert heavy.floor == pytest.approx(twice.floor, abs=1e-9)


def test_only_the_ratio_of_weights_counts():
    one, other = (find_null(taken(*L1_11, [w * k for w in (1, 2, 3, 4, 3, 2, 1)])) for k in (1, 250))
    assert one.standard_error == pytest.approx(other.standard_error)
    assert one.standard_error_even == pytest.approx(other.standard_error_even)


@pytest.mark.parametrize("seed", range(20))
def test_against_another_fit(seed):
    """Coefficients and their covariance from numpy.polyfit, the error carried on from there."""
    rng = np.random.default_rng(seed)
    places = np.sort(rng.uniform(20, 60, 8))
    squares = 2.0 * (places - 41) ** 2 + 90 + rng.normal(0, 8, 8)
    weights = rng.uniform(0.5, 2, 8)
    found = find_null(taken(places.tolist(), squares.tolist(), weights.tolist()), SQUARE_LAW)
    (a, b, c), cov = np.polyfit(places, squares, 2, w=np.sqrt(weights), cov=True)
    gradient = np.array([b / (2 * a * a), -1 / (2 * a), 0])
    assert found.setting == pytest.approx(-b / (2 * a), abs=1e-9)
    assert found.standard_error == pytest.approx(math.sqrt(gradient @ cov @ gradient), rel=1e-7)
    assert found.curve == pytest.approx((a, b, c), rel=1e-7)


def test_three_settings_read_repeatedly_have_an_error_of_their_own():
    found = find_null(taken([30, 30, 40, 40, 50, 50], [13.2, 12.8, 5.1, 4.9, 13.1, 12.9]))
    assert found.freedom == 3 and found.standard_error > 0
    assert found.setting == pytest.approx(40, abs=0.05)


# --- exact data -------------------------------------------------------------------------------------------------------

gaps = st.lists(st.floats(0.05, 1), min_size=2, max_size=8)


@settings(max_examples=300, deadline=None)
@given(
    gaps, st.floats(-1000, 1000), st.floats(0.01, 500), st.floats(0.001, 0.999),
    st.floats(0.001, 1000), st.floats(0, 10), st.sampled_from(SCALES),
)  # fmt: skip
def test_the_null_of_exact_data_is_found(steps, start, span, part, slope, floor, scale):
    places = [start + span * at / sum(steps) for at in np.cumsum([0, *steps]).tolist()]
    null, floor = start + span * part, floor * slope * span
    if scale == DB:
        floor += slope * span / 1000  # nothing at all has no dB
    found = find_null(curve(places, null, slope, floor, scale), scale)
    assert abs(found.setting - null) <= 1e-6 * span
    assert found.slope == pytest.approx(slope, rel=1e-6)
    assert found.inside


@settings(max_examples=100, deadline=None)
@given(gaps.filter(lambda g: len(g) > 2), st.randoms(use_true_random=False), st.floats(0.5, 20), st.floats(-50, 50))
def test_order_and_dial_numbering_do_not_matter(steps, chance, stretch, shift):
    places = np.cumsum([0, *steps]).tolist()
    values = [abs(at - sum(steps) * 0.6) + chance.uniform(0.1, 0.2) for at in places]
    try:
        found = find_null(taken(places, values))
    except NullRefused:
        return
    mixed = taken([shift + stretch * at for at in places], values)
    chance.shuffle(mixed)
    again = find_null(mixed)
    assert again.setting == pytest.approx(shift + stretch * found.setting, abs=1e-6 * stretch * sum(steps))
    if found.standard_error is None:  # two settings at the top of the scale, and three left
        assert again.standard_error is None
    else:
        assert again.standard_error == pytest.approx(stretch * found.standard_error, rel=1e-5, abs=1e-9)
    assert again.floor == pytest.approx(found.floor, abs=1e-6)


# --- with noise: what the standard error promises ---------------------------------------------------------------------

TRIALS = 2000
T4 = {0.50: 0.741, 0.95: 2.776}  # Student's t, 4 degrees of freedom, two-sided
PLACES = np.array([20, 25, 30, 35, 40, 45, 50.0])


def squares():
    return 2.5**2 * (PLACES - 36.4) ** 2 + 5**2


NOISY = {  # (scale, what scatters evenly): readings of one trial
    (SQUARE_LAW, "squares"): lambda rng: squares() + rng.normal(0, 4, 7),
    (LINEAR, "squares"): lambda rng: np.sqrt(squares() + rng.normal(0, 4, 7)),
    (LINEAR, "readings"): lambda rng: np.sqrt(squares()) + rng.normal(0, 0.3, 7),
    (DB, "readings"): lambda rng: 10 * np.log10(squares()) + rng.normal(0, 0.1, 7),
}


@cache
def trials(scale, even, seed):
    """The answers of TRIALS trials; asked of more than one test."""
    rng = np.random.default_rng(seed)
    return [find_null(taken(PLACES.tolist(), NOISY[scale, even](rng).tolist()), scale) for _ in range(TRIALS)]


def covered(scale, even, error, seed):
    """Part of the trials in which the truth lies within t standard errors, for each rate."""
    inside = dict.fromkeys(T4, 0)
    for found in trials(scale, even, seed):
        assert found.freedom == 4
        for rate, t in T4.items():
            inside[rate] += abs(found.setting - 36.4) <= t * getattr(found, error)
    return {rate: count / TRIALS for rate, count in inside.items()}


def within(rate):
    """Four standard deviations of a count of TRIALS: a true rate falls outside once in 16,000 seeds."""
    return 4 * math.sqrt(rate * (1 - rate) / TRIALS)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_standard_error_covers_the_truth_when_the_squares_scatter_evenly(seed):
    for scale in (SQUARE_LAW, LINEAR):
        for rate, part in covered(scale, "squares", "standard_error", seed).items():
            assert abs(part - rate) <= within(rate), (scale, rate, part)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_even_error_covers_the_truth_when_the_readings_scatter_evenly(seed):
    """At 95 %, to 1 % and chance. (A variance pooled from unlike residuals has fewer degrees of freedom than taken:
    the t of 50 % covers some 44 to 48 %, so that rate is not promised.)
    """
    for scale in (LINEAR, DB):
        part = covered(scale, "readings", "standard_error_even", seed)[0.95]
        assert abs(part - 0.95) <= within(0.95) + 0.01, (scale, part)


def test_the_plain_error_is_too_small_when_linear_readings_scatter_evenly():
    """Why there are two: the plain one then covers about 86 % instead of 95 %."""
    part = covered(LINEAR, "readings", "standard_error", 1)[0.95]
    assert 0.80 < part < 0.90


# --- warnings ---------------------------------------------------------------------------------------------------------


def warned(found, words):
    return any(words in warning for warning in found.warnings)


@pytest.mark.parametrize(("null", "side"), [(60, "above"), (10, "below")])
def test_all_readings_on_one_side(null, side):
    found = find_null(curve([30, 35, 40, 45], null, 1, 2))
    assert not found.inside and found.setting == pytest.approx(null)
    assert warned(found, f"none is {side} the minimum. Read next at {found.next_setting:g}")
    assert (found.next_setting > 45) if side == "above" else (found.next_setting < 30)


def test_a_minimum_off_the_dial():
    found = find_null(curve([70, 80, 90], 104, 1, 2), low=0, high=100)
    assert warned(found, "off the dial, at 104") and found.next_setting <= 100


def test_a_shallow_null_points_away_from_the_capacitor():
    found = find_null(curve([30, 35, 40, 45, 50], 40, 1, 5))
    assert found.depth_db == pytest.approx(20 * math.log10(math.sqrt(125) / 5))
    for words in ("stray coupling", "tap", "ground"):
        assert warned(found, words)
    assert not warned(find_null(curve([30, 35, 40, 45, 50], 40, 1, 1)), "Shallow")


def test_a_floor_below_zero_is_taken_as_zero():
    found = find_null(taken([30, 35, 40, 45, 50], [10, 4.8, 0, 4.8, 10]))
    assert found.floor == 0 and found.depth_db is None and warned(found, "taken as 0")
    assert found.reading_at(found.setting) == 0
    assert replace(found, scale=DB).reading_at(found.setting) is None


def test_a_curve_lost_in_the_scatter():
    assert warned(find_null(taken([30, 35, 40, 45, 50], [5, 4.2, 5.1, 4.3, 5.2])), "hardly rises")


def test_a_dial_that_bends_far_from_the_null():
    bent = [abs(at + 0.02 * at * at * (at > 0)) + 0.2 for at in range(-8, 9, 2)]
    assert warned(find_null(taken(list(range(-8, 9, 2)), bent)), "Readings far from the null")
    near = find_null(curve(range(-8, 9, 2), 0.3, 1, 0.5))
    assert not warned(near, "Readings far from the null")


def test_repeated_readings_show_a_bend_alike_on_both_sides():
    places = [-8, -8, -4, -4, 0, 0, 4, 4, 8, 8]
    values = [abs(at) ** 1.3 + 0.5 + (0.02 if i % 2 else -0.02) for i, at in enumerate(places)]
    assert warned(find_null(taken(places, values)), "Readings far from the null")


def test_straight_readings_seldom_raise_the_alarm_of_a_bend():
    rng = np.random.default_rng(7)
    alarms = 0
    for _ in range(500):
        values = np.sqrt(squares() + rng.normal(0, 4, 7)).tolist()
        alarms += warned(find_null(taken(PLACES.tolist(), values)), "Readings far from the null")
    assert alarms <= 35  # t of 4 at 3 d.f. is passed once in 36 by chance (usual table): 14 of 500 expected


def test_what_is_true_of_every_null():
    assert any("says nothing of another" in caution for caution in CAUTIONS)
    assert any("not linear in capacitance" in caution for caution in CAUTIONS)
    assert any("plate supply off" in caution for caution in CAUTIONS)


# --- refusals ---------------------------------------------------------------------------------------------------------

REFUSED = [
    ([], LINEAR, "0 different settings"),
    (taken([30, 40], [3, 4]), LINEAR, "2 different settings"),
    (taken([30, 40, 40, 40 + 1e-12], [3, 4, 4, 4]), LINEAR, "2 different settings"),
    (taken([30, 30, 30], [3, 4, 5]), LINEAR, "1 different settings"),
    (taken([0, 1e-300, 2e-300], [3, 1, 3]), LINEAR, "1 different settings"),
    (taken([30, 40, 50], [4, 5, 4]), LINEAR, "no minimum"),
    (taken([30, 40, 50], [5, 5, 5]), LINEAR, "no minimum"),
    (taken([30, 40, 50], [1, 2, 3]), SQUARE_LAW, "no minimum"),
    (taken([30, 40, 50], [0, 0, 0]), LINEAR, "no minimum"),
    (taken([30, 40, 50], [4, -5, 4]), LINEAR, "setting 40: reading -5 is negative"),
    (taken([30, 40, 50], [4, -5, 4]), SQUARE_LAW, "negative"),
    (taken([30, 40, 50], [4, math.nan, 4]), LINEAR, "setting 40"),
    (taken([30, math.inf, 50], [4, 3, 4]), LINEAR, "inf"),
    (taken([30, 40, 50], [4, 1e200, 4]), LINEAR, "setting 40"),
    (taken([30, 1e13, 50], [4, 3, 4]), LINEAR, "outside all sense"),
    (taken([30, 40, 50], [4, -4000, 4]), DB, "setting 40"),
    (taken([30, 40, 50], [4, 1, 4], [1, 0, 1]), LINEAR, "weight 0"),
    (taken([30, 40, 50], [4, 1, 4], [1, math.nan, 1]), LINEAR, "weight nan"),
    (taken([30, 40, 50], [4, 1, 4]), "log", "scale 'log'"),
    (taken(range(MOST_READINGS + 1), [1] * (MOST_READINGS + 1)), LINEAR, "at most 10000"),
]


@pytest.mark.parametrize(("readings", "scale", "words"), REFUSED)
def test_refused_in_one_line(readings, scale, words):
    with pytest.raises(NullRefused, match=words) as refusal:
        find_null(readings, scale)
    assert "\n" not in str(refusal.value)


@pytest.mark.parametrize(("low", "high"), [(100, 0), (5, 5), (math.nan, 10), (0, math.inf)])
def test_a_dial_that_is_none_is_refused(low, high):
    with pytest.raises(NullRefused, match="dial"):
        find_null(taken(*L1_11), low=low, high=high)


def test_a_setting_off_the_dial_is_refused():
    with pytest.raises(NullRefused, match="setting 20 is not on the dial"):
        find_null(taken(*L1_11), low=25, high=100)


numbers = st.floats(allow_nan=True, allow_infinity=True)


@settings(max_examples=300, deadline=None)
@given(st.lists(st.builds(NullReading, numbers, numbers, numbers | st.just(1.0)), max_size=6), st.sampled_from(SCALES))
def test_whatever_comes_in_is_answered_or_refused(readings, scale):
    try:
        found = find_null(readings, scale)
    except NullRefused:
        return
    assert math.isfinite(found.setting) and math.isfinite(found.floor) and math.isfinite(found.next_setting)


# --- where to read next -----------------------------------------------------------------------------------------------


def test_the_first_readings_are_spread_over_the_dial():
    assert suggest_next([], low=0, high=100) == 25
    assert suggest_next(taken([25], [3]), low=0, high=100) == 75
    assert suggest_next(taken([80], [3]), low=0, high=100) == 25
    assert suggest_next(taken([25, 75], [3, 9]), low=0, high=100) == 0  # the side that falls
    assert suggest_next(taken([25, 75], [9, 3]), low=0, high=100) == 100
    assert suggest_next(taken([25, 75], [9, 9]), low=0, high=100) == 50
    assert suggest_next(taken([0, 75], [3, 9]), low=0, high=100) == pytest.approx(37.5, abs=1)


def test_without_the_ends_of_the_dial_nothing_is_guessed_at_first():
    assert suggest_next([]) is None and suggest_next(taken([25], [3])) is None
    assert suggest_next(taken([25, 30], [9, 3])) == 35


def test_readings_that_only_rise_lead_down():
    assert suggest_next(taken([30, 40, 50], [4, 5, 5.5])) == 20


def test_a_figure_that_is_none_is_refused_when_asking_too():
    with pytest.raises(NullRefused):
        suggest_next(taken([30], [-4]), low=0, high=100)


def test_the_lonely_side_goes_first():
    assert find_null(curve([30, 33, 36, 39, 41], 40, 1, 2)).next_setting > 41
    assert find_null(curve([39, 41, 44, 47, 50], 40, 1, 2)).next_setting < 39


def test_far_from_the_floor_is_not_sensible():
    """20 dB above the floor is ten times the floor: 10 F/S divisions away."""
    found = find_null(curve([0, 25, 75, 100], 52, 0.8, 1.5))
    assert abs(found.next_setting - 52) <= 10 * 1.5 / 0.8 + 1


@settings(max_examples=60, deadline=None)
@given(st.floats(10, 90), st.floats(0.1, 5), st.floats(0, 10), st.integers(0, 2**32 - 1))
def test_following_the_suggestions_finds_the_null_on_both_sides(null, slope, floor, seed):
    rng, readings = np.random.default_rng(seed), []
    for _ in range(14):
        at = suggest_next(readings, low=0, high=100)
        assert 0 <= at <= 100
        noise = rng.normal(0, 0.02 * slope)
        readings.append(NullReading(at, abs(math.hypot(slope * (at - null), floor) + noise)))
    found = find_null(readings, low=0, high=100)
    assert found.inside
    assert abs(found.setting - null) <= 1 + 0.02 * floor / slope
    below = sum(one.setting < found.setting for one in readings)
    assert 4 <= below <= 10


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 2**32 - 1))
def test_the_suggested_reading_lowers_the_variance_nearly_as_much_as_the_best(seed):
    """Against a search by adding a reading on the curve itself at 200 places, the scatter held the same."""
    rng = np.random.default_rng(seed)
    places = np.sort(rng.uniform(30, 50, 6))
    if np.diff(places).min() < 0.5:
        return
    found = find_null(curve(places.tolist(), 40, 1, 3))
    if not found.inside:
        return  # beyond all readings the next one goes a bounded step past the null

    def variance(extra):
        shape = np.vander((np.array([*places, *extra]) - 40) / 10, 3)
        return float(np.linalg.inv(shape.T @ shape)[1, 1])  # at C0 the error of the null is that of the slope

    reach = np.abs(places - 40).max()
    gains = [variance([]) - variance([at]) for at in np.linspace(40 - reach, 40 + reach, 200)]
    assert variance([]) - variance([found.next_setting]) >= 0.6 * max(gains)


# --- reading a table --------------------------------------------------------------------------------------------------

EXPECTED = [(37.5, 12.25), (40.0, 3.0)]
TABLES = [
    "setting,reading\n37.5,12.25\n40,3\n",
    "\ufeffsetting;reading\r\n37,5;12,25\r\n40;3\r\n",
    "Reading ; Setting\n12,25;37,5\n\n;\n3;40",
    '"setting","reading"\n"37,5","12,25"\n"40","3"\n',
    "setting\treading\tremark\n37.5\t12.25\twobble\n40\t3\n",
    "37.5,12.25\r40,3\r",
    "37.5 12.25\n 40   3 \n",
    "\n\nsetting,reading,weight\n37.5,12.25,\n+40,3e0,1\n",
    "setting,reading\n37.5,12.25,\n40,3,,\n",
]


@pytest.mark.parametrize("text", TABLES)
def test_tables_as_people_write_them(text):
    assert [(one.setting, one.reading) for one in parse_readings(text)] == EXPECTED
    assert {one.weight for one in parse_readings(text)} == {1.0}


def test_a_minus_sign_and_a_weight():
    (one,) = parse_readings("setting;reading;weight\n40;−12,5;4")
    assert (one.reading, one.weight) == (-12.5, 4.0)


FAULTS = [
    ("", "r.csv is empty"),
    (" \n;;\n", "r.csv is empty"),
    ("setting,value\n1,2\n", "r.csv:1: expected one column 'reading'"),
    ("setting,reading,reading\n1,2,3\n", "r.csv:1"),
    ("setting,reading\n1,2\n\n3,abc\n", "r.csv:4: reading is 'abc'"),
    ("setting,reading\n1\n", "r.csv:2: reading is ''"),
    ("setting,reading\n1,nan\n", "r.csv:2"),
    ("setting,reading\n1_0,2\n", "r.csv:2"),
    ("setting,reading\n٣,2\n", "r.csv:2"),
    ("setting,reading\n37,5,12,25\n", "r.csv:2: 4 cells for 2 columns"),
    ('setting;reading\n"1.234,5";2\n', "r.csv:2: setting is"),
    ('setting,reading\n"1,2\n', "r.csv:2: cannot be read"),
    ("setting,reading\n1,2,5\n", "r.csv:2: 3 cells for 2 columns in '1,2,5'; with decimal commas"),
    ("30, 5, 12\n37, 5, 3", "r.csv:1: 3 cells for 2 columns in '30, 5, 12'"),  # 30,5 with 12, or 30 with 5?
    ("37,5 12\n40,5 3", "r.csv:1: found '37,5 12'; with decimal commas put a semicolon"),
    ("30 12\n37, 5 12", "r.csv:2: a blank stands after the comma in '37, 5 12'"),
    ("setting;reading\n30;4\n37, 5;3", "r.csv:3: setting is '37, 5', a decimal comma with a blank; write 37,5"),
    ("30\t12 ,5\n", "r.csv:1: reading is '12 ,5', a decimal comma with a blank; write 12,5"),
    ("setting,reading\n" + "1,2\n" * (MOST_READINGS + 1), "r.csv:10002: more than 10000 rows"),
]


@pytest.mark.parametrize(("text", "words"), FAULTS)
def test_a_fault_names_the_line(text, words):
    with pytest.raises(NullRefused) as refusal:
        parse_readings(text, "r.csv")
    assert str(refusal.value).startswith(words) and "\n" not in str(refusal.value)


def test_a_negative_reading_names_the_line():
    with pytest.raises(NullRefused, match=r"r.csv:3: reading -4 is negative"):
        find_null(parse_readings("setting,reading\n1,2\n2,-4\n3,2\n", "r.csv"))


@settings(max_examples=300, deadline=None)
@given(st.text(max_size=60) | st.text(alphabet='0123,;. \t\n"-e', max_size=60))
def test_any_text_is_read_or_refused(text):
    try:
        parse_readings(text)
    except NullRefused as refusal:
        assert "readings" in str(refusal)
