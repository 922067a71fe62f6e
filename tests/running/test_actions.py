"""Changes of the running area: what is written with its history, and what is refused at which field."""

from datetime import UTC, date, datetime, time, timedelta
from datetime import timezone as dt_timezone

import pytest
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inventory.holdings.actions import check_moment
from inventory.holdings.models import Tube
from inventory.house.history import changes_of
from inventory.house.records.actions import strike_out
from inventory.running.actions import (
    change_meter,
    correct_hours,
    make_set,
    put_in_meter,
    record_care_done,
    record_reading,
    record_run,
    record_test,
    save_care,
    save_earlier_hours,
    save_instrument,
    save_meter,
    save_minimum,
    set_state,
    split_set,
)
from inventory.running.models import (
    Care,
    CareDone,
    EarlierHours,
    HoursCorrection,
    Instrument,
    MatchedSet,
    Meter,
    MeterReading,
    Run,
    TubeTest,
    TypeMinimum,
)
from tests.factories import ChassisFactory, ItemFactory, TubeFactory, TubeTypeFactory
from tests.running.rows import InstrumentFactory, MeterFactory, RunFactory, TubeTestFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def say(today, keeper):
    """What every action of a day by a person takes."""
    return {"today": today, "by": keeper}


# --- runs ------------------------------------------------------------------------------------------------------------


def test_a_run_is_written_with_its_history(say, today, keeper):
    row = record_run(Run(chassis=ChassisFactory(), on=today, hours=3.5), **say)
    assert row.history.get().history_user == keeper


def test_a_run_over_midnight_ends_the_next_morning(say, days_ago):
    row = record_run(Run(chassis=ChassisFactory(), on=days_ago(3), on_at=time(22), off_at=time(1, 30)), **say)
    assert row.off == days_ago(2)


def at_clock(day, *clock):
    """A moment of a day in the current time zone."""
    return timezone.make_aware(datetime.combine(day, time(*clock)))


@pytest.mark.parametrize(
    ("cells", "field", "words"),
    [
        ({"on_at": time(1), "off_at": time(23, 59)}, "off_at", "23:59 has not come yet today; it is 22:01"),
        ({"on_at": time(22, 30), "off_at": time(23)}, "on_at", "22:30 has not come yet"),
        ({"on_at": time(20), "hours": 2.5}, "hours", "2.5 hours from 20:00 on are not over yet"),
    ],
)
def test_hours_not_yet_run_are_refused(say, today, days_ago, refused, cells, field, words):
    now = at_clock(today, 22, 1)
    with refused(field, words):
        record_run(Run(chassis=ChassisFactory(), on=today, **cells), now=now, **say)
    assert not Run.objects.exists()
    assert record_run(Run(chassis=ChassisFactory(), on=days_ago(2), **cells), now=now, **say).pk


def test_what_ran_until_now_is_taken(say, today, days_ago, refused):
    now = at_clock(today, 22, 1)
    for cells in ({"on_at": time(1), "off_at": time(22, 1)}, {"on_at": time(20), "hours": 2.0}, {"hours": 3.0}):
        assert record_run(Run(chassis=ChassisFactory(), on=today, **cells), now=now, **say).pk
    over_night = {"on": days_ago(1), "on_at": time(23), "off_at": time(2)}
    assert record_run(Run(chassis=ChassisFactory(), **over_night), now=now, **say).off == today
    with refused("off_at", "02:00 has not come yet today; it is 01:30"):
        record_run(Run(chassis=ChassisFactory(), **over_night), now=at_clock(today, 1, 30), **say)


def test_a_time_to_come_is_refused_of_meters_and_tests_too(say, today, days_ago, refused):
    meter, now = MeterFactory(), at_clock(today, 9)
    with refused("at", "10:00 has not come yet"):
        record_reading(MeterReading(meter=meter, on=today, at=time(10), wheels="00100.0"), now=now, **say)
    assert record_reading(MeterReading(meter=meter, on=days_ago(1), at=time(10), wheels="00100.0"), now=now, **say).pk
    with refused("at", "10:00 has not come yet"):
        record_test(a_test(on=today, at=time(10), reading_text="2000"), now=now, **say)


