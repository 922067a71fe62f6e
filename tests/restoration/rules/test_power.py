"""Heaters against their winding, and the plate supply with another rectifier, beside published figures.

L2.15: four 10 V 3.25 A heaters in parallel draw 13.0 A, 130 W (arithmetic of currents in parallel; the 211 of that
rating). The drops: 866A about 15 V at any current (uli.de/tubes/866a.htm, which cites RCA); 5U4G 44 V at 225 mA, 5Y3GT
50 V at 125 mA, 5V4G 25 V at 175 mA a plate: from memory. The three-halves law: Child 1911, Langmuir 1913.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.restoration.rules.heater_load import MORE, NOT_KNOWN, OVER, WITHIN, Drawn, load_of
from inventory.restoration.rules.plate_volts import Drop, rail_change

DROPS = {
    "5U4G": Drop("5U4G", 44, 225, "from memory"),
    "5Y3GT": Drop("5Y3GT", 50, 125, "from memory"),
    "866A": Drop("866A", 15, None, "uli-866a"),
    "83": Drop("83", 15, None, "from memory"),
}


def four(amperes=3.25, laid_out=3.25):
    return [Drawn(f"V{number}", "211", amperes, laid_out) for number in range(4)]


def test_l2_15_four_in_parallel():
    found = load_of(10, four())
    assert (found.at_least, found.watts) == (13.0, 130.0)
    assert "4 heaters on 10 V draw 13 A (130 W)" in found.text


@pytest.mark.parametrize(("winding", "standing"), [(13.0, WITHIN), (15.0, WITHIN), (12.9, OVER), (None, NOT_KNOWN)])
def test_against_the_winding(winding, standing):
    assert load_of(10, four(), winding).standing == standing


def test_more_than_it_was_made_for_where_nothing_is_known_of_the_winding():
    found = load_of(6.3, [Drawn("V1", "6SN7GT", 0.6, 0.3), Drawn("V2", "6K7", 0.3, 0.3)])
    assert found.standing == MORE
    assert "0.3 A more than with the types it was made for" in found.text and "not recorded" in found.text


def test_a_heater_that_is_not_known_is_named_and_no_sum_is_called_right():
    found = load_of(6.3, [Drawn("V1", "6SN7GT", 0.6, 0.6), Drawn("V2", "odd", None, None)], 2.0)
    assert found.standing == NOT_KNOWN and "at least 0.6 A" in found.text and "What V2 draws is not known" in found.text
    assert load_of(6.3, [Drawn("V1", "big", 3.0, 3.0), Drawn("V2", "odd", None, None)], 2.0).standing == OVER


@given(st.lists(st.floats(0.05, 10), min_size=1, max_size=20), st.floats(0.1, 60))
def test_the_sum_decides(amperes, winding):
    found = load_of(6.3, [Drawn("V", "any", one, one) for one in amperes], winding)
    assert found.standing == (OVER if sum(amperes) > winding + 1e-9 else WITHIN)


@pytest.mark.parametrize("wrong", [lambda: load_of(0, []), lambda: load_of(6.3, four(-1)), lambda: load_of(6, [], 0)])
def test_figures_that_cannot_be(wrong):
    with pytest.raises(ValueError, match=r"expected|below 0"):
        wrong()


def test_at_the_current_of_the_sheet_it_is_the_drop_of_the_sheet():
    assert DROPS["5U4G"].at(225) == pytest.approx(44)
    assert DROPS["5U4G"].at(225 / 8) == pytest.approx(44 / 4)  # an eighth of the current, 8 ** (2/3) = 4
    assert DROPS["866A"].at(20) == DROPS["866A"].at(250) == 15


def test_another_vacuum_rectifier():
    """5Y3GT for 5U4G at 125 mA: 44 (125/225)^(2/3) = 29.7 V against 50 V."""
    found = rail_change("V8", "5U4G", "5Y3GT", 125, DROPS, 350)
    assert found.volts == pytest.approx(29.74 - 50, abs=0.01)
    assert "about 20 V less" in found.text and "(5.8% of 350 V)" in found.text and "Measure" in found.text
    back = rail_change("V8", "5Y3GT", "5U4G", 125, DROPS)
    assert back.volts == pytest.approx(-found.volts)


def test_mercury_needs_no_load_to_be_compared_with_mercury():
    assert rail_change("V8", "83", "866A", None, DROPS).volts == 0


@pytest.mark.parametrize(
    ("other", "load", "words"), [("5R4GY", 100, "drop of 5R4GY is not known"), ("5Y3GT", None, "not recorded")]
)
def test_what_is_not_known_is_said(other, load, words):
    found = rail_change("V8", "5U4G", other, load, DROPS)
    assert found.volts is None and words in found.text and "Measure" in found.text
