"""Questions of the running area: rows become facts, the rules answer. Check values stand with the rules' own tests."""

from datetime import time, timedelta

import pytest

from inventory.holdings.models import Item
from inventory.house.concerns import mates_of, mates_of_many, readings_of_many
from inventory.running.models import (
    Care,
    CareDone,
    EarlierHours,
    HoursCorrection,
    MatchedSet,
    MatchedTube,
    MeterReading,
    Run,
    TubeTest,
    TypeMinimum,
)
from inventory.running.queries import (
    calibrations_due,
    chassis_log,
    compare,
    dues,
    dues_soon,
    instrument_answer,
    judged,
    life_of,
    log_differences,
    match_tubes,
    reading_names,
    run_doubts,
    set_hours,
    tube_hours,
    tube_story,
    tube_trend,
    types_meant,
    whereabouts,
    whereabouts_of,
    with_points,
)
from inventory.running.rules.matching import MatchRefused
from tests.counting import cost
from tests.factories import ChassisFactory, FittingFactory, PlaceFactory, PositionFactory, TubeFactory, TubeTypeFactory
from tests.running.rows import InstrumentFactory, MeterFactory, RunFactory, TubeTestFactory
from tubes.models import KEEPER, Limit, Source

pytestmark = pytest.mark.django_db


def fitted(since, until=None, **cells):
    """A tube in a position of a chassis between two days."""
    return FittingFactory(since=since, until=until, **cells)


# --- hours -----------------------------------------------------------------------------------------------------------


def test_a_tubes_hours_are_those_of_its_sets_while_it_was_in_them(today, days_ago):
    """Three runs of 5, 4 and 3 h; the tube was in for the first two, came with 100 known hours, 1.5 h are taken off."""
    fitting = fitted(days_ago(50), days_ago(10))
    for day, hours in ((40, 5.0), (20, 4.0), (5, 3.0)):
        RunFactory(chassis=fitting.chassis, on=days_ago(day), hours=hours, starts=2)
    RunFactory(chassis=fitting.chassis, on=days_ago(30), hours=9.0, struck="other set")
    EarlierHours.objects.create(tube=fitting.tube, standing="known", hours=100, starts=7)
    HoursCorrection.objects.create(tube=fitting.tube, on=days_ago(1), hours=-1.5, reason="counted twice")
    HoursCorrection.objects.create(tube=fitting.tube, on=days_ago(1), hours=50, reason="wrong", struck="wrong tube")
    (found,) = tube_hours([fitting.tube], today)
    answer = found.as_dict()
    assert (answer["hours"], answer["starts"], answer["known"]) == (pytest.approx(107.5), 11, "known")
    (stay,) = answer["fittings"]
    assert stay["hours"] == pytest.approx(9) and stay["to"] == days_ago(10).isoformat()
    assert any("counted twice" in text for text in answer["remarks"])


def test_hours_before_it_came_stay_what_they_are(today):
    tubes = [TubeFactory() for _ in range(3)]
    EarlierHours.objects.create(tube=tubes[1], standing="estimated", hours=40)
    EarlierHours.objects.create(tube=tubes[2], standing="unknown")
    assert [one.account.known for one in tube_hours(tubes, today)] == ["unknown", "estimated", "unknown"]


def test_hours_of_many_tubes_take_no_more_questions(today, days_ago):
    for _ in range(12):
        RunFactory(chassis=fitted(days_ago(50)).chassis)
    from inventory.holdings.models import Tube

    tubes = list(Tube.objects.select_related("item", "type"))
    assert cost(lambda: tube_hours(tubes[:3], today)) == cost(lambda: tube_hours(tubes, today)) <= 8


def test_standby_is_told_apart_and_overlaps_are_named(today, days_ago):
    chassis = ChassisFactory()
    for on_at, off_at in ((time(14), time(18)), (time(16), time(19))):
        Run.objects.create(chassis=chassis, on=days_ago(3), on_at=on_at, off=days_ago(3), off_at=off_at)
    RunFactory(chassis=chassis, on=days_ago(2), hours=2, filament=Run.STANDBY)
    (ran,) = set_hours([chassis], today)
    assert (ran.hours, ran.standby) == (pytest.approx(5), pytest.approx(2))
    assert [fault.kind for fault in ran.faults] == ["overlap"]


def test_log_and_meter_apart_is_told_above_the_limit(today, days_ago):
    """40 h by the log, 30 h by the meter: a quarter apart. A broadcaster's were 4.4 % apart (engineeringradio.us)."""
    chassis = ChassisFactory()
    meter = MeterFactory(chassis=chassis)
    for day, wheels in ((60, "00100.0"), (1, "00130.0")):
        MeterReading.objects.create(meter=meter, on=days_ago(day), wheels=wheels)
    for day in (50, 40, 30, 20):
        RunFactory(chassis=chassis, on=days_ago(day), hours=10)
    (one,) = log_differences(today)
    assert one.flagged[0].percent == pytest.approx(25)
    source = Source.objects.create(key="own", title="Own")
    Limit.objects.create(
        key="hours.meter_log_difference_pct", value=30, unit="%", meaning="x", source=source, origin=KEEPER
    )
    assert log_differences(today) == []


