"""Pages of the running area: the session at walking pace, charts with their words, answers kept as addresses."""

import json
from datetime import time

import pytest
from django.urls import reverse
from django.utils.html import escape

from inventory.holdings.models import Tube
from inventory.house.chart_labels import round_values
from inventory.running.models import (
    Care,
    EarlierHours,
    HoursCorrection,
    MatchedSet,
    MatchedTube,
    Meter,
    MeterReading,
    Run,
    TubeTest,
    TypeMinimum,
)
from inventory.running.queries import latest_readings
from inventory.running.wording.frame import days_between, frame
from inventory.sets.models import Fitting
from tests.counting import again, answered, asked, twice
from tests.factories import ChassisFactory, FittingFactory, TubeFactory, TubeTypeFactory
from tests.pages import page_text, seen_at
from tests.running.rows import InstrumentFactory, MeterFactory, RunFactory, TubeTestFactory
from tests.running.test_commands import run

pytestmark = pytest.mark.django_db
SESSION = "/tests/session/"


@pytest.fixture
def instrument():
    return InstrumentFactory(name="Bench tester 1")


def entry(tube, instrument, today, **cells):
    return {"tube": tube.tag, "instrument": instrument.pk, "on": today, **cells}


# --- the session -----------------------------------------------------------------------------------------------------


def test_one_tube_after_another_with_the_settings_kept(as_helper, helper, instrument, today):
    tube, other = TubeFactory(state="untested"), TubeFactory()
    TypeMinimum.objects.create(instrument=instrument, type=tube.type, minimum=1600, source="roll chart")
    cells = entry(tube, instrument, today, reading_text="2250", shorts="none", settings="A 18 B 33", filament_v="6.3")
    page = as_helper.post(SESSION, cells, follow=True)
    text = page.content.decode()
    assert "2250 is above 1600" in text and "A 18 B 33" in text and "mark--good" in text
    form = page.context["form"]
    assert form["instrument"].value() == str(instrument.pk) and form["filament_v"].value() == "6.3"
    assert not form["reading_text"].value() and not form["tube"].value() and not form["shorts"].value()
    assert TubeTest.objects.get().history.get().history_user == helper
    page = as_helper.post(SESSION, entry(other, instrument, today, reading_text="1500", shorts="none"), follow=True)
    assert [line.test.tube for line in page.context["done"]] == [other, tube]
    assert "It is" not in page.content.decode()  # a helper tests; the state is the keeper's word


def test_a_scanner_sends_enter_behind_the_tag(as_helper, instrument, today):
    tube = TubeFactory(marked="VT-231")
    code = f"http://set.example/tubes/{tube.tag}/"
    page = as_helper.post(SESSION, entry(tube, instrument, today) | {"tube": code, "settings": "A 18"})
    assert page.status_code == 200 and not TubeTest.objects.exists()
    assert "6SN7GT" in page.content.decode()
    assert page.context["form"].fields["reading_text"].widget.attrs["autofocus"]
    assert page.context["form"]["settings"].value() == "A 18"
    assert as_helper.post(SESSION, {"tube": "X-9999", "instrument": instrument.pk}).status_code == 422


def test_without_a_reading_only_by_its_own_button(as_helper, instrument, today):
    tube = TubeFactory()
    cells = entry(tube, instrument, today, shorts="none")
    assert as_helper.post(SESSION, cells).status_code == 200
    assert not TubeTest.objects.exists()
    assert as_helper.post(SESSION, cells | {"bare": "1"}).status_code == 302
    assert TubeTest.objects.get().shorts == "none"


def test_a_short_ends_the_test(as_helper, instrument, today):
    tube = TubeFactory()
    cells = entry(tube, instrument, today, shorts="found")
    page = as_helper.post(SESSION, cells | {"reading_text": "2000"})
    assert page.status_code == 422 and "test ends there" in page.content.decode()
    page = as_helper.post(SESSION, cells, follow=True)
    assert "Shorted or leaking" in page.content.decode()


