"""Commands that only reckon: exact keys, one document, one line and 2 when refused."""

import pytest

from tests.commands import answer_of, refused, told

PROMISED = ["median", "mean", "hodges_lehmann", "mad", "geometric_mean", "interval", "coverage", "weighted_median"]


def test_location_stats():
    answer, beside = answer_of("location_stats", "45", "50", "52", "55", "60", "140")  # L8.3
    assert list(answer)[:8] == PROMISED and beside == ""
    assert (answer["median"], answer["hodges_lehmann"], answer["mad"]) == (53.5, 55, 5)
    assert (answer["interval"], answer["coverage"]) == ([45, 140], 0.96875)
    assert "96.88 % sure" in told("location_stats", "45", "50", "52", "55", "60", "140")


def test_location_stats_of_few():
    answer, _ = answer_of("location_stats", "40", "-60", "80", "--weights", "0.2", "0.5", "0.3")
    assert (answer["interval"], answer["coverage"], answer["geometric_mean"]) == (None, None, None)
    assert answer["weighted_median"] == pytest.approx(-10)  # exactly half of the weight lies at -60
    assert len(answer["remarks"]) == 3


def test_location_stats_of_numbers_below_zero_as_computers_write_them():
    answer, _ = answer_of("location_stats", "-1e5", "-2.5E+1", "-.5")
    assert (answer["median"], answer["mean"]) == (-25, pytest.approx(-100_025.5 / 3))


def test_location_stats_beside_others():
    answer, _ = answer_of("location_stats", "45", "50", "60", "--beside", "40", "41", "55")  # L8.5
    assert answer["shift"] == 5
    assert "above the others by 5" in told("location_stats", "45", "50", "60", "--beside", "40", "41", "55")


def test_location_stats_refuses():
    assert "2 weights for 1 numbers" in refused("location_stats", "1", "--weights", "1", "2")
    assert "no finite figure" in refused("location_stats", "1", "inf")
