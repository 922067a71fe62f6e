"""Which readings decide where the null is, and whether the error that is stated is honest.

Weights: propagation of error, NIST/SEMATECH e-Handbook of Statistical Methods, 2.5.5 (a reading A with error s has A^2
with error 2 A s). How honest the error is was tried by Monte Carlo with fixed seeds, here against a known null.
"""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from inventory.pairing.rules.null import find_null
from inventory.pairing.rules.null_fit import DB, LINEAR, SCALES, SQUARE_LAW, NullReading, NullRefused
from inventory.pairing.rules.null_near import ALIKE, NEAR
from inventory.pairing.rules.null_next import suggest_next

FLAT = [(30, 92), (34, 70), (38, 41), (40, 26), (42, 14), (43, 12), (44, 16), (46, 31), (50, 62), (54, 88)]
PLACES = [30, 34, 38, 40, 42, 43, 44, 46, 50, 54]


def taken(rows):
    return [NullReading(float(setting), float(reading)) for setting, reading in rows]


def words(found):
    return " ".join(found.warnings)


@pytest.mark.parametrize("rows", [FLAT, FLAT[::-1], FLAT + FLAT, sorted(FLAT, key=lambda row: row[1])])
def test_readings_whose_floor_lies_above_the_lowest_one(rows):
    """All alike they give 42.418 and a floor of 19 where 12 was read; drawn by hand the null lies from 42.4 to 42.8."""
    found = find_null(taken(rows))
    assert 42.4 < found.setting < 42.8 and found.standard_error >= 0.15
    assert found.by == NEAR and found.floor < 14
    assert "The floor of the curve through all readings, 18.95, lies above the lowest reading, 12." in words(found)
    assert "weights near 1/A^2" in words(found) and "NIST/SEMATECH e-Handbook 2.5.5" in words(found)
    assert 40 <= found.next_setting <= 46 and suggest_next(taken(rows)) == found.next_setting


def test_the_same_on_other_scales():
    square = find_null(taken([(at, shown**2) for at, shown in FLAT]), SQUARE_LAW)
    level = find_null(taken([(at, 20 * math.log10(shown)) for at, shown in FLAT]), DB)
    assert all(42.4 < found.setting < 42.8 and found.by == NEAR for found in (square, level))
    assert "1/A^4, as for an error constant in dB" in words(level)
    assert "359.3, lies above the lowest reading, 144" in words(square)  # in the unit of its readings


def test_against_a_weighted_fit_of_another_make():
    """numpy.polyfit with the same weights: 1 over the fitted amplitude and half the scatter, as that came out."""
    found = find_null(taken(FLAT))
    places, read = (np.array(column, dtype=float) for column in zip(*FLAT, strict=True))
    weights = 1 / read
    for _ in range(60):
        a, b, c = np.polyfit(places - 42, read**2, 2, w=weights)
        fitted = a * (places - 42) ** 2 + b * (places - 42) + c
        spread = float(weights**2 @ (read**2 - fitted) ** 2) / 7
        weights = 1 / np.sqrt(np.maximum(fitted, 0) + spread / 8)
    assert found.setting == pytest.approx(42 - b / (2 * a), abs=1e-4)
    assert found.floor == pytest.approx(math.sqrt(c - b * b / (4 * a)), abs=1e-3)


def test_all_readings_decide_where_the_curve_fits_them():
    found = find_null(taken([(20, 41), (25, 28), (30, 16), (35, 6), (40, 12), (45, 24), (50, 37)]))  # L1.11
    assert (found.by, found.warnings) == (ALIKE, ())
    assert "decided_by" not in found.as_dict()
    assert find_null(taken(FLAT)).as_dict()["decided_by"] == NEAR


def test_weights_of_the_keepers_own_are_kept():
    found = find_null([NullReading(at, shown, weight) for (at, shown), weight in zip(FLAT, range(1, 11), strict=True)])
    assert found.by == ALIKE and "lies above the lowest reading" in words(found)


# --- is the stated error honest? --------------------------------------------------------------------------------------


def straight(at):
    return np.hypot(7 * (at - 42.6), 12)


def bending(at):
    """A dial whose divisions shrink upwards, as those of a condenser with shaped plates."""
    return np.hypot(7 * ((at - 42.6) - 0.015 * (at - 42.6) ** 2), 12)