def test_the_log_of_a_set_has_a_curve_and_its_limit(today, days_ago):
    chassis = ChassisFactory()
    assert chassis_log(chassis, today).curve == ()
    for day in (50, 20):
        RunFactory(chassis=chassis, on=days_ago(day), hours=6)
    found = chassis_log(chassis, today)
    assert found.curve[0].day == days_ago(50) and found.curve[-1].hours == pytest.approx(12)
    assert found.limit.key == "hours.meter_log_difference_pct" and found.limit.source


def test_without_the_tables_of_limits_it_says_what_to_load(db, as_visitor, today):
    """No figure of a limit stands in the code, so none is made up where the tables were never loaded."""
    Limit.objects.all().delete()
    with pytest.raises(LookupError, match="load_reference"):
        log_differences(today)
    answer = as_visitor.get(f"/tubes/{TubeFactory().tag}/")
    assert answer.status_code == 503 and "load_reference" in answer.content.decode()


# --- tests and verdicts ----------------------------------------------------------------------------------------------


def test_the_tubes_own_minimum_goes_before_that_of_its_type(today):
    test = TubeTestFactory(reading=1300.0)
    TypeMinimum.objects.create(instrument=test.instrument, type=test.tube.type, minimum=1400, source="roll chart")
    assert judged([test])[0].word == "reject"
    test.minimum = 1000.0
    (line,) = judged([test])
    assert (line.word, line.verdict.limit) == ("good", 1000.0)


def test_a_minimum_of_another_instrument_or_section_decides_nothing():
    test = TubeTestFactory(section="1")
    TypeMinimum.objects.create(instrument=InstrumentFactory(), type=test.tube.type, minimum=10, source="x")
    TypeMinimum.objects.create(instrument=test.instrument, type=test.tube.type, section="2", minimum=10, source="x")
    assert judged([test])[0].word == "not comparable"
    TypeMinimum.objects.create(instrument=test.instrument, type=test.tube.type, minimum=10, source="x")
    assert judged([test])[0].word == "good"


def test_the_first_reading_is_the_hundred_per_cent(days_ago):
    """gm 4000 to 3100 is a fall of 22.5 %: case L3.1 (arithmetic), so 77.5 % of the first stand."""
    first = TubeTestFactory(on=days_ago(100), reading=4000.0)
    now = TubeTestFactory(tube=first.tube, instrument=first.instrument, on=days_ago(1), reading=3100.0)
    lines = judged([first, now])
    assert lines[0].verdict.percent_of_first is None
    assert lines[1].verdict.percent_of_first == pytest.approx(77.5)


def test_verdicts_of_many_take_no_more_questions():
    tests = [TubeTestFactory() for _ in range(6)]
    assert cost(lambda: judged(tests)) <= 3


def test_an_untested_tube_is_never_scrapped(today):
    story = tube_story(TubeFactory(state="untested"), today)
    assert (story.advice.advice, story.proposed, story.verdict) == ("test again", "", None)


def test_one_reading_below_the_limit_makes_no_dud_yet(today, days_ago):
    """An old verdict can be wrong and one tube in three pulled was not defective (ARINC study)."""
    tube, instrument = TubeFactory(), InstrumentFactory()
    cells = {"tube": tube, "instrument": instrument, "minimum": 1200.0, "reading": 900.0}
    TubeTestFactory(on=days_ago(20), **cells)
    story = tube_story(tube, today)
    assert (story.verdict.verdict, story.proposed, story.advice.advice) == ("reject", "weak", "test again")
    TubeTestFactory(on=days_ago(2), **cells)
    assert tube_story(tube, today).proposed == "dud"


def test_a_position_of_a_model_that_nobody_owns_is_no_place(today, days_ago):
    """Good, and no set here takes it: two are few. A chassis that has left, and a model of none, are no set here."""
    tube = TubeTestFactory(minimum=1200.0).tube
    PositionFactory(type=tube.type)
    ChassisFactory(model=PositionFactory(type=tube.type).set_model, item__gone_on=days_ago(1))
    assert "no set here takes its type" in tube_story(tube, today).advice.reasons[0]
    ChassisFactory(model=PositionFactory(type=tube.type).set_model)
    assert "one for each position (1)" in tube_story(tube, today).advice.reasons[0]


def test_a_place_of_the_type_that_a_tube_is_a_form_of_is_one(today, reference):
    """6SK7GT: a glass form of the 6SK7, which a set here wants."""
    tube = TubeTestFactory(minimum=1200.0, tube=TubeFactory(type=TubeTypeFactory(name="6SK7GT"))).tube
    assert "no set here takes its type" in tube_story(tube, today).advice.reasons[0]
    ChassisFactory(model=PositionFactory(type=TubeTypeFactory(name="6SK7")).set_model)
    assert "one for each position (1)" in tube_story(tube, today).advice.reasons[0]


def test_a_shorted_tube_is_proposed_a_dud(today):
    test = TubeTestFactory(reading=None, shorts=TubeTest.FOUND)
    assert tube_story(test.tube, today).proposed == "dud"