def test_a_reading_far_off_asks_once(as_helper, instrument, today, days_ago):
    tube = TubeFactory()
    TubeTestFactory(tube=tube, instrument=instrument, reading=2250.0, on=days_ago(3))
    cells = entry(tube, instrument, today, reading_text="22500", shorts="none")
    for address in (SESSION, f"/tubes/{tube.tag}/test/"):
        answer = as_helper.post(address, cells)
        text = answer.content.decode()
        assert answer.status_code == 422 and "tick the box below" in text and "yes, it truly reads so" in text
        assert text.count('name="odd"') == 1
    assert as_helper.get(SESSION).content.decode().count('name="odd"') == 1
    page = as_helper.post(SESSION, cells | {"odd": "on"}, follow=True)
    assert TubeTest.objects.get(reading=22500).tube == tube
    assert not page.context["form"]["odd"].value()  # the next tube is asked about again


def test_the_second_section_follows_the_first(as_helper, instrument, today):
    tube = TubeFactory()
    page = as_helper.post(SESSION, entry(tube, instrument, today, section="1", reading_text="2000"), follow=True)
    form = page.context["form"]
    assert (form["tube"].value(), form["section"].value()) == (tube.tag, "2")
    page = as_helper.post(SESSION, entry(tube, instrument, today, section="2", reading_text="2000"), follow=True)
    form = page.context["form"]
    assert (form["tube"].value(), form["section"].value()) == (None, "1")


def test_the_day_of_a_session_stays_until_the_next_day(as_helper, instrument, today, days_ago):
    """A sheet of paper from last week is entered in one go; the next day the session is a new one."""
    cells = entry(TubeFactory(), instrument, today, reading_text="2000") | {"on": days_ago(7)}
    page = as_helper.post(SESSION, cells, follow=True)
    assert str(page.context["form"]["on"].value()) == str(days_ago(7))
    session = as_helper.session
    session["test_kept"] |= {"written_on": str(days_ago(1))}
    session.save()
    assert str(as_helper.get(SESSION).context["form"]["on"].value()) == str(today)


def test_while_a_tag_is_typed_only_a_piece_comes(as_helper, instrument):
    tube = TubeFactory(state="weak")
    TypeMinimum.objects.create(instrument=instrument, type=tube.type, minimum=1600, settings="A 18", source="chart")
    asked = {"tube": tube.tag.lower(), "instrument": instrument.pk}
    text = as_helper.get(SESSION, asked, headers={"HX-Request": "true"}).content.decode()
    assert "1600" in text and "A 18" in text and "<html" not in text
    for odd in ("", "x" * 400, "%00", "<b>", "٣"):
        for number in ("", "1" * 40, "-1", "²"):
            answer = as_helper.get(SESSION, {"tube": odd, "instrument": number}, headers={"HX-Request": "true"})
            assert answer.status_code == 200 and "<b>" not in answer.content.decode()


def test_one_tap_sets_the_state_and_only_a_keepers(as_keeper, as_helper, instrument, today, days_ago):
    tube = TubeFactory(state="untested")
    TubeTestFactory(tube=tube, instrument=instrument, minimum=1200.0, on=days_ago(1))
    text = as_keeper.get(f"/tubes/{tube.tag}/").content.decode()
    assert "It is good" in text and "your word stands" in text
    address = f"/tubes/{tube.tag}/state/"
    assert as_helper.post(address, {"state": "good"}).status_code == 403
    answer = as_keeper.post(address, {"state": "good", "from": "session"})
    assert answer.url == SESSION and Tube.objects.get(pk=tube.pk).state == "good"
    answer = as_keeper.post(address, {"state": "scrap", "from": "https://elsewhere.example/"}, follow=True)
    assert "no state" in str([str(message) for message in answer.context["messages"]])
    assert answer.redirect_chain[-1][0] == f"/tubes/{tube.tag}/"


# --- the tube's page -------------------------------------------------------------------------------------------------


