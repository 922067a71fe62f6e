"""Filament hours. The plain reference (``plain_hours``) is slow and simple; the rules must agree with it on anything.

Decisions without a source are common practice or our own and say so in the rules.
"""

from datetime import date, time, timedelta
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.house.records.moments import DAY, axis, axis_end, day_of, show
from inventory.running.rules.hours import (
    CorrectionFact,
    FittingFact,
    TubeFact,
    hours_on_days,
    running_times,
    tube_hours,
)
from inventory.running.rules.meter_chain import (
    APART,
    BACKWARD,
    BAD_READING,
    COUNTER,
    GAP,
    IMPOSSIBLE,
    TURNS,
    TWO_METERS,
    UNLOGGED,
    MeterFact,
    ReadingFact,
)
from inventory.running.rules.run_log import BACKWARDS, NO_END, OVERFULL, OVERLAP, RunFact
from tests.running.rules.plain_hours import hours_between

FIRST = date(2024, 3, 1)
NOW = axis_end(date(2024, 12, 31))


def day(number):
    return FIRST + timedelta(days=number)


def run(on, hour, length, **more):
    """A timed run of whole hours within a day."""
    return RunFact("A", day(on), time(hour), day(on), time(hour + length), **more)


def only(faults):
    return [fault.kind for fault in faults]


def curves(runs, meters=()):
    """Running time with the difference of log and meter that ``fixtures/reference/limits.csv`` gives, 2 %."""
    return running_times(runs, meters, difference_pct=2.0)


def account(runs=(), meters=(), at=NOW, **tube):
    tube.setdefault("fittings", (FittingFact("A", "V1", day(-1)),))
    times = curves(runs, meters)
    (answer,) = tube_hours([TubeFact("T", **tube)], times, at)
    return answer, times


def meter(*readings, digits=5, decimals=1, chassis="A"):
    facts = [ReadingFact(day(on), wheels, *more) for on, wheels, *more in readings]
    return MeterFact(chassis, digits, decimals, tuple(facts))


# --- the log ----------------------------------------------------------------------------------------------------------


def test_runs_with_times_add_up():
    told, _ = account([run(0, 8, 2), run(3, 20, 3, starts=2)], standing="known", hours=100.0, starts=40)
    assert (told.hours, told.starts, told.known) == (105.0, 43, "known")
    assert told.remarks == ()


def test_a_run_over_midnight():
    told, _ = account([RunFact("A", day(0), time(22), None, time(1, 30))])
    assert told.hours == 3.5


def test_runs_over_one_another_count_once_and_are_named():
    told, times = account([run(0, 8, 4), run(0, 10, 4)])
    assert told.hours == 6
    assert only(times.faults) == [OVERLAP]
    assert "2024-03-01 10:00 to 2024-03-01 12:00" in times.faults[0].text
    assert times.faults[0].text in told.remarks


def test_joined_runs_are_one_start():
    """A filament that is on is not switched on again (common practice, no source)."""
    told, times = account([run(0, 8, 4), run(0, 8, 4)], standing="known", hours=0.0)
    assert (told.hours, told.starts) == (4, 1)
    assert "joined runs are one start" in times.faults[0].text and times.faults[0].text in told.remarks
    assert account([run(0, 8, 4), run(0, 10, 4), run(0, 13, 3), run(0, 18, 1)])[0].starts == 2
    told, times = account([run(0, 8, 4, starts=3), run(0, 10, 4)])
    assert told.starts == 3 and "of their starts the larger number counts" in times.faults[0].text
    assert account([run(0, 8, 4), run(0, 12, 2)])[0].starts == 2  # off and on again within the minute
    assert (
        account([RunFact("A", FIRST, hours=2), RunFact("A", FIRST, hours=2)])[0].starts == 2
    )  # at which hours: unsaid


def test_starts_of_joined_runs_stay_with_their_chassis_and_their_tube():
    late = FittingFact("A", "V1", FIRST, time(11))
    told, _ = account([run(0, 8, 4), run(0, 10, 4)], fittings=(late,))
    assert told.starts == 0 and told.hours == 3  # put in while it ran
    other = RunFact("B", FIRST, time(9), FIRST, time(13))
    told, _ = account([run(0, 8, 4), other], fittings=(FittingFact("B", "V1", day(-1)),))
    assert told.starts == 1