def test_gas_above_its_limit_is_no_spare(today):
    """TM 11-6625-316-12: the pointer must stay within 3 divisions."""
    test = TubeTestFactory(minimum=1200.0, reading=2000.0, gas="6 divisions")
    story = tube_story(test.tube, today)
    assert (story.verdict.verdict, story.proposed, story.advice.advice) == ("borderline", "weak", "test again")
    assert "above the limit of 3 divisions" in story.verdict.reasons[0]


@pytest.mark.parametrize("cells", [{"gas": "6"}, {"shorts": "found", "reading": None}])
def test_what_was_found_of_gas_or_shorts_holds_until_somebody_looks_again(cells, today, days_ago):
    tube, instrument = TubeFactory(), InstrumentFactory()
    TubeTestFactory(tube=tube, instrument=instrument, on=days_ago(9), minimum=1200.0, **cells)
    same = {"tube": tube, "instrument": instrument, "minimum": 1200.0}
    TubeTestFactory(**same, on=days_ago(3), shorts="")
    story = tube_story(tube, today)
    assert (story.verdict.verdict, story.advice.advice) == ("borderline", "test again")
    assert f"On {days_ago(9)}" in story.verdict.reasons[0]
    TubeTestFactory(**same, on=days_ago(1), gas="1")
    assert tube_story(tube, today).verdict.verdict == "good"


def test_the_worst_section_is_the_verdict_and_a_missing_one_is_not_good(today, days_ago):
    tube, instrument = TubeFactory(), InstrumentFactory()
    cells = {"tube": tube, "instrument": instrument, "minimum": 1200.0}
    TubeTestFactory(section="1", on=days_ago(3), reading=2000.0, **cells)
    TubeTestFactory(section="2", on=days_ago(3), reading=1250.0, **cells)
    story = tube_story(tube, today)
    assert (story.verdict.verdict, story.proposed) == ("borderline", "weak")
    TubeTestFactory(section="1", on=days_ago(1), reading=2000.0, **cells)
    assert tube_story(tube, today).verdict.verdict == "not comparable"


def test_a_struck_test_counts_nowhere(today):
    test = TubeTestFactory(minimum=1200.0, struck="another tube")
    story = tube_story(test.tube, today)
    assert story.verdict is None and story.lines[0].verdict is None and story.trends == ()


# --- trend -----------------------------------------------------------------------------------------------------------


def falling(tube, instrument, days_ago, **cells):
    for day, reading in ((400, 2000.0), (300, 1900.0), (200, 1800.0), (100, 1700.0), (1, 1600.0)):
        TubeTestFactory(tube=tube, instrument=instrument, on=days_ago(day), reading=reading, minimum=1200.0, **cells)


def test_a_trend_against_hours(today, days_ago):
    """100 micromho less every 100 h is 1000 in 1000 h, and 400 more to the minimum are 400 h (arithmetic)."""
    fitting = fitted(days_ago(500))
    for day in (350, 250, 150, 50):
        RunFactory(chassis=fitting.chassis, on=days_ago(day + 10), off=days_ago(day), hours=100.0)
    falling(fitting.tube, InstrumentFactory(), days_ago)
    found = tube_trend(fitting.tube, today)
    assert found.axis == "hours"
    assert found.slope_per_1000_h == pytest.approx(-1000)
    assert found.hours_to_minimum == pytest.approx(400)


def test_without_a_log_the_trend_is_against_dates(today, days_ago):
    fitting = fitted(days_ago(500))
    falling(fitting.tube, InstrumentFactory(), days_ago)
    found = tube_trend(fitting.tube, today)
    assert (found.axis, found.slope_per_1000_h, found.hours_to_minimum) == ("date", None, None)
    assert "reaches its minimum about" in found.text


def test_a_tube_that_stood_on_the_shelf_did_not_run(today, days_ago):
    tube = TubeFactory()
    falling(tube, InstrumentFactory(), days_ago)
    found = tube_trend(tube, today)
    assert found.axis == "date" and "it did not run between these readings" in found.text
    HoursCorrection.objects.create(tube=tube, on=days_ago(150), hours=80, reason="ran in a borrowed set")
    assert "did not run" not in tube_trend(tube, today).text


def test_instruments_are_never_mixed_in_a_trend(today, days_ago):
    tube, one, other = TubeFactory(), InstrumentFactory(), InstrumentFactory()
    falling(tube, one, days_ago)
    TubeTestFactory(tube=tube, instrument=other, reading=9.0)
    assert [(line.trend.instrument, line.trend.points) for line in tube_story(tube, today).trends] == [
        (one.name, 5),
        (other.name, 1),
    ]
    assert tube_trend(tube, today, other).points == 1
    assert tube_trend(TubeFactory(), today) is None


# --- instruments -----------------------------------------------------------------------------------------------------