@pytest.fixture
def story(days_ago, instrument):
    """A tube that ran in two sets and fell, on two instruments."""
    tube = TubeFactory()
    EarlierHours.objects.create(tube=tube, standing="estimated", hours=400)
    first = FittingFactory(tube=tube, since=days_ago(500), until=days_ago(200))
    second = FittingFactory(tube=tube, since=days_ago(200))
    for fitting, day in ((first, 400), (first, 300), (second, 150), (second, 50)):
        RunFactory(chassis=fitting.chassis, on=days_ago(day), off=days_ago(day - 10), hours=100)
    for day, reading in ((450, 2000.0), (350, 1900.0), (250, 1800.0), (100, 1700.0), (1, 1600.0)):
        TubeTestFactory(tube=tube, instrument=instrument, on=days_ago(day), reading=reading, minimum=1200.0)
    other = InstrumentFactory(scale="percent")
    for day, reading in ((450, 90.0), (1, 70.0)):
        TubeTestFactory(tube=tube, instrument=other, on=days_ago(day), reading=reading)
    return tube


def test_the_page_of_a_tube_tells_hours_tests_and_trend(as_visitor, story):
    page = as_visitor.get(f"/tubes/{story.tag}/")
    text = page.content.decode()
    assert "800.0" in text and "estimated" in text
    assert 'role="img"' in text and "trace-band" in text and "trace-limit" in text
    assert "The same in words" in text and "Limit: 1200 micromho." in text
    assert "common practice, no source" in text  # whose limits decided
    trends = page.context["trends"]
    assert [len(chart.dots) for _, chart, _ in trends] == [5, 2]
    assert "Strike out" not in text  # a visitor looks


def test_a_tubes_page_asks_no_more_for_more(as_keeper, story, instrument, days_ago):
    TubeTestFactory(tube=story, instrument=InstrumentFactory())  # of which no minimum is known
    before = asked(as_keeper, f"/tubes/{story.tag}/")
    for number in range(10):
        fitting = FittingFactory(tube=story, since=days_ago(900 - number), until=days_ago(890 - number))
        RunFactory(chassis=fitting.chassis)
        TubeTestFactory(tube=story, instrument=InstrumentFactory())
        TubeTestFactory(tube__type=story.type, instrument=instrument)
    assert asked(as_keeper, f"/tubes/{story.tag}/") == before


@pytest.mark.parametrize("reading", [0.0, 1e9, 1e-9, 2000.0])
def test_charts_hold_any_readings(as_visitor, instrument, days_ago, reading):
    tube = TubeFactory()
    for day in (30, 20, 10):
        TubeTestFactory(tube=tube, instrument=instrument, on=days_ago(day), reading=reading, minimum=0.0)
    text = as_visitor.get(f"/tubes/{tube.tag}/").content.decode()
    assert "nan" not in text.lower().replace("nancy", "") and "inf " not in text


def test_axes_have_few_round_values():
    assert round_values(0, 1) == [0, 0.2, 0.4, 0.6, 0.8, 1.0]
    assert round_values(1200, 2100) == [1200, 1400, 1600, 1800, 2000]
    for low, high in ((0, 1e-9), (0, 1e9), (3, 3), (-5, 5), (0.1, 0.7)):
        assert 1 <= len(round_values(low, high)) <= 7
    from datetime import date

    ticks = days_between(date(2024, 9, 1).toordinal(), date(2026, 11, 1).toordinal())
    assert [words for _, words in ticks] == ["2025", "2026"]
    assert all(len(words) == 7 for _, words in days_between(739_000, 739_100))
    box = frame([5, 5], [7, 7])
    assert box.high_x > box.low_x and box.high_y > box.low_y


# --- sets ------------------------------------------------------------------------------------------------------------


def test_the_page_of_a_set_names_what_does_not_agree(as_visitor, days_ago):
    meter = MeterFactory(serial="E-117", digits=4)
    for day, wheels in ((60, "9990.0"), (30, "0010.0"), (29, "0005.0")):
        MeterReading.objects.create(meter=meter, on=days_ago(day), wheels=wheels)
    RunFactory(chassis=meter.chassis, on=days_ago(40), hours=10, note="from the watch list")
    text = page_text(as_visitor.get(f"/sets/{meter.chassis.tag}/hours/"))
    assert "Reading runs backwards" in text and "no time for a full turn" in text
    assert "on meter E-117 and in no run" in text and "from the watch list" in text
    assert "told apart from 2 % on (common practice, no source)" in text
    assert "Write down a run" not in text
    assert f"/sets/{meter.chassis.tag}/hours/" in page_text(as_visitor.get(f"/sets/{meter.chassis.tag}/"))