def test_a_run_over_two_others_is_named_twice():
    _, times = account([run(0, 1, 20), run(0, 4, 2), run(0, 8, 2)])
    assert only(times.faults) == [OVERLAP, OVERLAP]
    assert all("on at 2024-03-01 01:00" in fault.text for fault in times.faults)


def test_standby_is_kept_apart_and_full_filament_wins():
    told, times = account([run(0, 8, 6, standby=True), run(0, 10, 2)])
    assert (told.hours, told.standby) == (2, 4)
    assert "as full filament" in times.faults[0].text
    assert any("4.0 h at standby" in remark for remark in told.remarks)


def test_hours_of_a_day_are_shared_by_time():
    in_at_noon = FittingFact("A", "V1", FIRST, time(12))
    told, _ = account([RunFact("A", FIRST, hours=6)], fittings=(in_at_noon,))
    assert told.hours == 3
    assert any("only the sum of hours is known" in remark for remark in told.remarks)


def test_hours_with_the_time_on_are_a_timed_run():
    told, times = account([RunFact("A", FIRST, time(8), hours=2.5), run(0, 10, 1)])
    assert told.hours == 3
    assert only(times.faults) == [OVERLAP]


def test_more_hours_than_the_day_has_are_named_and_counted_as_written():
    told, times = account([RunFact("A", FIRST, hours=20), RunFact("A", FIRST, hours=9)])
    assert told.hours == pytest.approx(29)
    assert only(times.faults) == [OVERFULL, OVERFULL]
    _, times = account([RunFact("A", FIRST, hours=25)])
    assert only(times.faults) == [OVERFULL]
    _, times = account([RunFact("A", FIRST, hours=5), run(0, 8, 8)])  # both fit into the day
    assert only(times.faults) == []


def test_runs_without_an_end_or_backwards_are_named_and_not_counted():
    told, times = account(
        [
            RunFact("A", day(0), time(8)),
            RunFact("A", day(1)),
            RunFact("A", day(2), time(8), day(1), time(9)),
            RunFact("A", day(3), off=day(1), hours=3),
        ]
    )
    assert told.hours == 0 and told.starts == 0
    assert only(times.faults) == [NO_END, NO_END, BACKWARDS, BACKWARDS]


# --- meters -----------------------------------------------------------------------------------------------------------


def test_the_meter_alone():
    told, times = account(meters=[meter((0, "00100.0"), (30, "00160.0"))])
    assert told.hours == pytest.approx(60)
    assert times.faults == ()
    (beside,) = times.accounts
    assert (beside.meter_h, beside.log_h, beside.flagged) == (60, 0, False)


def test_a_tube_changed_between_two_readings_shares_by_time():
    fittings = (FittingFact("A", "V1", day(10), None, day(20)),)
    told, _ = account(meters=[meter((0, "00100.0"), (30, "00160.0"))], fittings=fittings)
    assert told.hours == pytest.approx(20)
    assert any("only the sum of hours is known" in remark for remark in told.remarks)


def test_log_and_meter_together_count_the_larger_one():
    runs = [run(n, 8, 4) for n in range(5)]  # 20 h
    told, times = account(runs, [meter((0, "00000.0"), (10, "00026.0"))])
    assert told.hours == pytest.approx(26)
    assert only(times.faults) == [UNLOGGED, APART]
    told, times = account(runs, [meter((0, "00000.0"), (10, "00012.0"))])
    assert told.hours == 20
    assert only(times.faults) == [APART]
    assert "the meter lags or stood still" in times.faults[0].text


def test_l4_3_a_meter_that_wore_out():
    """A broadcaster's log had 118289 h when the meter stood at 113051.24 (engineeringradio.us/blog/tag/tube)."""
    since, last = date(2001, 6, 6), date(2001, 6, 6) + timedelta(days=4929)
    runs = [RunFact("A", since, None, last, None, 118289)]  # 4929 days hold 118296 h
    wheels = MeterFact("A", 6, 2, (ReadingFact(since, "000000.00"), ReadingFact(last, "113051.24")))
    times = curves(runs, [wheels])
    (beside,) = times.accounts
    assert beside.flagged and only(times.faults)[-1] == APART
    (told,) = tube_hours([TubeFact("T", "known", 0.0, 0, (FittingFact("A", "V1", since),))], times, axis_end(last))
    assert told.hours == pytest.approx(118289)