def test_repeatability_from_readings_in_a_row(days_ago):
    """L3.6: differences 50, -30, 20, -60, 10 give s = 27.3861278753 (ISO 5725 usage, from memory)."""
    instrument = InstrumentFactory()
    assert "no tube was read twice" in instrument_answer(instrument).why_not
    for difference in (50, -30, 20, -60, 10):
        tube = TubeFactory()
        for reading in (2000.0, 2000.0 + difference):
            TubeTestFactory(tube=tube, instrument=instrument, on=days_ago(5), reading=reading)
    TubeTestFactory(tube=tube, instrument=instrument, on=days_ago(2), reading=1500.0)  # another day: no repeat
    found = instrument_answer(instrument).repeats
    assert (found.s, found.tubes) == (pytest.approx(27.3861278753), 5)


def test_two_instruments_on_one_type(days_ago):
    kind, one, other = TubeTypeFactory(), InstrumentFactory(), InstrumentFactory(scale="percent")
    for number in range(6):
        tube = TubeFactory(type=kind)
        TubeTestFactory(tube=tube, instrument=one, on=days_ago(50), reading=2000.0 + 100 * number)
        TubeTestFactory(tube=tube, instrument=other, on=days_ago(45), reading=50.0 + 5 * number)
        TubeTestFactory(tube=tube, instrument=other, on=days_ago(1), reading=1.0)  # further away in time
    far = TubeFactory(type=kind)
    TubeTestFactory(tube=far, instrument=one, on=days_ago(400))
    TubeTestFactory(tube=far, instrument=other, on=days_ago(5))
    found = compare(instrument_answer(one), other, kind)
    assert found.line.slope == pytest.approx(0.05) and len(found.pairs) == 6 and found.too_far_apart == 1
    assert "a line needs" in compare(instrument_answer(one), InstrumentFactory(), kind).why_not


def test_a_calibration_runs_out(today, days_ago):
    InstrumentFactory(calibrated_on=days_ago(800), calibrate_months=24)
    InstrumentFactory(calibrated_on=days_ago(100), calibrate_months=24)
    InstrumentFactory()
    assert len(calibrations_due(today)) == 1


# --- matching --------------------------------------------------------------------------------------------------------


@pytest.fixture
def shelf(days_ago):
    """Six tubes of a type on one instrument: 2000, 2010, 2500, 2510, 3000, and one shorted since."""
    kind, instrument = TubeTypeFactory(), InstrumentFactory()
    tests = [
        TubeTestFactory(tube__type=kind, instrument=instrument, reading=reading)
        for reading in (2000.0, 2010.0, 2500.0, 2510.0, 3000.0, 2505.0)
    ]
    TubeTestFactory(tube=tests[-1].tube, instrument=instrument, reading=None, shorts="found", on=days_ago(1))
    return tests


def test_pairs_of_a_type_on_one_instrument(shelf, today):
    kind, instrument = shelf[0].tube.type, shelf[0].instrument
    found = match_tubes(kind, instrument, today, tolerance=2)
    assert [line.found.tags for line in found.lines] == [
        (shelf[2].tube.tag, shelf[3].tube.tag),
        (shelf[0].tube.tag, shelf[1].tube.tag),
    ]
    assert found.matching.left == (shelf[4].tube.tag,)
    assert dict(found.left_out)[shelf[5].tube.tag].startswith("shorted")
    assert match_tubes(kind, instrument, today).limit.key == "match.tolerance_pct"


def test_tubes_of_another_instrument_type_or_set_take_no_part(shelf, today, days_ago):
    kind, instrument = shelf[0].tube.type, shelf[0].instrument
    TubeTestFactory(tube__type=kind, reading=2000.0)
    TubeTestFactory(tube__type__name="6AC7", instrument=instrument, reading=2000.0)
    gone = TubeTestFactory(tube__type=kind, instrument=instrument, reading=2000.0, tube__gone_on=today)
    row = MatchedSet.objects.create(instrument=instrument, made_on=today, mismatch_pct=1, tolerance_pct=5)
    for test in shelf[:2]:
        MatchedTube.objects.create(matched_set=row, tube=test.tube, test=test)
    found = match_tubes(kind, instrument, today, tolerance=2)
    assert [line.found.tags for line in found.lines] == [(shelf[2].tube.tag, shelf[3].tube.tag)]
    left_out = dict(found.left_out)
    assert "matched set M-" in left_out[shelf[0].tube.tag] and gone.tube.tag not in left_out
    fitted(days_ago(3), tube=shelf[2].tube, position=PositionFactory(type=kind))
    assert not match_tubes(kind, instrument, today, tolerance=2, shelf_only=True).lines


def test_duds_and_shorts_found_elsewhere_take_no_part(shelf, today, days_ago):
    kind, instrument = shelf[0].tube.type, shelf[0].instrument
    shelf[0].tube.state = "dud"
    shelf[0].tube.save()
    elsewhere = InstrumentFactory(name="Field tester")
    TubeTestFactory(tube=shelf[2].tube, instrument=elsewhere, reading=None, shorts="found", on=days_ago(2))
    TubeTestFactory(tube=shelf[3].tube, instrument=elsewhere, reading=None, shorts="found", on=days_ago(9))
    found = match_tubes(kind, instrument, today, tolerance=100)
    left_out = dict(found.left_out)
    assert left_out[shelf[0].tube.tag] == "a dud by the keeper's word"
    assert left_out[shelf[2].tube.tag] == f"shorted on {days_ago(2)}, found on Field tester"
    assert shelf[3].tube.tag not in left_out  # read since, and no short found


