"""Moments: a day with or without a time, in order, and the same on one axis for arrays. Times are to the minute."""

from datetime import date, time

from hypothesis import given
from hypothesis import strategies as st

from inventory.house.records.moments import (
    END_OF_DAY,
    Moment,
    at_end,
    at_start,
    axis,
    axis_end,
    day_of,
    just_before,
    show,
)

DAYS = st.dates(date(1900, 1, 1), date(2100, 1, 1))
TIMES = st.times().map(lambda at: at.replace(second=0, microsecond=0))


@given(DAYS, TIMES)
def test_a_day_begins_before_its_times_and_ends_after_them(day, at):
    assert at_start(day, None) < at_start(day, at) == at_end(day, at) < at_end(day, None)
    assert at_start(day, at).timed and not at_start(day, None).timed and not at_end(day, None).timed


@given(DAYS, TIMES, DAYS, TIMES)
def test_order_is_that_of_day_and_time(day, at, other, then):
    assert (at_start(day, at) < at_start(other, then)) == ((day, at) < (other, then))
    assert (axis(day, at) < axis(other, then)) == ((day, at) < (other, then))


@given(DAYS, TIMES)
def test_just_before_is_of_the_same_day(day, at):
    moment = at_start(day, at)
    assert just_before(moment) < moment and just_before(moment).day == day
    assert just_before(at_end(day, None)) == Moment(day, END_OF_DAY)  # after all of its day


@given(DAYS, TIMES)
def test_the_axis_gives_the_day_back(day, at):
    assert day_of(axis(day, at)) == day and axis(day) <= axis(day, at) < axis_end(day)
    assert show(axis(day, at)) == (f"{day} {at:%H:%M}" if at != time(0) else str(day))
