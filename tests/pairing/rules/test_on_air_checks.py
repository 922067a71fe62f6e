"""Currents and powers on the air: cases L6.1 to L6.12, each with its source beside it, and the filament check.

Three pages print figures that do not follow from their own rule: the tests named "slip" show that ours are not those.
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.pairing.rules.on_air_checks import (
    AS_EXPECTED,
    FAULT_NAMED,
    LINEAR,
    NOT_CLEAR,
    NOT_KNOWN,
    Heater,
    am_current_ratio,
    am_power_w,
    amplitude_db,
    check_current,
    check_filament_current,
    check_power,
    current_a,
    deflection,
    dissipation,
    modulation_index,
    peak_v,
    pep_w,
    power_db,
    power_w,
    readable,
    reading_error,
)

close = pytest.approx


# I = sqrt(P/R): Ohm's law and Joule's law
@pytest.mark.parametrize(
    ("power", "load", "current"),
    [(50, 50, 1.0), (75, 50, 1.22474487139), (50, 10, 2.2360679775), (50, 600, 0.288675134595)],
)
def test_l6_1_current_in_a_load(power, load, current):
    assert current_a(power, load) == close(current, abs=1e-9)
    assert power_w(current, load) == close(power, rel=1e-9)


# 22.47 % rise at full modulation: Navy training course 14193, figure 5-1 (electriciantraining.tpub.com/14193)
@pytest.mark.parametrize(("m", "ratio"), [(1, 1.22474487139), (0.5, 1.06066017178), (0.3, 1.02225241501), (0, 1)])
def test_l6_2_rise_with_modulation(m, ratio):
    assert am_current_ratio(m) == close(ratio, abs=1e-9)
    assert modulation_index(8, 8 * ratio) == close(m, abs=1e-9)


def test_l6_3_carrier_from_modulated_current_slip():
    """byjus.com prints 10.35 A."""
    carrier = 11 / am_current_ratio(0.5)
    assert carrier == close(10.3708994574, abs=1e-8)
    assert abs(carrier - 10.35) > 0.02


def test_l6_4_modulation_from_currents():
    """askfilo.com: 71 %."""
    assert modulation_index(8, 8.96) == close(0.713302180005, abs=1e-9)


def test_l6_5_modulation_from_currents_slip():
    """collegedunia.com takes (Imax - I0)/I0, which is no rule for rms currents."""
    m = modulation_index(8, 8.93)
    assert m == close(0.701447164796, abs=1e-9)
    assert abs(m - (8.93 - 8) / 8) > 0.5


def test_l6_6_modulation_from_currents_slip():
    """careerride.com prints 28.5 %: the factor 2 is forgotten."""
    m = modulation_index(10, 10.4)
    assert m == close(0.403980197534, abs=1e-9)
    assert m / math.sqrt(2) == close(0.285, abs=1e-3)


# deflection as the square of the current: thermocouple; usable from a third of full scale: 47 CFR 73.1215(b)
@pytest.mark.parametrize(("part", "shown"), [(1 / 2, 0.25), (1 / 3, 0.111111111111), (1 / 4, 0.0625), (1 / 10, 0.01)])
def test_l6_7_square_law_deflection(part, shown):
    assert deflection(6 * part, 6) == close(shown, abs=1e-9)


def test_l6_8_a_meter_of_6_a():
    assert readable(2.0, 6) and not readable(1.9, 6)
    assert readable(6, 6) and not readable(6.1, 6)


def test_a_linear_meter_reads_from_a_fifth():
    """47 CFR 73.1215(a)."""
    assert readable(1.2, 6, LINEAR) and not readable(1.1, 6, LINEAR)


def test_l6_9_error_of_reading():
    """2 % of full scale, 47 CFR 73.1215(b)."""
    found = reading_error(2, 6)
    assert found.current == close(0.06, abs=1e-9)
    assert (found.power_up, found.power_down) == (close(0.1236, abs=1e-9), close(-0.1164, abs=1e-9))
    assert reading_error(0.01, 6).power_down == -1  # no less than nothing


def test_l6_10_decibels():
    """By definition."""
    assert power_db(75, 50) == close(1.76091259056, abs=1e-9)
    assert power_db(0.5, 1) == close(-3.01029995664, abs=1e-9)
    assert power_db(50, 0.001) == close(46.9897000434, abs=1e-9)
    assert amplitude_db(2, 1) == close(6.02059991328, abs=1e-9)


def test_l6_11_dissipation():
    """By hand."""
    found = dissipation(1000, 0.220, 75)
    assert found.plate_w == close(145, abs=1e-9)
    assert 100 * found.efficiency == close(34.0909090909, abs=1e-9)
    assert dissipation(1000, 0.220, 75, drive_w=10).plate_w == close(155)


def test_l6_12_peak_envelope():
    """By hand."""
    assert pep_w(75, 1) == close(300, abs=1e-9)
    assert am_power_w(75, 1) == close(112.5, abs=1e-9)
    assert peak_v(300, 50) == close(173.205080757, abs=1e-9)


def test_80_w_is_not_readable_on_8_a():
    """A practitioner's case (common practice, no source): 1.26 A, near the bottom of the scale."""
    current = current_a(80, 50)
    assert current == close(1.26, abs=0.01) and not readable(current, 8) and deflection(current, 8) < 0.03
    found = check_current(80, 50, measured=1.3, full_scale=8)
    assert found.agrees is None and "not read below 2.67 A" in found.text


