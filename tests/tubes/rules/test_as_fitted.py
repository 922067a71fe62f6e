"""What stands across the heaters of a branch. Check values are Ohm's law and the lamp law for current.

Lamp rerating (Wikipedia): current goes with voltage to the power 0.55. That every emitter does so is an assumption.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tubes.rules.as_fitted import Across, Seat, across, heater_amperes
from tubes.rules.supply import Heater

SK7 = Heater("12SK7", 12.6, 0.15, "oxide-indirect")
C4 = Heater("6C4", 6.3, 0.15, "oxide-indirect")
BA6 = Heater("6BA6", 6.3, 0.30, "oxide-indirect")
L6 = Heater("35L6", 35, 0.15, "oxide-indirect")
BIG_L6 = Heater("50L6", 50, 0.15, "oxide-indirect")
SN7 = Heater("6SN7GT", 6.3, 0.6, "oxide-indirect")
SL7 = Heater("6SL7GT", 6.3, 0.3, "oxide-indirect")


def test_the_current_law_by_hand() -> None:
    """0.95 ** 0.55 = 0.97218: five per cent less voltage, 2.8 % less current (lamp law)."""
    assert heater_amperes(SK7, 12.6) == 0.15
    assert heater_amperes(SK7, 0.95 * 12.6) == pytest.approx(0.15 * 0.972184, rel=1e-5)


def test_l2_12_a_string_on_the_line_shares_the_lack() -> None:
    """Heaters of one current on 117 V: each stands at 0.952768729642 of its rating (sum 122.8 V)."""
    rated = (SK7, SK7, SK7, L6, BIG_L6)
    current, found = across([Seat(heater) for heater in rated], 117, 0)
    assert current == pytest.approx(0.15 * 0.952768729642**0.55, abs=1e-9)
    for heater, one in zip(rated, found, strict=True):
        assert one is not None
        assert one.volts == pytest.approx(0.952768729642 * heater.volts, abs=1e-7)
        assert one.deviation_pct == pytest.approx(-4.7231270358, abs=1e-6)


def test_l2_13_with_its_dropper_each_heater_is_right() -> None:
    """Two 12.6 V 0.15 A heaters on 28 V behind 18.6666666667 ohm."""
    current, found = across([Seat(SK7), Seat(SK7)], 28, 18.6666666667)
    assert current == pytest.approx(0.15, abs=1e-9)
    assert [one.volts for one in found if one] == pytest.approx([12.6, 12.6], abs=1e-7)


def test_l2_14_with_its_shunt_the_smaller_heater_is_right() -> None:
    """A 6.3 V 0.15 A heater in a 0.30 A string has 42 ohm across it."""
    current, found = across([Seat(BA6), Seat(C4, 42)], 12.6, 0)
    assert current == pytest.approx(0.30, abs=1e-9)
    assert [(one.volts, one.amperes) for one in found if one] == [
        (pytest.approx(6.3, abs=1e-7), pytest.approx(0.30, abs=1e-8)),
        (pytest.approx(6.3, abs=1e-7), pytest.approx(0.15, abs=1e-8)),
    ]


def test_without_its_shunt_the_smaller_heater_takes_more() -> None:
    """Ohm's law on what came out: one current through both, and their voltages make up the supply."""
    current, found = across([Seat(BA6), Seat(C4)], 12.6, 0)
    large, small = (one for one in found if one)
    assert large.amperes == pytest.approx(small.amperes) == pytest.approx(current)
    assert large.volts + small.volts == pytest.approx(12.6)
    assert small.deviation_pct > 20 and large.deviation_pct < -20


def test_a_wrong_tube_in_a_string_takes_its_neighbours_voltage() -> None:
    """6SL7GT where a 6SN7GT was wired for, its neighbour shunted by 21 ohm.

    Checked by Ohm's law at the answer: the 6SL7GT's current is that of the neighbour's heater and of 21 ohm together.
    """
    current, found = across([Seat(SL7, 21), Seat(SL7)], 12.6, 0)
    shunted, wrong = (one for one in found if one)
    assert shunted.amperes + shunted.volts / 21 == pytest.approx(wrong.amperes) == pytest.approx(current)
    assert shunted.volts + wrong.volts == pytest.approx(12.6)
    assert wrong.deviation_pct == pytest.approx(47, abs=0.5) and shunted.deviation_pct == pytest.approx(-47, abs=0.5)
    right = across([Seat(SL7, 21), Seat(SN7)], 12.6, 0)[1]
    assert [one.deviation_pct for one in right if one] == pytest.approx([0, 0], abs=1e-6)


def test_alone_on_the_supply_a_heater_has_all_of_it() -> None:
    current, (one,) = across([Seat(SN7)], 6.3, 0)
    assert isinstance(one, Across)
    assert (current, one.volts, one.deviation_pct) == pytest.approx((0.6, 6.3, 0), abs=1e-9)
    assert across([Seat(SN7)], 12.6, 0)[1][0].deviation_pct == pytest.approx(100)  # type: ignore[union-attr]


@pytest.mark.parametrize("seats", [[], [Seat(None)], [Seat(BA6), Seat(None)], [Seat(None, 42), Seat(BA6)]])
def test_an_empty_socket_opens_the_branch(seats: list[Seat]) -> None:
    assert across(seats, 12.6, 0) == (0.0, [None] * len(seats))


HEATERS = st.builds(Heater, st.just("made"), st.floats(1, 60), st.floats(0.05, 30), st.just("oxide-indirect"))
SEATS = st.lists(st.builds(Seat, HEATERS, st.just(0.0) | st.floats(1, 1000)), min_size=1, max_size=5)


@given(SEATS, st.floats(1, 250), st.just(0.0) | st.floats(0.01, 500))
def test_voltages_and_dropper_add_up_to_the_supply(seats: list[Seat], supply_v: float, dropper: float) -> None:
    """Kirchhoff's laws: voltages round the branch add up; one current flows through every seat; none is above all."""
    current, found = across(seats, supply_v, dropper)
    lines = [one for one in found if one is not None]
    assert len(lines) == len(seats)
    assert sum(one.volts for one in lines) + current * dropper == pytest.approx(supply_v, rel=1e-6)
    for seat, one in zip(seats, lines, strict=True):
        shunted = one.volts / seat.shunt_ohm if seat.shunt_ohm else 0
        assert one.amperes + shunted == pytest.approx(current, rel=1e-6)
        assert 0 <= one.volts <= supply_v * (1 + 1e-9)


@given(SEATS, st.floats(1, 200), st.floats(1.01, 2))
def test_more_supply_is_more_across_every_heater(seats: list[Seat], supply_v: float, times: float) -> None:
    before, after = across(seats, supply_v, 1)[1], across(seats, supply_v * times, 1)[1]
    assert all(a.volts > b.volts for a, b in zip(after, before, strict=True) if a and b)