def test_the_last_wheel_is_no_difference():
    told, times = account([RunFact("A", day(1), hours=4.97)], [meter((0, "00100.0"), (2, "00105.0"))])
    assert told.hours == pytest.approx(4.97)
    assert times.faults == ()


def test_a_reading_without_a_time_lies_where_log_and_meter_agree():
    """The set ran on the day of the reading: before it or after it, nothing is counted twice."""
    runs = [run(n, 8, 5) for n in (1, 2, 3)]
    for middle in ("00005.0", "00010.0"):  # read on day 2 before or after that day's run
        told, times = account(runs, [meter((0, "00000.0"), (2, middle), (4, "00015.0"))])
        assert told.hours == 15
        assert times.faults == ()


def test_roll_over_in_the_chain():
    told, times = account(meters=[meter((0, "9998.7"), (5, "0003.2"), digits=4)])  # L4.1
    assert told.hours == pytest.approx(4.5)
    assert times.faults == ()


def test_a_reading_that_runs_backwards_is_named_and_not_counted():
    told, times = account(meters=[meter((0, "00100.0"), (5, "00090.0"), (9, "00120.0"))])
    assert only(times.faults) == [BACKWARD]
    assert "00100.0" not in times.faults[0].text and "100.0 h, then 90.0 h" in times.faults[0].text
    assert told.hours == pytest.approx(30)  # from the second reading on the meter counts again


def test_more_hours_than_passed_are_named_and_not_counted():
    told, times = account([run(1, 8, 4)], [meter((0, "00100.0"), (5, "00900.0"))])
    assert only(times.faults) == [IMPOSSIBLE]
    assert told.hours == 4


def test_time_for_another_turn_is_named():
    told, times = account(meters=[meter((0, "10.0"), (40, "20.0"), digits=2)])
    assert only(times.faults) == [TURNS]
    assert "up to 9 full turns of 100 h more" in times.faults[0].text
    assert told.hours == pytest.approx(10)


def test_a_changed_meter_and_the_gap_between():
    old, new = meter((0, "00900.0"), (10, "00930.0")), meter((20, "00000.0"), (30, "00040.0"))
    told, times = account([run(15, 8, 3)], [old, new])
    assert told.hours == pytest.approx(73)
    assert GAP in only(times.faults)


def test_two_meters_at_once_are_named():
    _, times = account(meters=[meter((0, "00000.0"), (10, "00005.0")), meter((5, "00000.0"), (15, "00005.0"))])
    assert only(times.faults) == [TWO_METERS]


def test_a_reading_not_understood_is_named():
    told, times = account(meters=[meter((0, "00900.0"), (5, "009?"), (10, "00930.0"))])
    assert only(times.faults) == [BAD_READING]
    assert told.hours == pytest.approx(30)


def test_starts_by_the_counter():
    readings = meter((0, "00000.0", None, 100), (10, "00010.0", None, 112), (20, "00010.0", None, 90))
    told, times = account([run(1, 8, 5), run(2, 8, 5)], [readings])
    assert told.starts == 12  # two by the log, ten more by the counter
    assert only(times.faults) == [COUNTER]


# --- tubes ------------------------------------------------------------------------------------------------------------


def test_known_estimated_unknown_are_kept_as_such():
    runs = [run(0, 8, 2)]
    assert account(runs, standing="estimated", hours=500.0)[0].known == "estimated"
    told, _ = account(runs, standing="unknown", hours=500.0)
    assert (told.known, told.hours) == ("unknown", 2)
    assert "not known" in told.remarks[0]
    assert account(runs, standing="known")[0].known == "unknown"  # called known, but no figure


def test_two_fittings_on_one_day_of_change():
    """Hours of the day go to the tube put in (a fitting without a time counts at the start of its day)."""
    runs = [run(n, 8, 2) for n in range(6)]
    old = (FittingFact("A", "V1", day(0), None, day(3)),)
    new = (FittingFact("A", "V1", day(3)),)
    assert account(runs, fittings=old)[0].hours == 6
    assert account(runs, fittings=new)[0].hours == 6


