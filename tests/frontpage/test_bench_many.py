"""The bench report of many pairs: the first of each kind with their reasons, and how many there are."""

import json

import pytest
from django.core.management import call_command

from inventory.frontpage import api
from inventory.frontpage.management.commands import bench
from inventory.frontpage.queries import SHOWN_ON_PAGE, bench_report
from inventory.frontpage.views import first
from inventory.frontpage.wording.bench import bench_as_json, bench_lines
from inventory.pairing.queries import PairFilter, pair_list, pairing_table, pairs_open
from inventory.running.models import Care, MeterReading
from tests.counting import again, asked, twice
from tests.factories import (
    ChassisFactory,
    EveryState,
    NeutralizationFactory,
    PlugInUnitFactory,
    SetModelFactory,
    TubeFactory,
    UnitModelFactory,
)
from tests.pages import page_text
from tests.running.rows import MeterFactory, RunFactory

pytestmark = pytest.mark.django_db


def grow(model, chassis, units, days_ago):
    drawer = UnitModelFactory(fits=[model])
    sets = [ChassisFactory(model=model) for _ in range(chassis)]
    for number in range(units):
        unit = PlugInUnitFactory(model=drawer)
        for one in sets[:2]:
            NeutralizationFactory(chassis=one, unit=unit, on=days_ago(number + 1), setting="40")


@pytest.fixture
def many(days_ago):
    """60 pairs of one model, 50 of them due, 10 in either of the other two states."""
    grow(SetModelFactory(name="Brindlemoor TX 90"), 7, 10, days_ago)


def test_the_first_of_each_state_are_those_of_the_table_with_their_reasons(many, today):
    EveryState()
    whole = pairs_open(today)
    assert list(whole) == pairing_table(today, PairFilter(states=tuple(whole.counts), kinds=("unit",)))
    some = pairs_open(today, 3)
    assert some.counts == whole.counts and {state: len(whole.of(state)) for state in whole.counts} == whole.counts
    for state in whole.counts:
        assert some.of(state) == whole.of(state)[:3]


def test_the_report_is_cut_and_says_so(many, today):
    report = bench_report(today, most=4)
    told = bench_as_json(report)
    assert sum(len(group["pairs"]) for group in told["pairs_due"]) == 4
    assert (told["pairs_due_count"], report.due_count) == (50, 50)
    assert "  The first 4 of 50." in bench_lines(report) and "pairs_presumed_count" not in told
    assert "pairs_due_count" not in bench_as_json(bench_report(today))  # all are told


def test_the_page_shows_the_first_and_leads_to_the_rest(many, today, as_visitor):
    page = as_visitor.get("/")
    assert page.context["report"].due_shown == SHOWN_ON_PAGE
    assert f"The first {SHOWN_ON_PAGE} of 50." in page.content.decode()
    assert "/pairings/?state=due" in page.content.decode()


def test_the_page_does_not_grow_with_the_collection(many, today, days_ago, as_visitor):
    asked_then = []
    for name in ("Tarnhollow TX 9", "Tarnhollow TX 8"):
        grow(SetModelFactory(name=name), 8, 40, days_ago)
        asked_then.append((len(as_visitor.get("/").content), asked(as_visitor, "/")))
    (before, questions), (after, more) = asked_then
    assert questions == more and abs(after - before) < before / 10


@pytest.mark.parametrize(
    "wanted",
    [
        {}, {"states": ("due",)}, {"unit": "drawer"}, {"chassis": "01432"}, {"frequency_kc": 2000.0},
        {"states": ("matched", "good")},
    ],
)  # fmt: skip
def test_the_paged_table_gives_the_lines_of_the_whole(wanted, many, today):
    EveryState()
    whole, lines = pairing_table(today, PairFilter(**wanted)), pair_list(today, PairFilter(**wanted))
    assert len(lines) == len(whole) and lines[0:] == whole
    assert [row for at in range(0, len(lines), 7) for row in lines[at : at + 7]] == whole
    assert not whole or lines[len(whole) - 1] == whole[-1]
    assert sum(count for _, count in lines.counts) == len(whole)


