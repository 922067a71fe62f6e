"""Figures for hazards. Numbers L9.x stand for worked examples; the source of each stands beside it."""

from math import exp, inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.holdings.rules.lifting import Lift
from inventory.holdings.rules.pcb import taken_to_hold_pcb
from inventory.holdings.rules.rf_exposure import field_limits
from inventory.holdings.rules.stored_energy import CAUTION, Bank, BankFault, joined_uf

SOME = st.floats(min_value=1e-3, max_value=1e6)


def test_energy_of_a_bank():
    """L9.1: C V^2 / 2."""
    assert Bank(8, 1050).energy_j == pytest.approx(4.41, abs=1e-9)
    assert Bank(4, 2000).energy_j == pytest.approx(8, abs=1e-9)


def test_discharge_through_a_bleeder():
    """L9.2: R C ln(V0/V); V^2/R."""
    assert Bank(8, 1050).seconds(100_000) == pytest.approx(2.43561795018, abs=1e-8)
    assert Bank(8, 1050).watts(100_000) == pytest.approx(11.025, abs=1e-8)


def test_the_largest_bleeder():
    """L9.3: 50 V within 5 minutes (electrotechnik.net), which is far too slow at a bench."""
    assert Bank(8, 1050).largest_ohm(300) == pytest.approx(12317202.7032, abs=1e-2)
    assert Bank(8, 40).largest_ohm(300) is None and Bank(8, 40).seconds(100_000) == 0


@given(SOME, st.floats(min_value=51, max_value=1e5), SOME)
def test_after_that_time_the_voltage_is_what_was_asked(uf, volts, ohm):
    """The exponential of a capacitor through a resistor, turned round."""
    bank = Bank(uf, volts)
    seconds = bank.seconds(ohm)
    assert volts * exp(-seconds / (ohm * uf * 1e-6)) == pytest.approx(50, rel=1e-6)
    assert bank.largest_ohm(seconds) == pytest.approx(ohm, rel=1e-6)


@given(st.lists(SOME, min_size=1, max_size=6))
def test_capacitors_as_one(some):
    """In parallel they add; in series the whole is less than the least."""
    assert joined_uf(some) == pytest.approx(sum(some))
    assert joined_uf(some, in_series=True) <= min(some) * (1 + 1e-9)
    assert joined_uf([8, 8], in_series=True) == pytest.approx(4)


@pytest.mark.parametrize("figures", [(0, 100), (8, 0), (-1, 100), (8, nan), (inf, 100)])
def test_what_is_no_bank(figures):
    with pytest.raises(BankFault, match="expected more than 0"):
        Bank(*figures)


def test_what_is_no_discharge():
    for wrong in (lambda: Bank(8, 100).seconds(0), lambda: Bank(8, 100).watts(-1), lambda: Bank(8, 100).largest_ohm(0)):
        with pytest.raises(BankFault, match="expected more than 0"):
            wrong()
    with pytest.raises(BankFault, match="no capacitor"):
        joined_uf([])


def test_the_caution_says_what_figures_do_not():
    for words in ("bleeders open without warning", "prove", "recovers charge", "Local codes and licensed practice"):
        assert words in CAUTION


def test_limits_of_fields():
    """L9.4, L9.5: 47 CFR 1.1310 (1997) at emclabinfo.com and hallikainen.org; "a bit under 482", emc-pstc msg36719."""
    controlled, public = field_limits(7, True), field_limits(7, False)
    assert (controlled.e_v_per_m, controlled.h_a_per_m) == pytest.approx((263.142857143, 0.698571428571), abs=1e-9)
    assert (public.e_v_per_m, public.h_a_per_m) == pytest.approx((117.714285714, 0.312857142857), abs=1e-9)
    assert field_limits(1.71, False).e_v_per_m == pytest.approx(481.871345, abs=1e-5)
    assert (controlled.minutes, public.minutes) == (6, 30)
    assert field_limits(1, True).e_v_per_m == field_limits(1, False).e_v_per_m == 614


@pytest.mark.parametrize("mc", [0.1, 31, nan, -7])
def test_there_are_limits_for_some_frequencies_only(mc):
    with pytest.raises(ValueError, match=r"outside of 0\.3 to 30 Mc"):
        field_limits(mc, True)


def test_what_one_person_may_lift():
    """L9.6: NIOSH 94-110."""
    lift = Lift(40, 30, 75, 30)
    assert lift.limit_kg == pytest.approx(10.94225, abs=1e-6) and lift.index == pytest.approx(2.74166647627, abs=1e-6)
    assert Lift(20, 75, 10).limit_kg == pytest.approx(23) and Lift(20, 75, 10).index is None


@pytest.mark.parametrize("figures", [(64, 30, 75), (40, 176, 75), (40, 30, -1), (nan, 30, 75), (40, 30, 75, 0)])
def test_lifts_that_the_equation_does_not_reach(figures):
    with pytest.raises(ValueError, match=r"knows 0 to|expected more than 0"):
        Lift(*figures)


@pytest.mark.parametrize(
    ("made", "marked", "taken"),
    [
        # L9.7: 40 CFR 761.2(a)(4)
        ((1978, 11), False, True),
        ((1980,), False, False),
        ((), False, True),
        ((), True, False),
        ((1978, 11), True, False),
        ((1979,), False, True),
        ((1979, 7), False, True),
        ((1979, 7, 1), False, True),
        ((1979, 7, 2), False, False),
        ((1979, 8), False, False),
    ],
)
def test_which_oil_capacitors_are_taken_to_hold_pcb(made, marked, taken):
    assert taken_to_hold_pcb(*made, marked_none=marked) is taken