def test_a_first_meter_that_cannot_be_read_is_not_written(as_helper, today):
    chassis = ChassisFactory()
    address = f"/sets/{chassis.tag}/hours/meter/"
    cells = {"since": today, "digits": "4", "decimals": "1", "first_wheels": "123456.7"}
    answer = as_helper.post(address, cells)
    assert answer.status_code == 422 and answer.context["form"].errors["first_wheels"]
    assert not Meter.objects.exists()
    assert as_helper.post(address, cells | {"first_wheels": "1234.5"}).status_code == 302
    assert MeterReading.objects.get().wheels == "1234.5"


def test_every_meter_reading_can_be_reached(as_keeper, days_ago):
    """Also one of long ago: a wrong one is corrected or struck out where it is shown."""
    meter = MeterFactory(since=days_ago(400))
    rows = [
        MeterReading.objects.create(meter=meter, on=days_ago(300 - number), wheels=f"{number:05d}.0")
        for number in range(30)
    ]
    page = f"/sets/{meter.chassis.tag}/hours/"
    shown = as_keeper.get(page).content.decode() + as_keeper.get(page, {"readings": 2}).content.decode()
    assert "?readings=2" in shown
    for row in rows:
        assert f"/meter-readings/{row.pk}/" in shown and f"/running/reading/{row.pk}/strike/" in shown


def test_corrections_of_hours_are_changed_and_struck_out_from_the_tubes_page(as_keeper, as_visitor, days_ago):
    tube = TubeFactory()
    cells = {"tube": tube, "on": days_ago(3), "hours": -1.5, "starts": -2, "reason": "counted twice"}
    row = HoursCorrection.objects.create(**cells)
    wrong = HoursCorrection.objects.create(**cells | {"reason": "no such", "struck": "wrong tube"})
    text = as_keeper.get(f"/tubes/{tube.tag}/").content.decode()
    assert f"/hours-corrections/{row.pk}/" in text and f"/running/correction/{row.pk}/strike/" in text
    assert "wrong tube" in text and f"/hours-corrections/{wrong.pk}/" not in text
    text = as_visitor.get(f"/tubes/{tube.tag}/").content.decode()
    assert "counted twice" in text and "hours-corrections" not in text


def test_a_helper_writes_earlier_hours_once(as_helper, as_keeper):
    tube = TubeFactory()
    address = f"/tubes/{tube.tag}/earlier-hours/"
    assert as_helper.post(address, {"standing": "estimated", "hours": "400"}).status_code == 302
    again = {"standing": "estimated", "hours": "4"} | seen_at(as_keeper, address)
    answer = as_helper.post(address, again)
    assert answer.status_code == 422 and "ask a keeper" in answer.content.decode()
    assert as_keeper.post(address, again).status_code == 302
    assert EarlierHours.objects.get().hours == 4


def test_an_unlikely_meter_reading_asks_once(as_helper, days_ago):
    meter = MeterFactory()
    MeterReading.objects.create(meter=meter, on=days_ago(3), wheels="00100.0")
    cells = {"on": days_ago(2), "wheels": "00900.0"}
    answer = as_helper.post(f"/meters/{meter.pk}/read/", cells)
    assert answer.status_code == 422 and "tick the box below" in answer.content.decode()
    assert as_helper.post(f"/meters/{meter.pk}/read/", cells | {"odd": "on"}).status_code == 302


def test_a_run_told_by_its_times_shows_its_hours(as_visitor, today, days_ago):
    """From 14:00 to 16:30 is two and a half hours; from 22:00 to 1:15 three and a quarter, after midnight."""
    chassis = ChassisFactory()
    RunFactory(chassis=chassis, on=days_ago(9), hours=None, on_at=time(14), off_at=time(16, 30))
    RunFactory(chassis=chassis, on=days_ago(5), hours=None, on_at=time(22), off_at=time(1, 15))
    RunFactory(chassis=chassis, on=days_ago(3), hours=1.0, filament="standby")
    RunFactory(chassis=chassis, on=days_ago(2), hours=8.0, struck="another set")
    page = as_visitor.get(f"/sets/{chassis.tag}/hours/")
    text = page.content.decode()
    for hours in ("2.5", "3.25"):
        assert f'data-label="Hours">{hours}<' in text
    bars = [words for *_, words in page.context["run_chart"].bars]
    assert bars == [
        f"{days_ago(9)}: 2.5 h", f"{days_ago(5)}: 3.25 h", f"{days_ago(3)}: 1 h, 1 h of it at standby",
    ]  # fmt: skip
    assert page.context["run_chart"].tops[0][2] == "1"  # the latest is told first


