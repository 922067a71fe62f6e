"""Elapsed-time meters. L4.1 is derived (modulus); L4.2: NAVEDTRA 14329; L4.3: engineeringradio.us/blog/tag/tube."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.running.rules.meters import (
    MeterRefused,
    capacity,
    difference_of_wheels,
    log_against_meter,
    meter_delta,
    read_wheels,
)


def test_l4_1_roll_over():
    delta = meter_delta("9998.7", "0003.2", digits=4, decimals=1)
    assert (delta.hours, delta.rolled_over) == (Decimal("4.5"), True)
    assert len(delta.remarks) == 1


@pytest.mark.parametrize(("digits", "decimals", "hours"), [(3, 2, "143.75"), (4, 1, "1437.5"), (5, 0, "14375")])
def test_l4_2_the_last_wheel(digits, decimals, hours):
    """The same digits on two meters: NAVEDTRA 14329."""
    assert read_wheels("14375", digits, decimals).hours == Decimal(hours)
    assert meter_delta("00000", "14375", digits, decimals).as_dict() == {
        "hours": float(hours),
        "rolled_over": False,
        "remarks": [],
    }


def test_l4_3_log_and_meter():
    found = log_against_meter(118289, 113051.24, 2)
    assert found.short_h == pytest.approx(5237.76, abs=1e-6)
    assert found.percent == pytest.approx(4.42793497282, abs=1e-6)
    assert found.flagged and not log_against_meter(118289, 113051.24, 5).flagged
    assert log_against_meter(0, 5, 2).percent == 100
    assert log_against_meter(0, 0, 2).percent == 0


def test_leading_zeros_and_a_decimal_comma():
    assert meter_delta("00012.0", "12,5").hours == Decimal("0.5")
    assert meter_delta("100", "105").as_dict() == {"hours": 5.0, "rolled_over": False, "remarks": []}


def test_whole_hours_that_could_be_wheels_are_told():
    assert "whole hours" in meter_delta("14375", "14380", 5, 1).remarks[0]
    assert read_wheels("14375", 5, 1).hours == 14375


def test_a_reading_that_runs_backwards():
    delta = meter_delta("00143.7", "00140.0")
    assert delta.rolled_over and delta.hours == Decimal("99996.3")
    assert "runs backwards" in delta.remarks[1] and "3.7 h lower" in delta.remarks[1]


@pytest.mark.parametrize(
    "text", ["", "-1", "1e3", "nan", "12.34", "1000000", "123456.7", "1 2", "12.", "٣", "1\x000", "9" * 40, "1437"]
)
def test_readings_beyond_the_wheels_or_none_are_refused(text):
    digits = 3 if text == "1437" else 5
    with pytest.raises(MeterRefused) as refusal:
        read_wheels(text, digits, 1 if digits == 5 else 2)
    assert str(refusal.value).startswith("reading ") and "\n" not in str(refusal.value)


@pytest.mark.parametrize(
    ("digits", "decimals", "name"), [(0, 1, "digits"), (10, 1, "digits"), (5, -1, "decimals"), (5, 4, "decimals")]
)
def test_wheels_that_no_meter_has_are_refused(digits, decimals, name):
    with pytest.raises(MeterRefused, match=f"^{name}: "):
        capacity(digits, decimals)


@given(st.integers(1, 9), st.integers(0, 3), st.data())
def test_differences_are_exact_and_less_than_a_turn(digits, decimals, data):
    most = 10 ** (digits + decimals) - 1
    old, new = data.draw(st.integers(0, most)), data.draw(st.integers(0, most))
    texts = [f"{wheels:0{digits + decimals}d}" for wheels in (old, new)]
    delta = meter_delta(*texts, digits, decimals)
    assert delta.hours == Decimal((new - old) % (most + 1)).scaleb(-decimals)
    assert delta.rolled_over == (new < old)
    assert difference_of_wheels(delta.hours, delta.hours, capacity(digits, decimals)).hours == 0


@given(st.text())
def test_any_text_is_read_or_refused(text):
    try:
        assert 0 <= read_wheels(text).hours < 100_000
    except MeterRefused as refusal:
        assert "\n" not in str(refusal)