def test_a_window_in_time(shelf, today, days_ago):
    kind, instrument = shelf[0].tube.type, shelf[0].instrument
    TubeTest.objects.filter(pk=shelf[2].pk).update(on=days_ago(90))
    found = match_tubes(kind, instrument, today, tolerance=2, days=30)
    assert [line.found.tags for line in found.lines] == [(shelf[0].tube.tag, shelf[1].tube.tag)]


def test_two_readings_and_the_balance_of_sections(today):
    kind, instrument = TubeTypeFactory(), InstrumentFactory()
    for one, two in ((2000.0, 2100.0), (2010.0, 1400.0), (2020.0, 2090.0)):
        tube = TubeFactory(type=kind)
        TubeTestFactory(tube=tube, instrument=instrument, section="1", reading=one)
        TubeTestFactory(tube=tube, instrument=instrument, section="2", reading=two)
    assert reading_names(kind, instrument) == ["1", "2"]
    found = match_tubes(kind, instrument, today, tolerance=5, second="2")
    assert [line.found.readings for line in found.lines] == [((2000.0, 2100.0), (2020.0, 2090.0))]
    assert [balance.within for _, balance in found.balances] == [True, False, True]
    with pytest.raises(MatchRefused, match="'grid' was never read"):
        match_tubes(kind, instrument, today, second="grid")


def test_mates_are_named_unless_they_go_together(today, shelf):
    row = MatchedSet.objects.create(instrument=shelf[0].instrument, made_on=today, mismatch_pct=1, tolerance_pct=5)
    for test in shelf[:2]:
        MatchedTube.objects.create(matched_set=row, tube=test.tube, test=test)
    one, two, other = (test.tube.item for test in shelf[:3])
    assert mates_of(one) == [f"{two.tag} (6SN7GT, {row})"]
    assert mates_of_many([one, two, other]) == {}
    row.split_on = today
    row.save()
    assert mates_of(one) == []


def test_a_set_torn_apart_says_where_each_is(today, days_ago, shelf):
    row = MatchedSet.objects.create(instrument=shelf[0].instrument, made_on=today, mismatch_pct=1, tolerance_pct=5)
    one, two = (test.tube for test in shelf[:2])
    for test in shelf[:2]:
        MatchedTube.objects.create(matched_set=row, tube=test.tube, test=test)
    drawer, box = PlaceFactory(), PlaceFactory()

    def found():
        return whereabouts([row])[row.pk]

    def put(tube, **cells):
        Item.objects.filter(pk=tube.pk).update(**{"place": None, "lent_to": "", "gone_on": None} | cells)

    put(one, place=drawer), put(two, place=drawer)
    assert found().apart is False
    put(two, place=box)
    assert found().apart and f"{two.tag} in {box.path}" in found().text
    put(two)
    assert found().apart is None and "no place on record" in found().text
    put(two, lent_to="Ines Farrow")
    assert found().apart and "lent to Ines Farrow" in found().text
    put(one)
    first = fitted(days_ago(3), tube=one)
    put(two, place=drawer)
    assert found().apart and f"in {first.chassis} {first.position.mark}" in found().text
    put(two)
    second = fitted(days_ago(3), tube=two, chassis=first.chassis)
    assert found().apart is False
    second.until = today
    second.save()
    fitted(today, tube=two)
    assert found().apart
    ((named, there),) = whereabouts_of(one.item)
    assert named == row and there.apart
    row.split_on = today
    row.save()
    assert whereabouts_of(one.item) == []


def test_words_for_labels(days_ago):
    instrument = InstrumentFactory(name="Bench tester 1")
    test = TubeTestFactory(instrument=instrument, reading=2250.0, on=days_ago(9), minimum=1200.0)
    double = TubeFactory()
    for section, reading in (("1", 2300.0), ("2", 2250.0)):
        TubeTestFactory(tube=double, instrument=instrument, section=section, reading=reading, on=days_ago(9))
    bare = TubeFactory()
    assert readings_of_many([test.tube.item, double.item, bare.item]) == {
        test.tube.pk: f"2250 / min 1200 micromho, Bench tester 1, {days_ago(9)}",
        double.pk: f"1: 2300; 2: 2250 micromho, Bench tester 1, {days_ago(9)}",
    }


# --- life ------------------------------------------------------------------------------------------------------------


def lived(kind, days_ago, hours, state, standing="known", before=0.0):
    fitting = fitted(days_ago(300), days_ago(100), tube=TubeFactory(type=kind, state=state))
    RunFactory(chassis=fitting.chassis, on=days_ago(250), off=days_ago(150), hours=hours)
    EarlierHours.objects.create(tube=fitting.tube, standing=standing, hours=None if standing == "unknown" else before)
    return fitting.tube