def test_a_set_run_for_the_first_time_today_shows_it(as_visitor, today):
    chassis = RunFactory(on=today, hours=2.0).chassis
    page = as_visitor.get(f"/sets/{chassis.tag}/hours/")
    assert page.context["chart"] is None and f"{today}: 2 h" in page.content.decode()


def test_very_many_runs_are_shown_by_month(as_visitor, days_ago):
    chassis = ChassisFactory()
    for back in range(1, 400, 3):
        RunFactory(chassis=chassis, on=days_ago(back), hours=1.0)
    found = as_visitor.get(f"/sets/{chassis.tag}/hours/").context["run_chart"]
    assert 13 <= len(found.bars) <= 15 and "h in 10 runs" in " ".join(words for *_, words in found.bars)


def test_the_session_asks_nothing_twice(as_helper, instrument, today):
    tube = TubeTestFactory(instrument=instrument).tube
    as_helper.post(SESSION, entry(tube, instrument, today, reading_text="2100", shorts="none"))
    sent = twice(again(lambda: answered(as_helper, SESSION, tube=tube.tag, instrument=instrument.pk)))
    assert [one for one in sent if '"tubes_state"."token"' not in one] == []  # whether what is kept still holds


# --- answers kept as addresses ---------------------------------------------------------------------------------------


def test_matching_on_a_page_and_keeping_a_set(as_helper, instrument, today):
    kind = TubeTypeFactory()
    tests = [TubeTestFactory(tube__type=kind, instrument=instrument, reading=reading) for reading in (2000.0, 2010.0)]
    asked = {"type": "VT-231", "instrument": instrument.pk, "size": 2}
    text = as_helper.get("/matching/", asked).content.decode()
    assert "1 pair within 10 %" in text and "matching-10" in text
    keep = f"{reverse('running:matched-add')}?tolerance=10.0&test={tests[0].pk}&test={tests[1].pk}"
    assert keep.replace("&", "&amp;") in text
    page = as_helper.post(keep, {"made_on": today, "tolerance_pct": "10"}, follow=True)
    assert tests[1].tube.tag in page.content.decode()
    assert "is in matched set" in as_helper.get("/matching/", asked).content.decode()
    moving = as_helper.get(f"/things/{tests[0].tube.tag}/move/").content.decode()
    assert "belongs together with" in moving and tests[1].tube.tag in moving


def test_double_tubes_are_matched_by_section_on_the_page_as_by_the_command(as_helper, instrument):
    """Section 1 pairs the first two tubes, section 2 the first and the third, both together none within 10 %."""
    kind = TubeTypeFactory()
    read = {"T-1001": (2000.0, 2000.0), "T-1002": (2020.0, 2600.0), "T-1003": (2700.0, 2030.0)}
    for tag, both in read.items():
        tube = TubeFactory(type=kind, item__tag=tag)
        for section, reading in zip("12", both, strict=True):
            TubeTestFactory(tube=tube, instrument=instrument, section=section, reading=reading)
    asked = {"type": kind.name, "instrument": instrument.pk, "size": 2}
    for chosen, tags in (
        ({}, ["T-1001", "T-1002"]), ({"first": "2"}, ["T-1001", "T-1003"]), ({"first": "1", "second": "2"}, []),
    ):  # fmt: skip
        found = as_helper.get("/matching/", asked | chosen).context["found"]
        assert [tag for line in found.lines for tag in line.found.tags] == tags
        same = [f"--{name}={section}" for name, section in chosen.items()]
        told = json.loads(run("match_tubes", kind.name, f"--instrument={instrument.name}", *same, "--json"))
        assert found.as_dict() == told
        assert ("not_compared" in told) == (chosen.get("second") != "2")
    text = as_helper.get("/matching/", asked).content.decode()
    assert "Section 2 was read too and not compared" in text
    assert as_helper.get("/matching/", asked | {"first": "9"}).status_code == 422