def test_now_is_that_of_the_current_time_zone(refused):
    """23:30 UTC on the 1st is 01:30 on the 2nd in a zone two hours ahead (arithmetic)."""
    now = datetime(2026, 6, 1, 23, 30, tzinfo=UTC)
    with timezone.override(dt_timezone(timedelta(hours=2))):
        check_moment(date(2026, 6, 1), time(23, 59), "at", now)  # a day that is over: for check_day
        check_moment(date(2026, 6, 2), time(1, 30), "at", now)
        check_moment(date(2026, 6, 2), None, "at", now)
        check_moment(None, time(9), "at", now)
        with refused("at", "02:00 has not come yet today; it is 01:30"):
            check_moment(date(2026, 6, 2), time(2), "at", now)
    check_moment(date(2026, 6, 2), time(1, 30), "at", datetime(2026, 6, 2, 1, 30))  # one without a zone, as it stands
    assert check_moment(timezone.localdate(), time(0)) is None  # the machine's own clock


@pytest.mark.parametrize(
    ("cells", "field", "words"),
    [
        ({}, "hours", "times on and off, or how many hours"),
        ({"on_at": time(9)}, "off_at", "time it went off"),
        ({"on_at": time(9), "off_at": time(9)}, "off_at", "same moment"),
        ({"on_at": time(9), "off_at": time(11), "hours": 2.0}, "hours", "not both"),
        ({"hours": 24.5}, "hours", "do not fit into one day"),
        ({"hours": 0.0, "starts": 0}, "hours", "nothing ran"),
        ({"hours": -1.0}, "hours", "greater than or equal to 0"),
    ],
)
def test_a_run_that_cannot_be_is_refused(say, today, refused, cells, field, words):
    with refused(field, words):
        record_run(Run(chassis=ChassisFactory(), on=today, **cells), **say)
    assert not Run.objects.exists()


def test_days_of_a_run(say, today, days_ago, refused):
    chassis = ChassisFactory()
    with refused("on", "has not come"):
        record_run(Run(chassis=chassis, on=days_ago(-1), hours=1), **say)
    with refused("off", "before it went on"):
        record_run(Run(chassis=chassis, on=today, off=days_ago(1), hours=1), **say)
    chassis.item.gone_on = days_ago(5)
    chassis.item.save()
    with refused("on", "left the collection"):
        record_run(Run(chassis=chassis, on=today, hours=1), **say)


# --- meters ----------------------------------------------------------------------------------------------------------


def test_one_meter_at_a_time(say, today, days_ago, refused):
    meter = MeterFactory(since=days_ago(100))
    with refused("since", "was in this chassis then"):
        save_meter(Meter(chassis=meter.chassis, since=days_ago(10)), **say)
    meter.until = days_ago(10)
    save_meter(meter, **say)
    assert save_meter(Meter(chassis=meter.chassis, since=days_ago(10)), **say).pk


def test_a_roll_over_is_taken_and_a_reading_that_runs_backwards_asks(say, days_ago, refused):
    """NAVEDTRA 14329: four wheels and tenths go from 9998.7 over nought; L4.1 of the project's check cases is 4.5 h."""
    meter = MeterFactory(digits=4, since=days_ago(20))
    record_reading(MeterReading(meter=meter, on=days_ago(10), wheels="9998.7"), **say)
    record_reading(MeterReading(meter=meter, on=days_ago(8), wheels="0003.2"), **say)
    back = MeterReading(meter=meter, on=days_ago(7), wheels="0001.0")
    with refused("wheels", "no time for a full turn"):
        record_reading(back, **say)
    assert record_reading(back, odd=True, **say).wheels == "0001.0"