def test_life_of_a_type_counts_who_is_left_out(today, days_ago):
    """Two of four fail, at 100 and 300 h: S = 3/4, then 3/8 (Kaplan-Meier by hand)."""
    kind = TubeTypeFactory()
    lived(kind, days_ago, 100.0, "dud")
    lived(kind, days_ago, 200.0, "good")
    lived(kind, days_ago, 300.0, "dud")
    lived(kind, days_ago, 400.0, "good")
    lived(kind, days_ago, 50.0, "dud", "unknown")
    lived(kind, days_ago, 50.0, "weak", "estimated", 30.0)
    EarlierHours.objects.create(tube=TubeFactory(type=kind, state="dud"), standing="known", hours=0)
    found = life_of(types_meant(kind, False, ""), today)
    assert [(step.t, step.s) for step in found.answer.steps] == [
        (pytest.approx(100), pytest.approx(0.75)),
        (pytest.approx(300), pytest.approx(0.375)),
    ]
    assert dict(found.left_out) == {
        "hours before they came are not known": 1,
        "hours before they came are only estimated": 1,
        "never ran here": 1,
    }
    more = life_of(types_meant(kind, False, ""), today, weak_failed=True, estimates=True)
    assert (more.counted, more.answer.late) == (5, 1)


def test_no_life_without_a_failure(today, days_ago):
    kind = TubeTypeFactory()
    assert "no tube of these" in life_of({kind.pk}, today).why_not
    lived(kind, days_ago, 100.0, "good")
    assert "no failure" in life_of({kind.pk}, today).why_not


def test_hours_at_which_nobody_was_watched(today, days_ago):
    """New tubes up to 50 h, used ones from 900 h on: nothing is known of the hours between."""
    kind = TubeTypeFactory()
    lived(kind, days_ago, 50.0, "good")
    for before in (900.0, 910.0, 920.0):
        lived(kind, days_ago, 60.0, "dud", before=before)
    found = life_of({kind.pk}, today)
    assert (found.counted, found.since, found.answer.events) == (3, 900.0, 3)
    assert dict(found.left_out)["under watch at other hours, which do not join on to these"] == 1
    assert [round(step.s, 3) for step in found.answer.steps][-1] == 0.0


# --- schedules -------------------------------------------------------------------------------------------------------


def test_a_test_on_record_counts_as_done(today, days_ago):
    tube = TubeFactory()
    Care.objects.create(work="test", item=tube.item, every_months=12, since=days_ago(800))
    (line,) = dues_soon(today)
    assert line.due.overdue and line.item == tube.item
    TubeTestFactory(tube=tube, on=days_ago(10))
    assert dues_soon(today) == []
    (line,) = dues(today)
    assert line.due.when > today + timedelta(days=300)


def test_oil_after_hours_run(today, days_ago):
    chassis = ChassisFactory()
    care = Care.objects.create(work="oil", item=chassis.item, every_hours=50, since=days_ago(400))
    RunFactory(chassis=chassis, on=days_ago(300), off=days_ago(290), hours=40)
    CareDone.objects.create(care=care, item=chassis.item, on=days_ago(200))
    RunFactory(chassis=chassis, on=days_ago(100), off=days_ago(90), hours=30)
    (line,) = dues(today)
    assert not line.due.overdue and "30 h run" in line.due.why
    RunFactory(chassis=chassis, on=days_ago(80), off=days_ago(70), hours=30)
    (line,) = dues(today)
    assert line.due.overdue


def test_only_stored_tubes_are_conditioned_and_ended_rules_are_silent(today, days_ago):
    kind = TubeTypeFactory(name="211")
    stored = TubeFactory(type=kind)
    fitted(days_ago(10), tube=TubeFactory(type=kind), position=PositionFactory(type=kind))
    care = Care.objects.create(work="condition", type=kind, every_months=12, since=days_ago(800))
    assert [line.item for line in dues(today)] == [stored.item]
    care.ended_on = today
    care.save()
    assert dues(today) == []


def test_a_tube_that_came_out_of_a_set_is_conditioned_from_that_day(today, days_ago):
    kind = TubeTypeFactory(name="211")
    stay = fitted(days_ago(700), days_ago(0), tube=TubeFactory(type=kind), position=PositionFactory(type=kind))
    care = Care.objects.create(work="condition", type=kind, every_months=6, since=days_ago(800))
    (line,) = dues(today)
    assert line.item == stay.tube.item and not line.due.overdue and str(today) in line.due.why
    assert dues_soon(today) == []
    CareDone.objects.create(care=care, item=stay.tube.item, on=days_ago(300))
    assert not dues(today)[0].due.overdue
    stay.until = days_ago(400)
    stay.save()
    assert dues(today)[0].due.overdue and str(days_ago(300)) in dues(today)[0].due.why


@pytest.mark.parametrize("work", ["condition", "warm up", "test"])
def test_a_dud_is_neither_conditioned_nor_warmed_up_nor_tested(today, days_ago, work):
    kind = TubeTypeFactory(name="211")
    dud, good = TubeFactory(type=kind, state="dud"), TubeFactory(type=kind)
    Care.objects.create(work=work, type=kind, every_months=12, since=days_ago(800))
    Care.objects.create(work=work, item=dud.item, every_months=12, since=days_ago(800))
    assert [line.item for line in dues(today)] == [good.item]


def test_a_dud_mercury_rectifier_is_not_warmed_up(reference, today, days_ago):
    from tubes.models import TubeType

    kind = TubeType.objects.get(name="866A")
    fitted(days_ago(10), tube=TubeFactory(type=kind, state="dud"), position=PositionFactory(type=kind))
    assert dues(today) == []