def test_sections_can_be_chosen_before_anything_was_asked(as_visitor, instrument):
    TubeTestFactory(instrument=instrument, section="2")
    text = as_visitor.get("/matching/").content.decode()
    assert text.count('<option value="2">section 2</option>') == 2


def test_a_set_torn_apart_is_told_on_its_page_and_on_those_of_its_tubes(as_keeper, instrument, today, days_ago):
    kind = TubeTypeFactory()
    tests = [TubeTestFactory(tube__type=kind, instrument=instrument) for _ in range(2)]
    row = MatchedSet.objects.create(instrument=instrument, made_on=today, mismatch_pct=1, tolerance_pct=5)
    for test in tests:
        MatchedTube.objects.create(matched_set=row, tube=test.tube, test=test)
    one, two = (test.tube for test in tests)
    fitting = FittingFactory(tube=one, since=days_ago(9))
    FittingFactory(tube=two, since=days_ago(9), chassis=fitting.chassis)
    pages = [f"/tubes/{one.tag}/", f"/tubes/{two.tag}/", reverse("running:matched", args=[row.pk])]
    told = [as_keeper.get(page).content.decode() for page in pages]
    assert not any("Apart" in text or "not on a shelf" in text for text in told) and "Kept together" in told[0]
    fitting.until = today
    fitting.save()
    Fitting.objects.filter(tube=one).delete()
    elsewhere = FittingFactory(tube=one, since=today)
    told = [as_keeper.get(page).content.decode() for page in pages]
    where = escape(f"{one.tag} in {elsewhere.chassis} {elsewhere.position.mark}")
    assert all("Apart" in text and where in text and "Kept together" not in text for text in told)
    listed = 'mark--due">apart<'
    assert listed in as_keeper.get("/matching/").content.decode()
    assert "Apart already" in as_keeper.get(reverse("running:matched-split", args=[row.pk])).content.decode()
    row.split_on = today
    row.save()
    assert listed not in as_keeper.get("/matching/").content.decode()
    assert "Apart" not in as_keeper.get(pages[2]).content.decode()


@pytest.mark.parametrize(
    "asked",
    [
        {"type": "no such"}, {"size": "1"}, {"size": "99999999999999999999"}, {"tolerance": "nan"}, {"tolerance": "-1"},
        {"instrument": "999999"}, {"instrument": "9" * 30}, {"days": "0"}, {"second": "grid"}, {"type": ""},
    ],
)  # fmt: skip
def test_a_match_that_cannot_be_asked(as_visitor, instrument, asked):
    TubeTestFactory(instrument=instrument)
    good = {"type": "6SN7GT", "instrument": instrument.pk, "size": 2}
    answer = as_visitor.get("/matching/", good | asked)
    assert answer.status_code == 422 and "Not answered" in answer.content.decode()


def test_tubes_that_make_no_set_are_refused_in_words(as_helper, instrument, today):
    one, other = TubeTestFactory(instrument=instrument), TubeTestFactory()
    address = reverse("running:matched-add")
    cells = {"made_on": today, "tolerance_pct": "10"}
    for query, words in (
        (f"?test={one.pk}&test={other.pk}", "two instruments are never mixed"),
        ("", "two tubes or more"),
        ("?test=abc&test=99999999999999999999&test=²", "two tubes or more"),
    ):
        answer = as_helper.post(address + query, cells)
        assert answer.status_code == 422 and words in answer.content.decode()


def test_life_on_a_page(as_visitor, days_ago):
    for hours, state in ((100.0, "dud"), (200.0, "good"), (300.0, "dud"), (400.0, "dud"), (500.0, "good")):
        fitting = FittingFactory(since=days_ago(300), until=days_ago(100), tube__state=state)
        RunFactory(chassis=fitting.chassis, on=days_ago(250), off=days_ago(150), hours=hours)
        EarlierHours.objects.create(tube=fitting.tube, standing="known", hours=0, reason="sealed")
    page = as_visitor.get("/life/", {"type": "6SN7GT", "same": "on"})
    text = page.content.decode()
    assert "Half failed by" in text and "trace-band" in text and "At 100 h: 1 of 5 failed, 0.800" in text
    assert as_visitor.get("/life/", {"type": "no such"}).status_code == 422
    assert as_visitor.get("/life/", {"emitter": "cold", "type": ""}).status_code == 200


