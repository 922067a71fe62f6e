"""Hours as keepers write them: common practice, no source."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.running.rules.hours_written import HoursRefused, read_hours


@pytest.mark.parametrize(
    ("written", "hours"),
    [("2.5", 2.5), ("2,5", 2.5), ("1,5", 1.5), ("2:30", 2.5), ("0:45", 0.75), ("2h30", 2.5), ("2 h 30 min", 2.5),
     ("90 min", 1.5), ("3 h", 3.0), ("3 hours", 3.0), ("1.5 h", 1.5), ("12", 12.0), (" 0 ", 0.0)],
)  # fmt: skip
def test_hours_are_read(written, hours):
    assert read_hours(written) == pytest.approx(hours)


@pytest.mark.parametrize(
    ("written", "words"),
    [("-1", "'-1' is below zero"),
     ("2:75", "'2:75' cannot be read as hours; write 2.5, 2,5 or 2:30."),
     ("two", "cannot be read"), ("1,500", "can mean two figures"), ("3/4", "cannot be read"),
     ("5 mA", "cannot be read")],
)  # fmt: skip
def test_what_cannot_be_read_is_refused_with_an_example(written, words):
    with pytest.raises(HoursRefused, match=words):
        read_hours(written)


def test_corrections_may_be_below_zero():
    assert read_hours("-2:30", signed=True) == -2.5 and read_hours("+1,5", signed=True) == 1.5


@given(st.text(max_size=20))
def test_whatever_is_written_is_answered(written):
    try:
        assert 0 <= read_hours(written) < 1e9
    except HoursRefused as refusal:
        assert str(refusal)