def test_the_command_says_where_it_was_cut(many, capsys):
    call_command("bench")
    assert "Neutralize before going on the air: 50 pairs" in capsys.readouterr().out


def test_every_row_is_handed_out_where_it_is_asked_for(many, as_visitor, monkeypatch, capsys):
    """The same cut for both: four rows of each kind, all 50 with the option."""
    for one in (bench, api):
        monkeypatch.setattr(one, "SHOWN", 4)

    def told(answer):
        return sum(len(group["pairs"]) for group in answer["pairs_due"]), answer.get("pairs_due_count")

    call_command("bench", "--json")
    assert told(json.loads(capsys.readouterr().out)) == (4, 50) == told(as_visitor.get("/api/bench").json())
    call_command("bench", "--all", "--json")
    assert told(json.loads(capsys.readouterr().out)) == (50, None) == told(as_visitor.get("/api/bench?all=yes").json())
    call_command("bench", "--all")
    assert "The first" not in capsys.readouterr().out
    wrong = as_visitor.get("/api/bench?all=perhaps")
    assert wrong.status_code == 400 and wrong.json() == {"errors": {"all": ["'perhaps': expected yes or no."]}}


def test_things_without_a_place_say_where_they_were_cut(today):
    for _ in range(3):
        TubeFactory(place=None)
    assert "  The first 2 of 3." in bench_lines(bench_report(today, most=2))
    assert len(bench_as_json(bench_report(today, most=None))["without_place"]) == 3


def test_the_pair_page_asks_nothing_twice(many, today, as_visitor):
    row = next(row for row in pairing_table(today) if row.state != "due")
    assert twice(again(lambda: as_visitor.get(f"/pairings/{row.chassis.tag}/{row.unit.tag}/"))) == []


@pytest.fixture
def running(days_ago, reference):
    """Five tests that fall due, three sets whose log and meter are a quarter apart."""
    for _ in range(5):
        Care.objects.create(work="test", item=TubeFactory().item, every_months=12, since=days_ago(400))
    for _ in range(3):
        chassis = ChassisFactory()
        meter = MeterFactory(chassis=chassis)
        for day, wheels in ((60, "00100.0"), (1, "00130.0")):
            MeterReading.objects.create(meter=meter, on=days_ago(day), wheels=wheels)
        for day in (50, 40, 30, 20):
            RunFactory(chassis=chassis, on=days_ago(day), hours=10)


def test_what_areas_add_is_cut_like_the_rest(running, today, monkeypatch, as_visitor):
    report = bench_report(today, most=2)
    told, lines = bench_as_json(report), bench_lines(report)
    assert (len(told["care_due"]), told["care_due_count"]) == (2, 5)
    assert (len(told["log_and_meter_apart"]), told["log_and_meter_apart_count"]) == (2, 3)
    at = lines.index("Tests and care due within a month: 5")
    assert lines[at + 3] == "  The first 2 of 5."
    at = lines.index("Log and meter apart: 3 sets")
    assert lines[at + 3] == "  The first 2 of 3."
    monkeypatch.setattr(first, "SHOWN_ON_PAGE", 2)
    page = page_text(as_visitor.get("/"))
    assert "The first 2 of 3." in page and page.count("% apart") == 2


def test_what_areas_add_is_all_handed_out_where_it_is_asked_for(running, today):
    report = bench_report(today, most=None)
    told = bench_as_json(report)
    assert (len(told["care_due"]), len(told["log_and_meter_apart"])) == (5, 3)
    assert "care_due_count" not in told and "log_and_meter_apart_count" not in told
    assert told["log_and_meter_apart"][0]["meters"][0]["percent"] == pytest.approx(25)
    assert told["care_due"][0]["overdue"] is True
    assert not any("The first" in line for line in bench_lines(report))


def test_an_area_that_has_nothing_to_add_adds_no_key(today):
    assert not {"care_due", "log_and_meter_apart"} & set(bench_as_json(bench_report(today)))


def test_the_first_page_tells_eight_of_the_care_that_is_due(days_ago, reference, as_visitor):
    for _ in range(50):
        Care.objects.create(work="test", item=TubeFactory().item, every_months=12, since=days_ago(400))
    assert "The first 8 of 50." in page_text(as_visitor.get("/"))