def test_two_instruments_beside_each_other(as_visitor, instrument):
    other = InstrumentFactory(scale="percent")
    for number in range(6):
        tube = TubeFactory()
        TubeTestFactory(tube=tube, instrument=instrument, reading=2000.0 + 100 * number)
        TubeTestFactory(tube=tube, instrument=other, reading=50.0 + 5 * number)
    address = f"/instruments/{instrument.pk}/"
    text = as_visitor.get(address, {"other": other.pk, "type": "VT-231"}).content.decode()
    assert "0.05" in text and "never turned into" in text and "A dot a tube" in text
    assert as_visitor.get(address, {"other": instrument.pk, "type": "6SN7GT"}).status_code == 422
    assert as_visitor.get(address, {"other": other.pk, "type": "6AC7"}).status_code == 200


def test_what_is_due_as_a_calendar(as_visitor, today, days_ago):
    """RFC 5545: whole-day events, each with a name that stays, so that a calendar renews it."""
    from icalendar import Calendar

    tube = TubeFactory()
    Care.objects.create(work="test", item=tube.item, every_months=12, since=days_ago(400), source="own; rule, x")
    answer = as_visitor.get("/schedules.ics")
    assert answer["Content-Type"].startswith("text/calendar") and "attachment" in answer["Content-Disposition"]
    (event,) = Calendar.from_ical(answer.content).walk("VEVENT")
    assert tube.tag in event["summary"] and event["uid"]
    again = Calendar.from_ical(as_visitor.get("/schedules.ics").content).walk("VEVENT")
    assert again[0]["uid"] == event["uid"]
    assert "overdue" in as_visitor.get("/schedules/").content.decode()
    assert "Tests and care due" in as_visitor.get("/").content.decode()


# --- lists and the API -----------------------------------------------------------------------------------------------


def test_the_list_of_tests_is_narrowed_and_the_api_alike(as_visitor, instrument, today, days_ago):
    TubeTestFactory(instrument=instrument, minimum=1200.0, on=days_ago(3), note="after the trip")
    TubeTestFactory(tube__type__name="6AC7", on=days_ago(90))
    asked = {"type": "VT-231", "instrument": instrument.pk, "since": days_ago(5), "until": today, "text": "trip"}
    assert len(as_visitor.get("/tests/", asked).context["lines"]) == 1
    found = as_visitor.get("/api/tests", asked).json()
    assert found["count"] == 1 and found["tests"][0]["verdict"] == "good" and found["tests"][0]["minimum"] == 1200
    assert as_visitor.get("/api/tests", {"since": "yesterday"}).status_code == 400
    assert as_visitor.get("/tests/", {"since": "yesterday"}).status_code == 200
    hours = as_visitor.get("/api/hours", {"type": "6AC7"}).json()
    assert [row["type"] for row in hours["tubes"]] == ["6AC7"] and hours["tubes"][0]["known"] == "unknown"


@pytest.mark.parametrize("address", ["/matching/", "/tests/", "/instruments/"])
def test_answers_grow_in_rows_not_in_questions(as_keeper, address, today, days_ago):
    kind, instrument = TubeTypeFactory(), InstrumentFactory()

    def populate():
        for number in range(10):
            tests = [
                TubeTestFactory(tube__type=kind, instrument=instrument, reading=2000.0 + number, section=section)
                for section in ("1", "2")
            ]
            TubeTestFactory(instrument=InstrumentFactory(calibrated_on=days_ago(900), calibrate_months=12))
            row = MatchedSet.objects.create(instrument=instrument, made_on=today, mismatch_pct=1, tolerance_pct=5)
            for test in tests:
                MatchedTube.objects.create(matched_set=row, tube=test.tube, test=test)
            TubeTestFactory(tube__type=kind, instrument=instrument, reading=2000.0 + number, section="1")

    wanted = {"type": kind.name, "instrument": instrument.pk, "size": 2} if address == "/matching/" else {}
    populate()
    before = asked(as_keeper, address, **wanted)
    populate()
    assert asked(as_keeper, address, **wanted) == before


