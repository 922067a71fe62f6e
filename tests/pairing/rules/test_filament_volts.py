"""Filament volts against the supply and against what the tubes want.

Tolerance of 5 %: RCA wartime notice on transmitting tubes, quoted on the classiccmp list; oxide: textbook quoted at
tubecad.com, October 2000. The 24 V chain of two series pairs and one 7.5 V tube: common practice, no source.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.pairing.rules.filament_volts import BranchHeater, check_branches, check_supply


@pytest.mark.parametrize(
    ("measured", "agrees"), [(24, True), (25.2, True), (22.8, True), (25.21, False), (22.79, False)]
)
def test_five_percent_is_the_edge(measured, agrees):
    answer = check_supply(measured, 24)
    assert answer.agrees is agrees
    assert "from 24 V" in answer.text and "within 5 %" in answer.text


CHAIN = [
    BranchHeater("V1", 10, "A"),
    BranchHeater("V2", 10, "A"),
    BranchHeater("V3", 10, "B"),
    BranchHeater("V4", 10, "B"),
    BranchHeater("V5", 7.5, "C"),
]


def test_branches_behind_a_dropper_are_told_and_not_judged():
    (answer,) = check_branches(CHAIN, 24)
    assert answer.agrees is None
    assert "V1 + V2 20 V, V3 + V4 20 V, V5 7.5 V" in answer.text and "at the pins" in answer.text


def test_a_straight_branch_is_judged_and_a_starved_one_named():
    good, dropped = check_branches(CHAIN[:2] + CHAIN[4:], 20.5)
    assert good.agrees is True and good.text.startswith("V1 + V2: wants 20 V of 20.5 V, +2.5 %")
    assert dropped.agrees is None and "V5 7.5 V" in dropped.text
    (starved,) = check_branches(CHAIN[:2], 18)
    assert starved.agrees is False and "10 % low" in starved.text


def test_what_is_not_known_is_said():
    (answer,) = check_branches([BranchHeater("V1", 10, "A"), BranchHeater("V2", None, "A")], 24)
    assert answer.agrees is None and "not known" in answer.text
    assert check_branches([], 24) == []


@pytest.mark.parametrize("figures", [(0, 24), (24, 0), (-1, 24), (float("nan"), 24), (float("inf"), 24)])
def test_figures_that_make_no_sense(figures):
    with pytest.raises(ValueError, match="expected a figure above 0"):
        check_supply(*figures)


@given(st.floats(1, 100), st.floats(1, 100))
def test_supply_and_single_branch_say_the_same_below_and_disagree_never(measured, wants):
    """A tube straight on the supply is starved exactly when the supply is more than 5 % below it."""
    (answer,) = check_branches([BranchHeater("V1", wants, "A")], measured)
    low = measured < wants * 0.95 - 1e-6
    assert (answer.agrees is False) == low or abs(measured / wants - 0.95) < 1e-6
