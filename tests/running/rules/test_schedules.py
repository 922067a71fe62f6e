"""What falls due. Mercury rectifiers: hifitubes.nl; bearings at 500 hours: a 1943 manual (arc5 list, January 2013)."""

from datetime import UTC, date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from icalendar import Calendar

from inventory.running.rules.schedules import (
    CAUTIONS,
    CONDITION,
    OIL,
    TEST,
    CareFact,
    Due,
    MercuryFact,
    calendar_text,
    due,
    mercury_due,
    months_after,
    soon,
)

TODAY, SINCE = date(2025, 6, 15), date(2025, 1, 31)
STAMP = datetime(2025, 6, 15, tzinfo=UTC)


def test_months_end_with_the_month():
    assert months_after(date(2024, 1, 31), 1) == date(2024, 2, 29)
    assert months_after(date(2024, 12, 31), 2) == date(2025, 2, 28)
    assert months_after(date(9999, 12, 1), 5) == date.max


def test_by_months():
    found = due(CareFact(TEST, "T12", "", SINCE, every_months=3, source="Navy plan: a quarterly item"), TODAY)
    assert (found.when, found.overdue, found.what) == (date(2025, 4, 30), True, "test the tube")
    assert found.why == "every 3 months, counted from 2025-01-31"
    again = due(CareFact(TEST, "T12", "", SINCE, every_months=3, done=date(2025, 6, 1)), TODAY)
    assert (again.when, again.overdue) == (date(2025, 9, 1), False)


def test_a_stored_tube_counts_from_the_day_it_came_out_of_a_set():
    bare = CareFact(CONDITION, "T12", "", SINCE, every_months=3, came_out=TODAY)
    found = due(bare, TODAY)
    assert (found.when, found.overdue) == (date(2025, 9, 15), False)
    assert found.why == "every 3 months, came out of a set 2025-06-15"
    later = due(CareFact(CONDITION, "T12", "", SINCE, every_months=1, came_out=date(2024, 5, 1)), TODAY)
    assert later.when == date(2025, 2, 28) and later.why == "every month, counted from 2025-01-31"
    done = CareFact(CONDITION, "T12", "", SINCE, every_months=3, done=TODAY, came_out=date(2025, 3, 1))
    assert due(done, TODAY).why == "every 3 months, last done 2025-06-15"


def test_oil_at_hours():
    bare = CareFact(OIL, "dynamotor", "a drop a bearing", SINCE, every_hours=500, hours_now=900, hours_then=380)
    found = due(bare, TODAY)
    assert (found.when, found.overdue) == (TODAY, True) and "520 h run" in found.why
    assert found.caution == CAUTIONS[OIL] and "unplug" in found.caution
    not_yet = CareFact(OIL, "dynamotor", "", SINCE, every_hours=500, hours_now=400)
    assert due(not_yet, TODAY).when is None and "100 h to go" in due(not_yet, TODAY).why
    forecast = CareFact(OIL, "dynamotor", "", SINCE, every_hours=500, hours_now=400, hours_a_month=50)
    assert due(forecast, TODAY).when == date(2025, 8, 15)
    assert "not recorded" in due(CareFact(OIL, "dynamotor", "", SINCE, every_hours=500), TODAY).why


def test_the_sooner_of_months_and_hours():
    both = CareFact(OIL, "dynamotor", "", SINCE, every_months=12, every_hours=500, hours_now=600)
    assert due(both, TODAY).when == TODAY
    assert due(CareFact(OIL, "x", "", SINCE, every_months=12, every_hours=500, hours_now=1), TODAY).when == date(
        2026, 1, 31
    )
    assert due(CareFact(OIL, "x", "", SINCE), TODAY) is None


def test_mercury_rectifiers_are_warmed_up_after_every_move():
    moved = MercuryFact("T7", "866A", date(2025, 6, 10), date(2025, 6, 1))
    found = mercury_due(moved, TODAY)
    assert found.overdue and "30 minutes" in found.why and "30 seconds" in found.why and "upright" in found.why
    assert "mercury" in found.caution and "High voltage kills" in found.caution
    assert mercury_due(MercuryFact("T7", "866A", date(2025, 6, 10), date(2025, 6, 10)), TODAY) is None
    assert mercury_due(MercuryFact("T7", "866A", None, None), TODAY).why.startswith("never warmed up here")
    assert "disputed" in mercury_due(MercuryFact("T8", "83", None, None), TODAY).why


def test_soonest_first():
    dues = [Due(TEST, thing, when, "", "") for thing, when in (("C", date(2025, 7, 1)), ("A", TODAY), ("B", None))]
    dues.append(Due(TEST, "D", date(2026, 7, 1), "", ""))
    assert [one.thing for one in soon(dues, TODAY)] == ["A", "C"]


def test_the_calendar():
    dues = [
        due(CareFact(CONDITION, "T5, shelf 3; left", "", SINCE, every_months=6, source="own rule"), TODAY),
        Due(OIL, "dynamotor", None, "100 h to go", ""),
    ]
    stamp = datetime(2025, 6, 15, 8, tzinfo=UTC)
    text = calendar_text(dues, stamp)
    assert text == calendar_text(dues, stamp)
    told = Calendar.from_ical(text)
    (event,) = told.walk("VEVENT")
    assert event["SUMMARY"] == "T5, shelf 3; left: condition the stored tube"
    assert event["DTSTART"].dt == date(2025, 7, 31) and event["DTEND"].dt == date(2025, 8, 1)
    assert "Source: own rule" in event["DESCRIPTION"] and "High voltage" in event["DESCRIPTION"]
    assert told["VERSION"] == "2.0" and "\r\n" in text
    assert max(len(line.encode()) for line in text.split("\r\n")) <= 75  # RFC 5545 section 3.1


def test_two_rules_of_the_same_words_are_two_events():
    """A UID must be persistent and globally unique: RFC 5545 section 3.8.4.7."""
    dues = [Due(TEST, "T5", TODAY, "", "", rule=rule) for rule in ("1", "2")]
    uids = [str(event["UID"]) for event in Calendar.from_ical(calendar_text(dues, STAMP)).walk("VEVENT")]
    assert len(set(uids)) == 2
    again = Calendar.from_ical(calendar_text(dues, STAMP)).walk("VEVENT")
    assert [str(event["UID"]) for event in again] == uids


@given(st.text(max_size=80), st.text(max_size=80), st.dates())
def test_any_words_make_a_calendar(thing, why, when):
    text = calendar_text([Due(TEST, thing, when, why, "")], STAMP)
    assert len(Calendar.from_ical(text).walk("VEVENT")) == 1


@pytest.mark.parametrize("work", CAUTIONS)
def test_every_work_has_words(work):
    assert due(CareFact(work, "x", "", SINCE, every_months=1), TODAY).what