def test_hours_of_a_day_of_change_without_a_time_are_told_and_not_called_known():
    runs = [run(n, 8, 2) for n in range(6)]
    new, _ = account(runs, fittings=(FittingFact("A", "V1", day(3)),), standing="known", hours=10.0)
    assert (new.hours, new.known, new.standing) == (16, "estimated", "known")
    assert new.remarks == ("Fitted on 2024-03-04 without a time: the 2.0 h of that day went to this tube.",)
    gone = FittingFact("A", "V1", day(-1), None, day(3))
    old, _ = account(runs, fittings=(gone,), standing="known", hours=10.0)
    assert (old.hours, old.known) == (16, "estimated")
    assert (
        "Taken out on 2024-03-04 without a time: the 2.0 h of that day went to the tube put in after" in old.remarks[0]
    )
    quiet = FittingFact("A", "V1", day(-1), None, day(9))
    for sure in (quiet, FittingFact("A", "V1", day(3), time(7)), FittingFact("A", "V1", day(3), time(0))):
        told, _ = account(runs, fittings=(sure,), standing="known", hours=10.0)
        assert told.known == "known" and told.remarks == ()
    told, _ = account(runs, fittings=(gone,), at=axis_end(day(2)), standing="known", hours=10.0)
    assert told.known == "known"  # it was still in then
    assert account(runs, fittings=(gone,))[0].known == "unknown"
    assert account(runs, fittings=(gone,), standing="estimated", hours=1.0)[0].known == "estimated"
    same_day = FittingFact("A", "V1", day(3), None, day(3))
    told, _ = account(runs, fittings=(same_day,), standing="known", hours=10.0)
    assert told.known == "estimated" and len(told.remarks) == 1
    until_nine = FittingFact("A", "V1", day(3), None, day(3), time(9))
    told, _ = account(runs, fittings=(until_nine,), standing="known", hours=10.0)
    assert told.hours == 11 and any("the 1.0 h of that day went to this tube" in text for text in told.remarks)


def test_hours_shared_by_time_are_not_called_known():
    told, _ = account(
        [RunFact("A", FIRST, hours=6)], fittings=(FittingFact("A", "V1", FIRST, time(12)),), standing="known", hours=0.0
    )
    assert (told.hours, told.known, told.standing) == (3, "estimated", "known")


def test_odd_fittings_are_named():
    runs = [run(0, 8, 4)]
    same_day = account(runs, fittings=(FittingFact("A", "V1", day(0), None, day(0)),))[0]
    assert same_day.hours == 0 and "In and out on 2024-03-01" in same_day.remarks[1]
    turned = account(runs, fittings=(FittingFact("A", "V1", day(2), None, day(0)),))[0]
    assert turned.hours == 0 and "before it was put in" in turned.remarks[1]
    elsewhere = account(runs, fittings=(FittingFact("B", "V1", day(0)),))[0]
    assert elsewhere.hours == 0 and "no run and no meter reading" in elsewhere.remarks[1]
    twice = account(runs, fittings=(FittingFact("A", "V1", day(0)), FittingFact("A", "V2", day(0))))[0]
    assert twice.hours == 8 and "In two places at once" in twice.remarks[1]
    hot = account(runs, fittings=(FittingFact("A", "V1", day(0), time(9)),))[0]
    assert hot.hours == 3 and "while the log has the set running" in hot.remarks[1]


def test_corrections_with_a_reason():
    corrected = (CorrectionFact(day(1), -12.5, -3, "ran dark for a week"),)
    told, _ = account([run(0, 8, 2)], standing="known", hours=100.0, corrections=corrected)
    assert told.hours == 89.5
    assert "2024-03-02: -12.5 h, -3 starts: ran dark for a week" in told.remarks
    assert any("below nought" in remark for remark in told.remarks)  # starts
    told, _ = account(corrections=(CorrectionFact(day(1), 2, -1, "twice"),))
    assert "2024-03-02: +2 h, -1 start: twice" in told.remarks


def test_nothing_after_the_day_asked_for():
    runs = [run(n, 8, 2) for n in range(6)]
    told, _ = account(runs, at=axis_end(day(1)), corrections=(CorrectionFact(day(4), 50, 0, "later"),))
    assert told.hours == 4
    assert account(runs, at=axis(FIRST), fittings=(FittingFact("A", "V1", FIRST),))[0].fittings == ()


def test_hours_on_the_days_of_its_tests():
    runs = [run(n, 8, 2) for n in range(6)]
    tube = TubeFact(
        "T", "known", 10.0, 0, (FittingFact("A", "V1", day(1), None, day(4)),), (CorrectionFact(day(2), 5, 0, "x"),)
    )
    days = [day(n) for n in (0, 1, 2, 3, 9)]
    assert hours_on_days(tube, curves(runs), days) == [10, 10, 17, 19, 21]
    assert hours_on_days(tube, curves(runs), []) == []