def overloaded(at):
    """An indicator that flattens off on large readings."""
    amplitude = np.hypot(8 * (at - 42.6), 12)
    return amplitude / (1 + amplitude / 250)


def noisy(scale, amplitude, rng):
    if scale == DB:
        return 20 * np.log10(amplitude) + rng.normal(0, 0.3, len(amplitude))
    if scale == SQUARE_LAW:
        return np.maximum(amplitude**2 + rng.normal(0, 30, len(amplitude)), 0)
    return np.maximum(amplitude + rng.normal(0, 1, len(amplitude)), 0)


TRIALS = 400


@pytest.mark.parametrize("scale", SCALES)
@pytest.mark.parametrize("shape", [straight, bending, overloaded])
def test_the_stated_error_covers_the_truth(scale, shape):
    """95 % intervals by Student's t, 7 degrees of freedom: at least 92 % of 400 (three standard deviations less)."""
    rng, places = np.random.default_rng(20), np.array(PLACES, dtype=float)
    inside, near, t = 0, 0, stats.t.ppf(0.975, 7)
    for _ in range(TRIALS):
        found = find_null(taken(zip(places, noisy(scale, shape(places), rng), strict=True)), scale)
        inside += abs(found.setting - 42.6) <= t * found.standard_error_even
        near += found.by == NEAR
        assert PLACES[0] <= found.next_setting <= PLACES[-1]
    assert inside >= 0.92 * TRIALS
    assert near > (0.3 if shape is straight else 0.9) * TRIALS


def test_all_alike_a_bent_dial_would_mislead():
    """What the readings near the minimum are for: the parabola through all lies 1.5 divisions off, ten errors."""
    places = np.array(PLACES, dtype=float)
    a, b, _ = np.polyfit(places, bending(places) ** 2, 2)
    assert abs(-b / (2 * a) - 42.6) > 1.5
    assert abs(find_null(taken(zip(places, bending(places), strict=True))).setting - 42.6) < 0.3


# --- a dead indicator -------------------------------------------------------------------------------------------------


def test_zeros_side_by_side_are_a_dead_indicator():
    found = find_null(taken([(30, 60), (34, 40), (38, 12), (40, 0), (42, 0), (44, 0), (46, 8), (50, 33)]))
    assert found.dead == (40, 44) and "The indicator is dead between 40 and 44" in words(found)
    assert 40 <= found.setting <= 44 and found.standard_error >= 4 / math.sqrt(12) - 1e-9  # an even spread over 4
    assert (found.floor, found.depth_db, found.inside) == (0, None, True)
    assert found.next_setting == 45 and found.as_dict()["dead_between"] == [40, 44]


def test_a_single_zero_is_a_null_like_another():
    found = find_null(taken([(30, 10), (35, 5), (40, 0), (45, 5), (50, 10)]))
    assert found.dead is None and found.setting == pytest.approx(40)


def test_a_dead_stretch_with_nothing_beyond():
    found = find_null(taken([(30, 10), (35, 4), (39, 0), (41, 0)]))
    assert not found.inside and "nothing was read beyond" in words(found) and found.next_setting > 41
    with pytest.raises(NullRefused, match=r"no minimum.* the indicator is dead between 30 and 50"):
        find_null(taken([(30, 0), (40, 0), (50, 0)]))


# --- where to read next -----------------------------------------------------------------------------------------------


@settings(max_examples=150, deadline=None)
@given(
    st.lists(st.integers(0, 100), min_size=10, max_size=20, unique=True), st.floats(0, 100), st.floats(0, 20),
    st.sampled_from([LINEAR, SQUARE_LAW]), st.integers(0, 2**32 - 1),
)  # fmt: skip
def test_with_ten_readings_nothing_is_read_far_outside(places, null, floor, scale, seed):
    rng, at = np.random.default_rng(seed), np.array(sorted(places), dtype=float)
    amplitude = np.maximum(np.hypot(at - null, floor) + rng.normal(0, 0.5, len(at)), 0)
    try:
        found = find_null(taken(zip(at, amplitude if scale == LINEAR else amplitude**2, strict=True)), scale)
    except NullRefused:
        return
    span = at[-1] - at[0]
    beyond = 0 if found.inside else span / 2
    assert at[0] - beyond - 0.02 * span <= found.next_setting <= at[-1] + beyond + 0.02 * span
