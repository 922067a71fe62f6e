"""Capacitors read from any words, for the charge that they hold (C V^2 / 2, as L9.1). Notations: common practice."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.holdings.rules.capacitor_words import capacitors_in, named_without_value
from inventory.holdings.rules.hazard_grounds import UNRECKONED, capacitors_told, held_most, of_lot, unreckoned


@pytest.mark.parametrize(
    ("text", "uf", "volts"),
    [
        ("oil capacitor, marked No PCBs 8 mfd 1050 V", 8, 1050),
        ("oil filled condenser made c. 1980 | 6 mfd 1000 V", 6, 1000),
        ("oil capacitor 1943 8 mfd 1500 V", 8, 1500),
        ("1943/8 mfd 1500 V", 8, 1500),
        ("capacitor dated 1943 | 8 mfd 1500 V", 8, 1500),
        ("8 mfd 2000 V 20 kg", 8, 2000),
        ("16-16 mfd 450V", 32, 450),
        ("40/40 mfd 450 V", 80, 450),
        ("8 + 8 mfd 600 V", 16, 600),
        ("16-16-8 mfd 450 V", 40, 450),
        ("2 x 8 mfd 1000 V", 16, 1000),
        ("3 x .1 mfd 600 V", 0.3, 600),
        ("1/2 mfd 600 V", 0.5, 600),
        ("10 mfd 1,000 V", 10, 1000),
        ("10,000 mfd 60 V", 10_000, 60),
        ("0,047 mfd 400 V", 0.047, 400),
        ("450 V 8 mfd", 8, 450),
        ("8uF/450VDC", 8, 450),
        ("8 MFD. 600 w.v.d.c.", 8, 600),
        ("4 mf 600 volts", 4, 600),
        ("2 µF 1.5 kV", 2, 1500),
        ("2u2 450V", 2.2, 450),
        ("250 mmf 5 kV", 0.00025, 5000),
        ("100 nF 630 V", 0.1, 630),
    ],
)
def test_value_and_voltage_whatever_stands_beside(text, uf, volts):
    (one,) = capacitors_in(text)
    assert (one.uf, one.volts) == (pytest.approx(uf), volts)


def test_alternating_current_counts_with_its_peak():
    (one,) = capacitors_in("10 mfd 440 VAC")
    assert one.volts == pytest.approx(440 * math.sqrt(2), abs=0.1) and "at its peak" in one.said


def test_each_takes_the_voltage_behind_it():
    assert [(one.uf, one.volts) for one in capacitors_in("20 mfd 450 V, 20 mfd 25 V")] == [(20, 450), (20, 25)]
    (ground,) = of_lot(*held_most(None, capacitors_told("20 mfd 450 V, 10 mfd 300 V")))
    assert ground.text.startswith("2.47 J in each")  # 2.025 + 0.45 J


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("electrolytic 450 V", True), ("capacitor 16-16 450V", True), ("Elko 350 V", True), ("capacitor 25 V", False),
        ("condenser microphone 200 V", False), ("relay 110 V", False), ("capacitor", False),
        ("capacitor 8 mfd 450 V", False),
    ],
)  # fmt: skip
def test_what_cannot_be_reckoned_is_said(text, told):
    assert named_without_value(text) is told
    assert [one.text for one in unreckoned(text)] == ([UNRECKONED] if told else [])


@given(st.text(alphabet="0123456789 .,-+/xXuµμfFmMkKvVpndcaw|\n", max_size=60))
def test_any_text_is_read_without_fault(text):
    assert all(one.uf > 0 and one.volts > 0 for one in capacitors_in(text))
    named_without_value(f"capacitor {text}")