def test_aerial_current_against_power():
    assert check_current(50, 50, 1.0).agrees and not check_current(50, 50, 1.2).agrees
    assert check_current(50, 50, 1.1, full_scale=3).agrees  # 5 % and the meter's 0.06 A
    assert check_current(50, 50, 1.12, full_scale=3).agrees is False
    with pytest.raises(ValueError, match="full scale"):
        check_current(50, 50, 3.5, full_scale=3)


def test_power_against_the_rated_figure():
    assert check_power(80, 100).agrees and "-1.0 dB" in check_power(80, 100).text
    assert not check_power(50, 100).agrees and not check_power(140, 100).agrees


@pytest.mark.parametrize(
    ("wrong", "named"),
    [
        (lambda: current_a(-1, 50), "power"),
        (lambda: current_a(50, 0), "load"),
        (lambda: current_a(math.nan, 50), "power"),
        (lambda: power_w(math.inf, 50), "current"),
        (lambda: peak_v(50, -1), "load"),
        (lambda: power_db(0, 1), "power"),
        (lambda: amplitude_db(1, 0), "reference"),
        (lambda: am_current_ratio(1.2), "m is"),
        (lambda: pep_w(75, -0.1), "m is"),
        (lambda: am_power_w(-1, 0.5), "carrier"),
        (lambda: am_power_w(75, math.nan), "m is"),
        (lambda: modulation_index(8, 7.9), "modulated is 7.9, below"),
        (lambda: modulation_index(8, 10), "modulated is 10, more"),
        (lambda: deflection(1, 0), "full_scale"),
        (lambda: readable(1, 6, "cubic"), "law"),
        (lambda: reading_error(0, 6), "current"),
        (lambda: dissipation(1000, 0.1, 120), "output_w"),
        (lambda: dissipation(0, 0.1, 1), "plate_v"),
        (lambda: check_power(0, 100), "power"),
        (lambda: check_current(0, 50, 1), "power"),
    ],
)
def test_a_figure_that_makes_no_sense_is_named(wrong, named):
    with pytest.raises(ValueError, match=named):
        wrong()


# --- filament current -------------------------------------------------------------------------------------------------

# Four 10 V 3.25 A tubes as two series pairs and one 7.5 V 1.25 A tube, all on 24 V.
CHAIN = [
    Heater("V1", 3.25, "a"),
    Heater("V2", 3.25, "a"),
    Heater("V3", 3.25, "b"),
    Heater("V4", 3.25, "b"),
    Heater("V5", 1.25, "c"),
]


def test_a_known_chain():
    """A practitioner's meter showed 7.9 A (common practice, no source)."""
    found = check_filament_current(CHAIN, 7.9)
    assert found.expected_a == close(7.75) and found.difference_a == close(0.15)
    assert (found.verdict, found.likely, found.suspects, found.unseen) == (AS_EXPECTED, None, (), ())