@pytest.mark.parametrize(("written", "hours"), [("2:30", 2.5), ("1,5", 1.5), ("2.5", 2.5)])
def test_hours_of_a_run_as_keepers_write_them(as_keeper, written, hours, today):
    chassis = ChassisFactory()
    asked = {"on": today, "hours": written, "starts": "1", "filament": "full"}
    assert as_keeper.post(reverse("running:run-add", args=[chassis.tag]), asked).status_code == 302
    assert Run.objects.get().hours == hours
    page = as_keeper.get(reverse("running:run-correct", args=[Run.objects.get().pk])).content.decode()
    assert f'value="{hours:g}"' in page


@pytest.mark.parametrize(
    ("written", "words"), [("-1", "is below zero; hours that ran are 0 or more"), ("two", "cannot be read as hours")]
)
def test_hours_that_cannot_be_read_name_what_was_found(as_keeper, written, words, today):
    chassis = ChassisFactory()
    asked = {"on": today, "hours": written, "starts": "1", "filament": "full"}
    page = as_keeper.post(reverse("running:run-add", args=[chassis.tag]), asked)
    assert page.status_code == 422 and escape(f"'{written}' {words}") in page.content.decode()


def test_a_run_entered_twice_is_told_at_once(as_keeper, today):
    chassis = ChassisFactory()
    asked = {"on": today, "on_at": "00:01", "off_at": "00:02", "starts": "1", "filament": "full"}
    address = reverse("running:run-add", args=[chassis.tag])
    assert "lie over one another" not in "".join(
        map(str, as_keeper.post(address, asked, follow=True).context["messages"])
    )
    told = [str(one) for one in as_keeper.post(address, asked, follow=True).context["messages"]]
    assert any("Two runs lie over one another" in one for one in told)


def test_two_corrections_of_hours_from_two_windows(as_keeper, today):
    tube = TubeFactory()
    address = reverse("running:hours-correct", args=[tube.tag])
    asked = {"on": today, "hours": "100", "starts": "0", "reason": "a log was found"}
    assert as_keeper.post(address, asked).status_code == 302
    page = as_keeper.post(address, asked | {"hours": "120"})
    assert page.status_code == 422 and "has a correction of" in page.content.decode()
    assert as_keeper.post(address, asked | {"hours": "120", "again": "on"}).status_code == 302


def test_a_unit_that_was_typed_is_not_written_again(as_visitor):
    test = TubeTestFactory(instrument=InstrumentFactory(scale="percent"), reading=88.0, reading_text="88%")
    text = " ".join(as_visitor.get("/tests/").content.decode().split())
    assert "88%" in text and ">%<" not in text
    assert latest_readings([test.tube])[test.tube.pk].startswith("88%, ")


@pytest.mark.parametrize(
    ("cells", "words"),
    [({"on": "31.2.2026"}, "'31.2.2026' is no date; write it as 2026-11-29."),
     ({"on_at": "25:70"}, "'25:70' is no time of day; write it as 21:50."),
     ({"by_whom": "x" * 90}, "90 characters, and at most 80 fit: shorten it.")],
)  # fmt: skip
def test_a_message_names_what_was_found_and_how_to_mend_it(as_keeper, cells, words, today):
    asked = {"on": today, "hours": "2", "starts": "1", "filament": "full"} | cells
    page = as_keeper.post(reverse("running:run-add", args=[ChassisFactory().tag]), asked)
    assert page.status_code == 422 and escape(words) in page.content.decode()


def test_one_test_in_full_starts_with_the_only_instrument_and_with_the_one_used_last(as_helper, today):
    tube, first = TubeFactory(), InstrumentFactory()
    address = f"/tubes/{tube.tag}/test/"

    def starts():
        return str(as_helper.get(address).context["form"]["instrument"].value() or "")

    assert starts() == str(first.pk)
    other = InstrumentFactory()
    assert starts() == ""  # two: which one is not guessed
    sent = {"instrument": other.pk, "on": today, "reading_text": "1900", "shorts": "none"}
    assert as_helper.post(address, sent).status_code == 302
    assert starts() == str(other.pk)