def test_a_mercury_rectifier_in_a_set_is_warmed_up_after_a_move(reference, today, days_ago):
    """Filament alone first after it was moved: hifitubes.nl, mercury vapor rectifier tubes."""
    from tubes.models import TubeType

    kind = TubeType.objects.get(name="866A")
    assert "ercury" in kind.caution
    fitting = fitted(days_ago(10), tube=TubeFactory(type=kind), position=PositionFactory(type=kind))
    fitting.tube.item.movements.create(to_path="in a set", on=days_ago(10))
    (line,) = dues(today)
    assert line.due.thing == fitting.tube.tag
    care = Care.objects.create(work="warm up", item=fitting.tube.item, every_months=600, since=days_ago(10))
    CareDone.objects.create(care=care, item=fitting.tube.item, on=days_ago(5))
    assert not any(line.due.overdue for line in dues(today))


def test_a_set_that_is_carried_tips_its_mercury_rectifier(reference, today, days_ago):
    """Filament alone first after it was moved: hifitubes.nl, mercury vapor rectifier tubes. A tube in a set is no move
    of its own in the register, so putting it in counts, and every move of the set since then."""
    from tubes.models import TubeType

    kind = TubeType.objects.get(name="866A")
    fitting = fitted(days_ago(30), tube=TubeFactory(type=kind), position=PositionFactory(type=kind))
    item = fitting.tube.item
    care = Care.objects.create(work="warm up", item=item, every_months=600, since=days_ago(30))
    CareDone.objects.create(care=care, item=item, on=days_ago(40))
    overdue = [line.due.why for line in dues(today) if line.due.overdue]
    assert len(overdue) == 1 and str(days_ago(30)) in overdue[0]
    CareDone.objects.create(care=care, item=item, on=days_ago(25))
    fitting.chassis.item.movements.create(to_path="other room", on=days_ago(50))
    assert not any(line.due.overdue for line in dues(today))
    fitting.chassis.item.movements.create(to_path="other room", on=days_ago(5))
    overdue = [line.due.why for line in dues(today) if line.due.overdue]
    assert len(overdue) == 1 and str(days_ago(5)) in overdue[0]


@pytest.mark.parametrize(
    ("gas", "said"),
    [("blue glow in the bulb", ("borderline", "test again")), ("some", ("borderline", "test again")),
     ("none", ("good", "keep as spare"))],
)  # fmt: skip
def test_gas_told_in_words_is_no_spare(gas, said, today):
    test = TubeTestFactory(minimum=1200.0, reading=2000.0, gas=gas)
    story = tube_story(test.tube, today)
    assert (story.verdict.verdict, story.advice.advice) == said


def test_gas_told_in_words_holds_until_it_is_read_again(today, days_ago):
    test = TubeTestFactory(minimum=1200.0, reading=2000.0, gas="some", on=days_ago(9))
    same = {"tube": test.tube, "instrument": test.instrument, "minimum": 1200.0}
    TubeTestFactory(**same, on=days_ago(3))
    assert tube_story(test.tube, today).verdict.doubt == "gas that cannot be judged"
    TubeTestFactory(**same, on=days_ago(1), gas="none")
    assert tube_story(test.tube, today).verdict.verdict == "good"


def test_a_mercury_rectifier_glows_by_nature(today, reference):
    """866A: half-wave mercury vapour rectifier (uli.de)."""
    tube = TubeFactory(type=TubeTypeFactory(name="866A"))
    TubeTestFactory(tube=tube, minimum=1200.0, reading=2000.0, gas="blue glow")
    story = tube_story(tube, today)
    assert (story.verdict.verdict, story.advice.advice) == ("good", "keep as spare")
    assert "filled with mercury" in story.verdict.reasons[-1]


def test_no_shorts_with_leakage_in_words_is_no_spare(today):
    """As old rows have it; new ones are refused."""
    test = TubeTestFactory(minimum=1200.0, reading=2000.0, shorts="none", shorts_words="h-k leakage 0.5 meg")
    story = tube_story(test.tube, today)
    assert (story.verdict.verdict, story.advice.advice) == ("borderline", "test again")


def test_a_bare_figure_of_gas_counts_as_the_instrument_is_read(today, days_ago):
    earlier = TubeTestFactory(gas="2.5 uA", on=days_ago(3))
    test = TubeTestFactory(instrument=earlier.instrument, minimum=1200.0, reading=2000.0, gas="2.5")
    assert "Without a unit it counts as microamperes" in tube_story(test.tube, today).verdict.reasons[0]


