"""The bench report: pairs due with reasons, companions to settle, doubtful tubes in use, things without a place."""

import json
from io import StringIO

import pytest
from django.core.management import call_command

from inventory.frontpage.queries import bench_report
from inventory.frontpage.wording.bench import bench_as_json
from tests.factories import (
    ChassisFactory,
    EveryState,
    FittingFactory,
    PlaceFactory,
    PositionFactory,
    SeatingFactory,
    TubeFactory,
)
from tubes.models import TubeType

pytestmark = pytest.mark.django_db


@pytest.fixture
def house(db):
    return EveryState()


def test_due_pairs_by_chassis_and_companions(house, today):
    report = bench_as_json(bench_report(today))
    assert list(report) == [
        "on",
        "pairs_due",
        "pairs_to_reset",
        "pairs_presumed",
        "companions_not_matched",
        "fitted_doubtful",
        "fitted_other_type",
        "without_place",
        "without_place_count",
    ]
    assert report["on"] == today.isoformat()
    (group,) = report["pairs_due"]
    assert group["chassis"] == {"model": "Ostercape TX 5", "serial": "01432"}
    (pair,) = group["pairs"]
    assert list(pair) == ["unit", "state", "setting", "reasons", "covers_kc"]
    assert (pair["unit"]["serial"], pair["state"]) == ("0458", "due")
    assert "0458" in pair["reasons"][0]["text"] and "01432" in pair["reasons"][0]["text"]
    assert {pair["state"] for pair in report["pairs_to_reset"]} == {"reset and verify"}
    assert all(pair["setting"] for pair in report["pairs_to_reset"])
    assert {pair["state"] for pair in report["pairs_presumed"]} == {"presumed"}
    assert len(report["companions_not_matched"]) == 6  # all of EveryState.COMPANIONS but the matched one


def test_command_api_and_page_agree(house, today, days_ago, as_visitor):
    report = bench_as_json(bench_report(today))
    out = StringIO()
    call_command("bench", "--json", stdout=out)
    assert json.loads(out.getvalue()) == report
    assert as_visitor.get("/api/bench").json() == report
    assert bench_as_json(as_visitor.get("/").context["report"]) == bench_as_json(bench_report(today))
    assert bench_report(days_ago(45)).due_count == 2  # the high drawer was not yet set for 01432


@pytest.mark.parametrize("state", ["weak", "untested", "dud"])
def test_a_doubtful_tube_in_use_is_named(today, state):
    fitting = FittingFactory(tube=TubeFactory(state=state), position=PositionFactory(mark="V7", neutralized=True))
    FittingFactory()  # good: no word about it
    FittingFactory(tube=TubeFactory(state=state), until=today)  # no longer in use
    (row,) = bench_as_json(bench_report(today))["fitted_doubtful"]
    assert row == {
        "chassis": {"model": fitting.chassis.model.name, "serial": fitting.chassis.serial},
        "position": "V7",
        "tag": fitting.tube.tag,
        "type": "6SN7GT",
        "marked": "6SN7GT",
        "state": state,
        "neutralized": True,
    }


def test_things_without_a_place(today):
    place = PlaceFactory()
    homeless = TubeFactory()
    TubeFactory(place=place)
    TubeFactory(lent_to="R. Oddsworth")
    TubeFactory(gone_on=today)
    ChassisFactory(place=place)
    seating = SeatingFactory()  # the unit is in a bay, its chassis stands nowhere
    fitting = FittingFactory(chassis=ChassisFactory(place=place), position=PositionFactory())
    report = bench_as_json(bench_report(today))
    assert {row["tag"] for row in report["without_place"]} == {homeless.tag, seating.chassis.tag}
    assert report["without_place_count"] == 2
    assert fitting.tube.tag not in str(report["without_place"])


def test_the_printed_report_names_everything_and_the_dangers(house, today, capsys):
    homeless = TubeFactory(marked="VT-231")
    call_command("bench")
    out, err = capsys.readouterr()
    assert "Bench report" in out and "Ostercape TX 5 01432" in out
    assert f"{homeless.tag} VT-231" in out
    assert "High voltage and stored charge kill" in out and "licensed practice" in out
    assert err == ""


def test_a_tube_of_another_type_in_use_is_named(today):
    """A ruggedized form or another number of the wanted type is no difference; anything else is named."""
    wanted = PositionFactory(mark="V9", type=TubeType.objects.get(name="6SN7GT"))
    FittingFactory(position=wanted, tube=TubeFactory(type=TubeType.objects.get(name="6SN7WGT")))
    odd = FittingFactory(
        position=PositionFactory(mark="V8", type=TubeType.objects.get(name="866A")),
        tube=TubeFactory(type=TubeType.objects.get(name="6K7")),
    )
    (row,) = bench_as_json(bench_report(today))["fitted_other_type"]
    assert (row["position"], row["tag"]) == ("V8", odd.tube.tag)
    assert row["text"] == f"V8 wants a 866A; {odd.tube.tag} is a 6K7."
    assert row["verdict"] == "unsuitable"  # a pentode is no rectifier


def test_an_odd_tube_that_cannot_be_judged_is_named_all_the_same(today):
    wanted = TubeType.objects.get(name="866A")
    FittingFactory(position=PositionFactory(type=wanted), tube=TubeFactory(type=None, marked="worn off"))
    FittingFactory(
        position=PositionFactory(type=wanted, plate_v=0), tube=TubeFactory(type=TubeType.objects.get(name="6K7"))
    )
    assert [row["verdict"] for row in bench_as_json(bench_report(today))["fitted_other_type"]] == [None, None]
