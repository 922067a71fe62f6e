"""Prices far off the others (our own rule, no source): the middle is that of the others, worked by hand."""

import pytest

from inventory.valuation.rules.far_off import times_of_others, told


def test_each_is_held_against_the_middle_of_the_others():
    assert times_of_others([10, 12, 14, 16, 260]) == [None, None, None, None, 20]  # the others' middle is 13
    assert times_of_others([10, 12, 14, 259.9]) == [None, None, None, pytest.approx(21.658, abs=0.001)]
    assert times_of_others([0.5, 10, 10, 10]) == [0.05, None, None, None]


def test_of_three_none_is_far_off():
    assert times_of_others([1, 1, 1000]) == [None, None, None] and times_of_others([]) == []


def test_both_ways_are_told():
    assert told(57.4, 4, "ZZ7").startswith("far off: 57 times the middle of the 4 others of ZZ7")
    assert told(0.04, 4, "ZZ7").startswith("far off: 1/25 of the middle")