def test_gas_is_told_beside_a_pair_and_doubted_tubes_are_left_out(shelf, today, days_ago):
    kind, instrument = shelf[0].tube.type, shelf[0].instrument
    for test, cells in (
        (shelf[0], {"gas": "1"}),
        (shelf[2], {"gas": "6"}),
        (shelf[4], {"shorts_words": "h-k 0.5 meg"}),
    ):
        TubeTest.objects.filter(pk=test.pk).update(**cells)
    tags = [test.tube.tag for test in shelf]
    found = match_tubes(kind, instrument, today, tolerance=2)
    assert [line.found.tags for line in found.lines] == [(tags[0], tags[1])]
    assert found.lines[0].gas[tags[0]].startswith(f"{days_ago(5)}: Gas as read: 1, within")
    assert [tag for tag, _ in found.doubted] == [tags[2], tags[4], tags[5]]
    assert dict(found.doubted)[tags[2]] == f"gas on {days_ago(5)}, on {instrument}: 6, above its limit"
    assert dict(found.doubted)[tags[4]] == f"shorts or leakage on {days_ago(5)}, on {instrument}: h-k 0.5 meg"
    assert f"3 tubes are left out for gas, shorts or leakage: {tags[2]}, {tags[4]}, {tags[5]}." in found.notes
    told = found.as_dict()
    assert [one["tag"] for one in told["doubted"]] == [tags[2], tags[4], tags[5]] and tags[0] in told["gas"]
    asked = match_tubes(kind, instrument, today, tolerance=2, with_doubted=True)
    assert (tags[2], tags[3]) in [line.found.tags for line in asked.lines]
    assert "above the limit" in next(line for line in asked.lines if tags[2] in line.found.tags).gas[tags[2]]
    assert [tag for tag, _ in asked.doubted] == [tags[5]]


def test_gas_is_asked_of_all_tubes_at_once(today):
    kind, instrument = TubeTypeFactory(), InstrumentFactory()

    def grown():
        for _ in range(10):
            TubeTestFactory(tube__type=kind, instrument=instrument, gas="1")
        return cost(lambda: match_tubes(kind, instrument, today))

    assert grown() == grown() <= 20


def test_others_of_the_type_that_were_read_are_named(today):
    tube = TubeTestFactory(minimum=1200.0).tube
    ChassisFactory(model=PositionFactory(type=tube.type).set_model)
    assert "the only one of its type that was read" in tube_story(tube, today).advice.reasons[0]
    for _ in range(2):
        TubeTestFactory(minimum=1200.0, tube=TubeFactory(type=tube.type, state="untested"))
    assert "2 others of its type were read, and not called good yet" in tube_story(tube, today).advice.reasons[0]


def test_a_run_written_twice_counts_once_on_the_bar_and_is_told(days_ago, today):
    run = RunFactory(on=days_ago(3), hours=None, on_at=time(9), off_at=time(12))
    assert run_doubts(run) == []
    again = RunFactory(chassis=run.chassis, on=days_ago(3), hours=None, on_at=time(9), off_at=time(12))
    (told,) = run_doubts(again)
    assert "Two runs lie over one another" in told
    (bar,) = chassis_log(run.chassis, today).runs
    assert (bar.runs, bar.hours, bar.standby) == (2, 3.0, 0.0)


def test_the_same_hours_written_twice_are_told(days_ago):
    run = RunFactory(on=days_ago(3), hours=2.5)
    assert run_doubts(run) == []
    again = RunFactory(chassis=run.chassis, on=days_ago(3), hours=2.5)
    assert run_doubts(again) == [
        f"2.5 h on {days_ago(3)} were written before, too, and both count: strike one out if it was one run."
    ]


def test_a_reading_without_a_minimum_is_shown_beside_the_handbooks_test_point(reference):
    """avo-vdm23: 6SN7 2900 micromho at 250 V, -8 V, for all builds of that number; 75 % of it is 2175 (arithmetic)."""
    tube = TubeFactory(type=TubeTypeFactory(name="6SN7GT"), marked="6SN7GT")
    cells = {"tube": tube, "section": "2", "reading": 2175.0, "reading_text": "2175"}
    test = TubeTestFactory(instrument=InstrumentFactory(scale="micromho"), minimum=None, minimum_text="", **cells)
    (line,) = with_points(judged([test]))
    told = line.as_dict()["handbook_test_point"]
    assert (told["figure"], told["percent"], told["grade"]) == (2900, pytest.approx(75), "indication")
    assert line.word == "not comparable" and "handbook test point of 6SN7 at Va 250 V, Vg -8 V" in line.point.text
    TypeMinimum.objects.create(instrument=test.instrument, type=tube.type, minimum=1500, source="its roll chart")
    (line,) = with_points(judged([test]))
    assert line.as_dict()["handbook_test_point"] is None and line.word == "good"


def test_test_points_of_many_types_cost_the_same(reference):
    """Rows of avo-vdm23; the number of queries does not grow with the types that the tests are of."""
    on = InstrumentFactory(scale="micromho")

    def lines(names):
        tubes = [TubeFactory(type=TubeTypeFactory(name=name), marked=name) for name in names]
        cells = {"instrument": on, "minimum": None, "minimum_text": "", "section": "1", "reading": 2000.0}
        return judged([TubeTestFactory(tube=tube, reading_text="2000", **cells) for tube in tubes])

    few, more = lines(["6SN7GT", "6J5"]), lines(["6V6", "6F6", "6C5", "6AK5"])
    assert all(line.point for line in with_points(more))
    assert cost(lambda: with_points(few)) == cost(lambda: with_points([*few, *more]))