@pytest.mark.parametrize("wheels", ["", "about 12", "12345.6", "0012.34", "-4", "1e3", "\u0661\u0662", "1" * 16])
def test_wheels_that_this_meter_has_not(say, today, refused, wheels):
    with refused("wheels"):
        record_reading(MeterReading(meter=MeterFactory(digits=4), on=today, wheels=wheels), **say)


def test_a_reading_lies_in_the_time_of_its_meter(say, today, days_ago, refused):
    meter = MeterFactory(since=days_ago(30))
    with refused("on", "was in the chassis from"):
        record_reading(MeterReading(meter=meter, on=days_ago(31), wheels="1"), **say)


def test_a_changed_meter_ends_the_old_one(say, today, days_ago, refused):
    old = MeterFactory(since=days_ago(100))
    record_reading(MeterReading(meter=old, on=days_ago(90), wheels="00100.0"), **say)
    with refused("last_wheels", "no meter reading"):
        change_meter(old, Meter(since=today), last_wheels="gone", first_wheels="", **say)
    old.refresh_from_db()
    assert old.until is None
    new = change_meter(old, Meter(since=today), last_wheels="00150.5", first_wheels="0", **say)
    old.refresh_from_db()
    assert (old.until, new.readings.get().wheels, old.readings.count()) == (today, "0", 2)


def test_the_first_meter_and_its_first_reading_are_written_together_or_not_at_all(say, today, refused):
    chassis = ChassisFactory()
    with refused("first_wheels", "no meter reading"):
        put_in_meter(Meter(chassis=chassis, since=today), first_wheels="gone", **say)
    assert not Meter.objects.exists()
    meter = put_in_meter(Meter(chassis=chassis, since=today), first_wheels="00012.5", **say)
    assert meter.readings.get().wheels == "00012.5"


def test_fewer_wheels_than_the_readings_show_are_refused(say, days_ago, refused):
    meter = MeterFactory(since=days_ago(100))
    record_reading(MeterReading(meter=meter, on=days_ago(90), wheels="12345.0"), **say)
    meter.digits = 4
    with refused("digits", "12345.0"):
        save_meter(meter, **say)


# --- hours of a tube -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cells", "field"),
    [
        ({"standing": "known", "reason": "log"}, "hours"),
        ({"standing": "known", "hours": 3.0}, "reason"),
        ({"standing": "unknown", "hours": 3.0}, "standing"),
        ({"standing": "estimated", "hours": -3.0}, "hours"),
        ({"standing": "guessed", "hours": 3.0}, "standing"),
    ],
)
def test_earlier_hours_that_do_not_agree_with_themselves(keeper, refused, cells, field):
    with refused(field):
        save_earlier_hours(EarlierHours(tube=TubeFactory(), **cells), by=keeper)


def test_earlier_hours_and_corrections(say, today, keeper, refused):
    tube = TubeFactory()
    row = EarlierHours(tube=tube, standing="known", hours=0.0, reason="sealed carton")
    assert save_earlier_hours(row, by=keeper).history.get().history_user == keeper
    with refused("hours", "to add or to take off"):
        correct_hours(HoursCorrection(tube=tube, on=today, reason="why"), **say)
    with refused("reason"):
        correct_hours(HoursCorrection(tube=tube, on=today, hours=1), **say)
    with refused("hours", "at most"):
        correct_hours(HoursCorrection(tube=tube, on=today, hours=float("1e12"), reason="why"), **say)
    assert correct_hours(HoursCorrection(tube=tube, on=today, hours=-2, reason="twice"), **say).pk


def test_what_is_struck_out_stays_and_is_struck_once(keeper, refused):
    row = RunFactory()
    with refused("why", "Say why"):
        strike_out(row, "  ", by=keeper)
    strike_out(row, "entered twice", by=keeper)
    assert Run.objects.get().struck == "entered twice"
    with refused("why", "already"):
        strike_out(row, "again", by=keeper)


