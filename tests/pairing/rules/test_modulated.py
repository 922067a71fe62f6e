"""A carrier under modulation. Cases L6.2 and L6.12: the Navy text with antenna-current figure 5-1, and P = I^2 R."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.pairing.rules.modulated import under_modulation


def test_fully_modulated_75_w():
    """75 W at m 1: PEP 300 W, mean 112.5 W, 173.205080757 V peak in 50 ohm; current up 22.47 %."""
    answer = under_modulation(75, 1, 50)
    assert (answer.mean_w, answer.pep_w) == (112.5, 300)
    assert answer.peak_v == pytest.approx(173.205080757, abs=1e-9)
    assert answer.rise == pytest.approx(0.22474487139, abs=1e-9)
    assert answer.percent == 100 and answer.rise_percent == pytest.approx(22.474487139)


def test_without_a_load_there_is_no_voltage():
    assert under_modulation(80, 0.5).peak_v is None


@pytest.mark.parametrize(("carrier", "m", "load"), [(-1, 0.5, 50), (80, 1.1, 50), (80, -0.1, 50), (80, 0.5, 0)])
def test_figures_that_make_no_sense(carrier, m, load):
    with pytest.raises(ValueError, match="expected"):
        under_modulation(carrier, m, load)


@given(st.floats(0.1, 1e4), st.floats(0, 1))
def test_powers_stand_in_order(carrier, m):
    answer = under_modulation(carrier, m)
    assert carrier <= answer.mean_w <= answer.pep_w <= 4 * carrier * (1 + 1e-12)
