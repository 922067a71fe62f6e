"""Repeatability, two instruments, trend.

L3.6 by hand (ISO 5725 usage, from memory). The line through two scattering variables: Pearson's ten points of 1901
(K. Pearson, Phil. Mag. 2, 559) and his line, y = 5.784 - 0.5456 x, from memory; beside it scipy's orthogonal distance
regression. Theil and Sen's line beside a plain list of all slopes.
"""

from datetime import date, timedelta
from statistics import median

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.running.rules.deming import DemingRefused, deming
from inventory.running.rules.repeatability import RepeatabilityRefused, repeatability
from inventory.running.rules.trend import NO_TREND, TrendPoint, TrendRefused, trend

PEARSON = list(
    zip(
        [0.0, 0.9, 1.8, 2.6, 3.3, 4.4, 5.2, 6.1, 6.5, 7.4],
        [5.9, 5.4, 4.4, 4.6, 3.5, 3.7, 2.8, 2.8, 2.4, 1.5],
        strict=True,
    )
)

# --- repeatability ----------------------------------------------------------------------------------------------------


def test_l3_6_duplicate_readings():
    found = repeatability([(1000 + d, 1000) for d in (50, -30, 20, -60, 10)])
    assert found.s == pytest.approx(27.3861278753, abs=1e-4)
    assert found.limit == pytest.approx(75.9104736, abs=1e-4)
    assert found.limit / found.s == pytest.approx(2.77185858225, abs=1e-9)
    assert (found.tubes, found.freedom, found.remarks) == (5, 5, ())
    assert found.low < found.s < found.high


def test_more_readings_of_a_tube_are_pooled():
    found = repeatability([(1, 2, 3), (5,), (7, 7)])
    assert found.s == pytest.approx((2 / 3) ** 0.5)
    assert (found.tubes, found.freedom) == (2, 3)
    assert "rough" in found.remarks[0]


@pytest.mark.parametrize("repeats", [[], [(1,), (2,)], [(1, float("nan"))]])
def test_no_repeatability(repeats):
    with pytest.raises(RepeatabilityRefused):
        repeatability(repeats)


# --- two instruments --------------------------------------------------------------------------------------------------


def test_pearsons_line():
    found = deming(PEARSON, ratio=1)
    assert (found.intercept, found.slope) == pytest.approx((5.784, -0.5456), abs=5e-4)
    assert found.tubes == 10 and found.remarks == ()
    assert found.at(2) == pytest.approx(found.intercept + 2 * found.slope)
    assert found.slope_interval[0] < found.slope < found.slope_interval[1]


@pytest.mark.filterwarnings("ignore::DeprecationWarning")
@pytest.mark.parametrize("ratio", [0.2, 1, 7])
def test_beside_orthogonal_distance_regression(ratio):
    odr = pytest.importorskip("scipy.odr")
    x, y = np.array(PEARSON).T
    line = odr.ODR(odr.RealData(x, y, sx=1, sy=ratio**0.5), odr.Model(lambda b, at: b[0] + b[1] * at), [5, -0.5]).run()
    found = deming(PEARSON, ratio)
    assert (found.intercept, found.slope) == pytest.approx(tuple(line.beta), rel=1e-5)


def test_without_the_ratio_the_units_do_not_matter():
    found = deming(PEARSON)
    scaled = deming([(x, 1000 * y) for x, y in PEARSON])
    assert scaled.slope == pytest.approx(1000 * found.slope)
    x, y = np.array(PEARSON).T
    assert found.slope == pytest.approx(-y.std() / x.std())  # the reduced major axis
    assert any("not known" in remark for remark in found.remarks)


def test_an_exact_line():
    found = deming([(x, 3 + 2 * x) for x in range(6)])
    assert (found.slope, found.intercept, found.scatter) == pytest.approx((2, 3, 0), abs=1e-9)
    assert "rough" in found.remarks[0]


@pytest.mark.parametrize(
    "pairs", [PEARSON[:4], [(1, 2)] * 6, [(1, y) for y in range(6)], [(0, 0), (1, float("inf"))] * 3]
)
def test_no_line(pairs):
    with pytest.raises(DemingRefused):
        deming(pairs)
    with pytest.raises(DemingRefused):
        deming(PEARSON, ratio=0)


# --- trend ------------------------------------------------------------------------------------------------------------

FIRST = date(2020, 1, 1)


def points(*readings, instrument="bench tester", every=500.0, hours=True):
    return [
        TrendPoint(FIRST + timedelta(days=100 * n), reading, every * n if hours else None, instrument)
        for n, reading in enumerate(readings)
    ]


def test_a_steady_fall_reaches_the_minimum():
    found = trend("T1", points(100, 95, 90, 85, 80, 75), 60)
    assert found.as_dict() == {
        "tag": "T1",
        "instrument": "bench tester",
        "points": 6,
        "slope_per_1000_h": pytest.approx(-10),
        "interval": pytest.approx([-10, -10]),
        "hours_to_minimum": pytest.approx(1500),
        "hours_interval": pytest.approx([1500, 1500]),
        "text": "Falls 10 in 1000 h; reaches its minimum in about 1500 h (1500 to 1500 h).",
    }


def test_the_line_is_the_median_of_all_slopes_and_heeds_no_odd_one():
    readings = [100, 97, 94, 120, 87, 86, 81]
    found = trend("T1", points(*readings), 60)
    slopes = [
        (readings[b] - readings[a]) / (500 * (b - a)) for a in range(len(readings)) for b in range(a + 1, len(readings))
    ]
    assert found.slope == pytest.approx(median(slopes))
    assert found.interval[0] < found.slope_per_1000_h < found.interval[1] < 0
    assert found.hours_interval[0] < found.hours_to_minimum < found.hours_interval[1]
    assert found.intercept + found.slope * 1500 == pytest.approx(median(readings))