# --- instruments and tests -------------------------------------------------------------------------------------------


def test_the_scale_of_an_instrument_stays_once_it_was_read(say, days_ago, refused):
    instrument = TubeTestFactory().instrument
    instrument.scale = "percent"
    with refused("scale", "another instrument"):
        save_instrument(instrument, **say)
    with refused("calibrated_on", "has not come"):
        save_instrument(Instrument(name="Other", scale="scale", calibrated_on=days_ago(-3)), **say)


def test_one_minimum_of_a_type_and_section(keeper, refused):
    instrument, kind = InstrumentFactory(), TubeTypeFactory()
    cells = {"instrument": instrument, "type": kind, "minimum": 1200, "source": "roll chart"}
    save_minimum(TypeMinimum(**cells), by=keeper)
    with refused("type", "has a minimum there already, 1200"):
        save_minimum(TypeMinimum(**cells), by=keeper)
    assert save_minimum(TypeMinimum(section="2", **cells), by=keeper).pk


def a_test(**cells):
    base = {"tube": TubeFactory(), "instrument": InstrumentFactory(), "shorts": "none"}
    return TubeTest(**(base | cells))


@pytest.mark.parametrize(
    ("text", "figure"),
    [("2250", 2250.0), ("2,5", 2.5), ("0.75", 0.75), (" 1900 ", 1900.0), ("1900 micromho", 1900.0), ("25", 25.0)],
)
def test_digits_stay_as_given_and_the_figure_is_what_they_say(say, today, text, figure):
    """A decimal comma is how half of Europe writes a figure (common practice, no source)."""
    row = record_test(a_test(on=today, reading_text=text), odd=True, **say)  # whatever it is beside a handbook
    assert (row.reading_text, row.reading) == (text.strip(), figure)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("strong", "no figure"),
        ("2250/1200", "two figures"),
        ("1.9 mA/V", "two scales are never mixed"),
        ("92 %", "two scales are never mixed"),
        ("1,250", "can mean two figures"),
        ("nan", "no figure"),
        ("-5", "no figure"),
        ("9" * 30, "no figure"),
    ],
)
def test_readings_that_are_no_figure_of_this_scale(say, today, refused, text, words):
    with refused("reading_text", words):
        record_test(a_test(on=today, reading_text=text), **say)
    assert not TubeTest.objects.exists()


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(text=st.text(max_size=40))
def test_no_text_breaks_the_reading(say, today, text):
    """Whatever is typed gives a figure or a refusal that names a field."""
    from django.core.exceptions import ValidationError

    try:
        row = record_test(a_test(on=today, reading_text=text), **say)
    except ValidationError as refusal:
        assert refusal.message_dict
    else:
        assert row.reading is None or 0 <= row.reading <= 1e9


def test_a_shorted_tube_goes_no_further(say, today, refused):
    """Shorts come first and a shorted tube goes no further: TM 11-6625-316-12 par. 21-23; radiolaguy.com, testing."""
    with refused("reading_text", "test ends there"):
        record_test(a_test(on=today, shorts="found", reading_text="2250"), **say)
    row = record_test(a_test(on=today, shorts="found", shorts_words="grid to filament"), **say)
    assert row.reading is None


def test_no_shorts_with_leakage_in_words_is_refused(say, today, refused):
    with refused("shorts", "None, but of shorts or leakage is written 'h-k leakage 0.5 meg': choose found"):
        record_test(a_test(on=today, shorts="none", shorts_words="h-k leakage 0.5 meg", reading_text="2250"), **say)
    for words in ("", "none", "none, tapped", "no leakage"):
        assert record_test(a_test(on=today, shorts="none", shorts_words=words, reading_text="2250"), **say).pk


