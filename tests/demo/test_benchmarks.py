"""Benchmarks, on small sizes: each answers as its plain or bare way does, and leaves the rows as they were."""

import pytest

from inventory.demo.actions.collection import make_collection
from tests.commands import answer_of, refused, told


def test_time_hours():
    answer, _ = answer_of("time_hours", "--runs", "2000", "--fittings", "300", "--chassis", "7")
    assert answer["same_answers"] is True and answer["tube_hours"] > 0
    assert "expected each from 1" in refused("time_hours", "--runs", "0")


def test_time_matching():
    answer, _ = answer_of("time_matching", "--tubes", "20", "--size", "2")
    for sets in (answer["one_reading"], answer["two_readings"]):
        assert 2 * sets["sets"] + sets["left"] == 20
    assert "20 tubes in sets of 1" in refused("time_matching", "--tubes", "20", "--size", "1")


@pytest.mark.usefixtures("reference")
def test_time_station(today):
    make_collection(tubes=20, chassis=6, units=9, events=30, seed=3, today=today)
    answer, _ = answer_of("time_station", "--loop")
    assert (answer["chassis"], answer["units"], answer["same_states"]) == (6, 9, True) and answer["pairs"]


@pytest.mark.usefixtures("reference")
def test_time_judge():
    found, _ = answer_of("time_judge", "--types", "40", "--positions", "5")
    assert (found["pairs"], found["same_verdicts"]) == (200, True)
    assert "same_verdicts" in told("time_judge", "--types", "3", "--positions", "1")
    assert "expected whole numbers" in refused("time_judge", "--types", "0")


def test_time_combine():
    found, _ = answer_of("time_combine", "--lots", "60", "--plain", "25")
    assert found["same_answers"] is True and found["combinations"] > 0
    assert "expected whole numbers" in refused("time_combine", "--lots", "0")


@pytest.mark.own_file
@pytest.mark.django_db
def test_the_time_of_a_long_list_is_taken_in_a_database_of_its_own(snapshot):
    before = snapshot()
    said, _ = answer_of("time_import", "--rows", "200")
    assert said["import"]["written"] == said["rows"] == 200
    assert {"seconds", "rows_per_second", "peak_mb", "things_made"} <= set(said["import"])
    assert said["bare_table"]["rows_per_second"] > said["import"]["rows_per_second"]
    assert snapshot() == before


def test_time_valuation():
    found, _ = answer_of("time_valuation", "--rows", "3000", "--types", "40", "--tubes", "100", "--rounds", "1")
    assert found["valued"] == 100 and found["ours_seconds"] > 0 and found["peak_mb"] > 0
    assert ("ratio" in found) != ("without" in found)  # with pandas, or that it is not there
    assert "expected each from 1" in refused("time_valuation", "--rows", "0")


def test_check_valuation():
    found, _ = answer_of("check_valuation", "--shape", "a handful")
    assert list(found) == ["a handful"] and found["a handful"]["mape_median"] > 0
    assert "plain mean" in told("check_valuation", "--rows", "200", "--types", "10")
    assert "expected 1 to 1000000" in refused("check_valuation", "--rows", "0")