def test_moments():
    assert day_of(axis(FIRST, time(23, 59))) == FIRST
    assert axis_end(FIRST) == axis(FIRST) + DAY
    assert (show(axis(FIRST)), show(axis(FIRST, time(9, 5)))) == ("2024-03-01", "2024-03-01 09:05")
    assert day_of(axis_end(date.max)) == date.max


# --- the plain reference ----------------------------------------------------------------------------------------------

days = st.integers(0, 25).map(day)
hours_of_day = st.one_of(st.none(), st.builds(time, st.integers(0, 23), st.sampled_from([0, 20, 45])))
runs_at_random = st.builds(
    RunFact,
    st.sampled_from("AB"),
    days,
    hours_of_day,
    st.one_of(st.none(), days),
    hours_of_day,
    st.one_of(st.none(), st.decimals(0, 40, places=2)),
    st.integers(0, 4),
    st.booleans(),
)


@st.composite
def meters_at_random(draw):
    """A meter that may stick, be misread, go round, and be read with and without a time."""
    digits, decimals = draw(st.integers(2, 5)), draw(st.integers(0, 2))
    hours, readings = draw(st.integers(0, 10**digits - 1)) * 100, []
    for number in sorted(draw(st.lists(st.integers(0, 25), max_size=5))):
        hours = (hours + draw(st.integers(-300, 9000))) % (10**digits * 100)
        wheels = f"{hours // 100:0{digits}d}" + (f".{hours % 100:02d}"[: decimals + 1] if decimals else "")
        readings.append(ReadingFact(day(number), wheels, draw(hours_of_day), None))
    return MeterFact(draw(st.sampled_from("AB")), digits, decimals, tuple(readings))


fittings_at_random = st.builds(
    FittingFact, st.sampled_from("ABC"), st.just("V1"), days, hours_of_day, st.one_of(st.none(), days), hours_of_day
)


@settings(deadline=None, max_examples=300)
@given(
    st.lists(runs_at_random, max_size=8),
    st.lists(meters_at_random(), max_size=3),
    st.lists(fittings_at_random, min_size=1, max_size=5),
    st.integers(0, 30),
)
def test_arrays_agree_with_the_plain_reference(runs, meters, fittings, last):
    at = axis_end(day(last))
    tube = TubeFact("T", "known", 7.5, 3, tuple(fittings))
    (told,) = tube_hours([tube], curves(runs, meters), at)
    for answer in told.fittings:
        fitting = answer.fitting
        since = axis(fitting.since, fitting.since_at)
        until = min(at, axis(fitting.until, fitting.until_at)) if fitting.until else at
        mine = [one for one in runs if one.chassis == fitting.chassis]
        theirs = [one for one in meters if one.chassis == fitting.chassis]
        hours, standby, starts = hours_between(mine, theirs, since, max(since, until))
        assert answer.hours == pytest.approx(hours, abs=1e-6)
        assert answer.standby == pytest.approx(standby, abs=1e-6)
        assert answer.starts == starts
        assert answer.hours >= 0 and answer.standby >= -1e-9
    assert told.hours == pytest.approx(7.5 + sum(one.hours for one in told.fittings))


@settings(deadline=None)
@given(st.lists(runs_at_random, max_size=8), st.lists(meters_at_random(), max_size=2), st.lists(days, min_size=2))
def test_running_time_never_runs_backwards(runs, meters, asked):
    tube = TubeFact("T", "known", 0.0, 0, (FittingFact("A", "V1", FIRST),))
    hours = hours_on_days(tube, curves(runs, meters), sorted(asked))
    assert all(b >= a - 1e-9 for a, b in pairwise(hours))


def test_times_that_were_given_are_not_called_missing():
    day = date(2026, 11, 29)
    times = running_times([], difference_pct=2.0)

    def said(**cells):
        fitting = FittingFact("A", "V1", since=day, until=day, **cells)
        (found,) = tube_hours([TubeFact("T", fittings=(fitting,))], times, axis(day) + 2 * 86_400)
        return found.fittings[0].remarks[0]

    minute = time(21, 50)
    told = said(since_at=minute, until_at=minute)
    assert told == "Put in and taken out in one minute, 2026-11-29 21:50: nothing ran in it."
    assert said(since_at=minute) == "Put in on 2026-11-29 21:50 and taken out that day without a time: not counted."
    assert "without times" in said()