def test_a_reading_far_off_is_asked_about_once(say, today, days_ago, refused):
    """More than 3 times its own last reading, or 10 times its minimum (our choice, no source)."""
    last = TubeTestFactory(reading=2250.0, on=days_ago(9))
    cells = {"tube": last.tube, "instrument": last.instrument, "on": today}
    with refused("reading_text", "22500 is more than 3 times its 2250 of"):
        record_test(a_test(**cells, reading_text="22500"), **say)
    row = record_test(a_test(**cells, reading_text="22500"), odd=True, **say)
    row.note = "looked again"
    assert record_test(row, **say).note  # asked once, not at every correction
    row.reading_text = "225000"
    with refused("reading_text", "tick the box below"):
        record_test(row, **say)
    for text in ("6750", "100", "0"):  # up to 3 times; a fall is what a test is for
        assert record_test(a_test(**cells | {"on": days_ago(5)}, reading_text=text), **say).pk
    for other in ({"instrument": InstrumentFactory()}, {"section": "2"}, {"on": days_ago(20)}):
        assert record_test(a_test(**cells | other, reading_text="22500"), **say).pk


def test_a_reading_far_above_its_minimum_is_asked_about(say, today, refused):
    with refused("reading_text", "16010 is more than 10 times its minimum, 1600"):
        record_test(a_test(on=today, reading_text="16010", minimum_text="1600"), **say)
    test = a_test(on=today, reading_text="16010")
    TypeMinimum.objects.create(instrument=test.instrument, type=test.tube.type, minimum=1600, source="roll chart")
    with refused("reading_text", "more than 10 times"):
        record_test(test, **say)
    test.reading_text = "16000"
    assert record_test(test, **say).pk


def test_a_reading_of_another_unit_is_asked_about(reference, say, today, refused):
    """avo-vdm23: 6SN7 2900 micromho, 2.9 mA/V; 2000 on an instrument in mA/V is 690 times that (arithmetic)."""
    tube = TubeFactory(type=TubeTypeFactory(name="6SN7GT"), marked="6SN7GT")
    in_ma = a_test(on=today, tube=tube, instrument=InstrumentFactory(scale="ma_v"), section="1", reading_text="2000")
    with refused("reading_text", "2000 is 690 times the handbook's test point of 6SN7, 2.9. It looks like micromho"):
        record_test(in_ma, **say)
    assert record_test(in_ma, odd=True, **say).pk
    in_micro = a_test(
        on=today, tube=tube, instrument=InstrumentFactory(scale="micromho"), section="1", reading_text="2.5"
    )
    with refused("reading_text", "It looks like mA/V; this instrument reads in micromho"):
        record_test(in_micro, **say)
    for text in ("0", "30", "2900", "29000"):  # a dud reads near nothing
        row = a_test(
            on=today, tube=TubeFactory(type=tube.type), instrument=in_micro.instrument, section="1", reading_text=text
        )
        assert record_test(row, **say).pk, text


def test_a_section_that_a_double_tube_lacks_is_refused(reference, say, today, refused):
    """The 6SN7GT is a twin triode (ratings.csv); a number on a tube of one section says nothing that is known."""
    double = TubeFactory(type=TubeTypeFactory(name="6SN7GT"), marked="6SN7GT")
    single = TubeFactory(type=TubeTypeFactory(name="6SK7"), marked="6SK7")
    for section in ("0", "3"):
        with refused("section", f"two sections, 1 and 2; there is no section {section}"):
            record_test(a_test(on=today, tube=double, section=section), **say)
    for tube, section in ((double, "2"), (double, "left"), (double, ""), (single, "3")):
        assert record_test(a_test(on=today, tube=tube, section=section), **say).pk


def test_nothing_read_is_no_test(say, today, refused):
    with refused("reading_text", "Nothing was read"):
        record_test(a_test(on=today, shorts=""), **say)
    assert record_test(a_test(on=today, shorts="", gas="none"), **say).pk