def test_a_single_branch_that_is_open_is_named():
    found = check_filament_current(CHAIN, 6.5)
    assert (found.verdict, found.likely, found.suspects) == (FAULT_NAMED, "V5", ("V5",))


def test_a_series_branch_that_is_open_names_all_that_may_be_dead():
    found = check_filament_current(CHAIN, 4.5)
    assert (found.verdict, found.likely, found.suspects) == (NOT_CLEAR, None, ("V1", "V2", "V3", "V4"))
    assert "V1 or V2" in found.text and "V3 or V4" in found.text


def test_what_no_single_fault_explains():
    for measured in (0, 3.2, 5.5, 9):
        found = check_filament_current(CHAIN, measured)
        assert (found.verdict, found.likely, found.suspects) == (NOT_CLEAR, None, ())
        assert "no single" in found.text[:60] or "No single" in found.text


def test_a_wrong_type_is_named_where_it_is_known_what_may_sit_there():
    chain = [*CHAIN[:4], Heater("V5", 1.25, "c", could_be=(("a type of 2.5 A", 2.5),))]
    found = check_filament_current(chain, 9.0)
    assert (found.verdict, found.likely) == (FAULT_NAMED, "V5") and "type of 2.5 A" in found.text


def test_branches_too_near_to_tell_are_all_named():
    chain = [Heater("V1", 3.25, "a"), Heater("V2", 3.0, "b"), Heater("V3", 1.0, "c")]
    found = check_filament_current(chain, 4.2)
    assert found.likely is None and found.suspects == ("V2", "V1")  # 3.05 A are missing: the nearer first


def test_a_dead_filament_that_would_not_show_is_said():
    chain = [Heater("V1", 10, "a"), Heater("V2", 0.15, "b")]
    found = check_filament_current(chain, 10.0)
    assert found.verdict == AS_EXPECTED and found.unseen == ("V2",) and "V2 would not show" in found.text


def test_a_heater_that_is_not_known_gives_no_answer():
    found = check_filament_current([*CHAIN[:4], Heater("V5", None, "c")], 7.75)
    assert (found.verdict, found.expected_a, found.likely) == (NOT_KNOWN, None, None)
    assert "V5" in found.text and "1.25 A" in found.text


def test_unequal_heaters_in_series_are_taken_as_shunted():
    """Ohm's law: the string carries the largest heater's current, the others need a shunt."""
    found = check_filament_current([Heater("V1", 0.3, "a"), Heater("V2", 0.15, "a")], 0.3)
    assert found.expected_a == close(0.3) and found.verdict == AS_EXPECTED and "V1, V2" in found.text


@pytest.mark.parametrize(
    ("heaters", "measured", "named"),
    [
        ([], 1, "no position"),
        (CHAIN[:1] * 2, 1, "V1 is given twice"),
        ([Heater("V1", -1, "a")], 1, "heater current at V1"),
        ([Heater("V1", 1, "a", (("other", 0.0),))], 1, "heater current at V1"),
        (CHAIN, -1, "measured"),
        (CHAIN, math.nan, "measured"),
    ],
)
def test_filament_figures_that_make_no_sense_are_named(heaters, measured, named):
    with pytest.raises(ValueError, match=named):
        check_filament_current(heaters, measured)


currents = st.floats(0.5, 10)


@given(st.lists(st.tuples(currents, st.integers(1, 3)), min_size=1, max_size=6), st.data())
def test_the_dead_position_is_always_among_the_suspects(branches, data):
    chain = [Heater(f"V{b}.{n}", amps, str(b)) for b, (amps, size) in enumerate(branches) for n in range(size)]
    dead = data.draw(st.sampled_from(chain))
    total = math.fsum(amps for b, (amps, _) in enumerate(branches) if str(b) != dead.branch)
    found = check_filament_current(chain, total)
    assert dead.mark in found.suspects or (found.verdict == AS_EXPECTED and dead.mark in found.unseen)
    assert found.likely in (None, dead.mark)