def test_no_forecast_from_fewer_than_three_points():
    for few in ((), (100,), (100, 50)):
        found = trend("T1", points(*few), 60)
        assert found.slope is None and found.hours_to_minimum is None and NO_TREND in found.text


@pytest.mark.parametrize("readings", [(100, 98, 101, 99, 100), (100, 100, 100), (100, 95, 104)])
def test_no_forecast_where_the_slope_may_be_nought(readings):
    found = trend("T1", points(*readings), 60)
    assert found.slope is not None and found.hours_to_minimum is None and NO_TREND in found.text


def test_no_forecast_of_a_rise():
    found = trend("T1", points(80, 85, 90, 95, 100), 60)
    assert found.hours_to_minimum is None and "rise" in found.text and NO_TREND in found.text


def test_few_points_say_how_little_the_interval_covers():
    assert "covers 67 %" in trend("T1", points(100, 95, 91), 60).text
    assert "covers 92 %" in trend("T1", points(100, 95, 91, 86), 60).text
    assert "covers" not in trend("T1", points(100, 95, 91, 86, 80), 60).text


def test_below_the_minimum_already_and_without_one():
    below = trend("T1", points(70, 65, 60, 55, 50), 60)
    assert below.hours_to_minimum == 0 and "already" in below.text
    assert "No minimum is known" in trend("T1", points(100, 95, 90, 85, 80), None).text


def test_dates_where_hours_are_not_known():
    found = trend("T1", points(100, 95, 90, 85, 80, hours=False), 70)
    assert (found.axis, found.slope_per_1000_h, found.hours_to_minimum) == ("date", None, None)
    assert str(FIRST + timedelta(days=600)) in found.text and "a year" in found.text
    stood = trend("T1", points(100, 95, 90, 85, 80, every=0.0), 70)  # never ran between the tests
    assert stood.axis == "date"
    assert trend("T1", [points(100)[0]] * 4, 70).slope is None


def at(*rows):
    """Readings by day and, if given, hours."""
    return [TrendPoint(FIRST + timedelta(days=n), y, *(h or [None]), "bench tester") for n, y, *h in rows]


def test_repeats_of_a_day_are_no_third_day():
    """Three readings at two x have slopes of one pair of days: their interval says nothing (arithmetic)."""
    found = trend("T1", at((0, 100), (0, 101), (200, 80)), 60)
    assert found.slope is None and found.slopes is None and found.hours_to_minimum is None
    assert found.text == f"readings on two days only: {NO_TREND}."
    assert trend("T1", at((0, 100), (0, 101), (0, 99)), 60).text == f"all readings on one day: {NO_TREND}."
    by_hours = trend("T1", at((0, 100, 0.0), (1, 101, 0.0), (200, 80, 500.0)), 60)
    assert by_hours.slope is None and "at two counts of hours only" in by_hours.text
    assert trend("T1", at((0, 100)), 60).text == f"1 reading: {NO_TREND}."
    assert trend("T1", at((0, 100), (0, 101), (100, 90), (200, 80)), 60).slopes is not None


def test_by_date_it_says_when_it_did_not_run():
    stood = trend("T1", points(100, 95, 90, 85, 80, every=0.0), 70)
    assert stood.axis == "date" and "it did not run between these readings" in stood.text
    assert "did not run" not in trend("T1", points(100, 95, 90, 85, 80, hours=False), 70).text
    assert "did not run" not in trend("T1", points(100, 95, 90, 85, 80), 70).text
    assert "did not run" not in trend("T1", at((0, 100, 5.0), (0, 99, 5.0), (0, 98, 5.0)), 70).text


def test_scales_are_never_mixed():
    with pytest.raises(TrendRefused, match="bench tester and field tester"):
        trend("T1", points(100, 95) + points(90, instrument="field tester"), 60)


@given(st.lists(st.tuples(st.integers(0, 3000), st.floats(0, 1e4)), max_size=12), st.floats(0, 1e4))
def test_any_points_give_a_text_and_sound_figures(rows, minimum):
    taken = [TrendPoint(FIRST + timedelta(days=day), reading, day * 3.0, "bench tester") for day, reading in rows]
    found = trend("T1", taken, minimum)
    assert found.text and found.points == len(rows)
    if found.hours_to_minimum is not None:
        assert len(rows) >= 3 and found.slopes[1] < 0 and found.hours_to_minimum >= 0
        assert found.hours_interval[0] <= found.hours_to_minimum <= found.hours_interval[1]
    else:
        assert NO_TREND in found.text


def test_readings_that_bend_down_are_said_to():
    """100, 99, 97, 94, 88: the last two fall 12 in 1000 h, so 60 is 28 / 12 * 1000 h = 2333 h away (arithmetic)."""
    bent = trend("T1", points(100, 99, 97, 94, 88), 60)
    assert bent.hours_to_minimum == pytest.approx(5727, abs=1)
    assert bent.text.endswith(
        "The readings bend down: the last two fall faster, and at their rate it is reached in about 2333 h."
    )
    by_date = trend("T1", points(100, 99, 97, 94, 88, hours=False), 60)  # 6 in 100 days: 467 days from the last
    assert f"reached about {FIRST + timedelta(days=400 + 466)}." in by_date.text
    assert "bend" not in trend("T1", points(100, 95, 90, 85, 80, 75), 60).text
    assert "bend" not in trend("T1", points(100, 92, 86, 82, 80), 60).text  # it levels out