def test_reduced_filament_needs_the_full_one_beside_it(say, today, refused):
    with refused("reading_text", "full filament"):
        record_test(a_test(on=today, reduced_text="2700", reduced_v=5.67), **say)
    with refused("reduced_v", "how many volts"):
        record_test(a_test(on=today, reading_text="3000", reduced_text="2700"), **say)
    with refused("reduced_v", "less than the 6.3 V"):
        record_test(a_test(on=today, reading_text="3000", filament_v=6.3, reduced_text="2700", reduced_v=6.3), **say)
    row = record_test(a_test(on=today, reading_text="3000", filament_v=6.3, reduced_text="2700", reduced_v=5.67), **say)
    assert row.reduced == 2700


def test_the_keepers_word_on_a_state(keeper, refused):
    tube = TubeFactory(state="untested")
    set_state(tube, "good", by=keeper, reason="after a test")
    assert Tube.objects.get(pk=tube.pk).state == "good"
    assert tube.history.first().history_change_reason == "after a test"
    with refused("state", "no state"):
        set_state(tube, "scrap", by=keeper, reason="")


# --- matched sets ----------------------------------------------------------------------------------------------------


def two_tests(**cells):
    kind, instrument = TubeTypeFactory(), InstrumentFactory()
    return [
        TubeTestFactory(tube__type=kind, instrument=instrument, reading=reading, **cells)
        for reading in (2000.0, 2080.0)
    ]


def a_set(tests, today, tolerance=10):
    return MatchedSet(instrument=tests[0].instrument, made_on=today, tolerance_pct=tolerance)


def test_a_set_is_made_and_split(say, today, keeper, refused):
    """100 |a - b| / ((a + b) / 2): 80 of 2040 is 3.92 % (D. Stinson's single-digit percent; the definition is ours)."""
    tests = two_tests()
    row = make_set(a_set(tests, today), tests, **say)
    assert row.mismatch_pct == pytest.approx(3.9215686)
    assert {member.history.get().history_user for member in row.members.all()} == {keeper}
    with refused("tests", "is in matched set M-"):
        make_set(a_set(tests, today), tests, **say)
    split_set(row, on=today, why="one went soft", **say)
    with refused("split_on", "already"):
        split_set(row, on=today, why="again", **say)
    assert make_set(a_set(tests, today), tests, **say).pk


def test_tubes_that_make_no_set(say, today, days_ago, refused):
    tests = two_tests()
    other = TubeTestFactory()
    with refused("tests", "two instruments are never mixed"):
        make_set(a_set(tests, today), [tests[0], other], **say)
    with refused("tests", "two tubes or more"):
        make_set(a_set(tests, today), tests[:1], **say)
    with refused("tests", "more than the 3 %"):
        make_set(a_set(tests, today, tolerance=3), tests, **say)
    of_other_type = TubeTestFactory(instrument=tests[0].instrument, tube__type__name="6AC7")
    with refused("tests", "one type"):
        make_set(a_set(tests, today), [tests[0], of_other_type], **say)
    with refused("made_on", "after that day"):
        make_set(a_set(tests, days_ago(9)), tests, **say)
    tests[0].struck = "wrong tube"
    tests[0].save()
    with refused("tests", "no reading that counts"):
        make_set(a_set(tests, today), tests, **say)
    assert not MatchedSet.objects.exists()


def test_types_that_are_the_same_tube_make_a_set(reference, say, today, refused):
    """The 24 and the 24A are one tube in the reference tables; a 6AC7 is not the same."""
    kinds = [TubeTypeFactory(name=name) for name in ("24", "24A", "6AC7")]
    instrument = InstrumentFactory()
    one, other, odd = (TubeTestFactory(tube__type=kind, instrument=instrument) for kind in kinds)
    with refused("tests", "one type"):
        make_set(a_set([one], today), [one, odd], **say)
    assert make_set(a_set([one], today), [one, other], **say).members.count() == 2


def test_a_set_keeps_what_was_compared_and_its_larger_mismatch(say, today):
    """100|a-b|/((a+b)/2), the larger of two readings: 1900 and 2100 differ by 10 %, 1000 and 1000 by nothing."""
    instrument, kind = InstrumentFactory(), TubeTypeFactory(name="6SN7GT")
    tests = []
    for first, second in ((1000.0, 1900.0), (1000.0, 2100.0)):
        tube = TubeFactory(type=kind)
        tests += [
            TubeTestFactory(tube=tube, instrument=instrument, section=section, reading=figure)
            for section, figure in (("1", first), ("2", second))
        ]
    row = make_set(a_set(tests, today, 12), tests, ("1", "2"), **say)
    assert (row.compared, row.mismatch_pct) == ("1 and 2", pytest.approx(10.0))
    assert [(one.test, one.second) for one in row.members.all()] == [(tests[0], tests[1]), (tests[2], tests[3])]


def test_a_tube_without_the_second_reading_makes_no_set(say, today, refused):
    tests = [TubeTestFactory(tube__type__name="6SN7GT", section="1", instrument=InstrumentFactory())]
    tests.append(TubeTestFactory(tube__type=tests[0].tube.type, section="1", instrument=tests[0].instrument))
    with refused("tests", "has no 2"):
        make_set(a_set(tests, today), tests, ("1", "2"), **say)


@pytest.mark.parametrize("work", ["test", "condition", "warm up"])
def test_what_is_done_to_tubes_is_no_care_of_a_chassis(say, today, refused, work):
    item = ChassisFactory().item
    with refused("work", "no tube"):
        save_care(Care(item=item, work=work, every_months=12, since=today), **say)


# --- schedules -------------------------------------------------------------------------------------------------------


def test_a_rule_is_about_something_and_has_a_rhythm(say, today, refused):
    tube = TubeFactory()
    with refused("item", "which thing"):
        save_care(Care(work="test", every_months=12, since=today), **say)
    with refused("type", "not both"):
        save_care(Care(work="test", item=tube.item, type=tube.type, every_months=12, since=today), **say)
    with refused("every_months", "how many months"):
        save_care(Care(work="test", item=tube.item, since=today), **say)
    with refused("words", "what is to be done"):
        save_care(Care(work="other", item=tube.item, every_months=1, since=today), **say)


def test_what_was_done_is_done_on_the_thing_of_the_rule(say, today, refused):
    tube, other = TubeFactory(), TubeFactory(type__name="6AC7")
    care = save_care(Care(work="test", type=tube.type, every_months=12, since=today), **say)
    with refused("item", "is no"):
        record_care_done(CareDone(care=care, item=other.item, on=today), **say)
    with refused("item", "is no"):
        record_care_done(CareDone(care=care, item=ItemFactory(kind="parts"), on=today), **say)
    assert record_care_done(CareDone(care=care, item=tube.item, on=today), **say).pk


def test_two_corrections_of_one_day_are_asked_about(say, today, days_ago, refused):
    tube = TubeFactory()
    first = correct_hours(HoursCorrection(tube=tube, on=today, hours=100, reason="log found"), **say)
    with refused("hours", f"{tube.tag} has a correction of {today} already: +100 h (log found)"):
        correct_hours(HoursCorrection(tube=tube, on=today, hours=120, reason="log found"), **say)
    assert correct_hours(HoursCorrection(tube=tube, on=today, hours=120, reason="meter"), again=True, **say).pk
    assert correct_hours(HoursCorrection(tube=tube, on=days_ago(1), hours=120, reason="meter"), **say).pk
    first.hours = 110
    assert correct_hours(first, **say).hours == 110  # it stood there already


def test_figures_stand_without_trailing_zeros(keeper):
    row = TypeMinimum(instrument=InstrumentFactory(), type=TubeTypeFactory(), minimum=1400.0, source="roll chart")
    save_minimum(row, by=keeper)
    row.minimum = 1450.0
    save_minimum(row, by=keeper)
    assert ("minimum", "1400", "1450") in changes_of(row)[0].fields
