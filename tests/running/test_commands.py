"""Commands of the running area: one document on standard output, 2 and one line for what cannot be answered."""

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from inventory.running.models import EarlierHours, TubeTest
from tests.factories import FittingFactory, TubeFactory, TubeTypeFactory
from tests.running.rows import InstrumentFactory, RunFactory, TubeTestFactory

pytestmark = pytest.mark.django_db


def run(*arguments):
    out = StringIO()
    call_command(*arguments, stdout=out, stderr=StringIO())
    return out.getvalue()


def test_tube_hours(days_ago):
    fitting = FittingFactory(since=days_ago(20), chassis__serial="01432")
    RunFactory(chassis=fitting.chassis, on=days_ago(10), hours=5.5, starts=2)
    EarlierHours.objects.create(tube=fitting.tube, standing="estimated", hours=40)
    other = TubeFactory(type=None)
    (row,) = json.loads(run("tube_hours", fitting.tube.tag.lower(), "--json"))
    assert row == {
        "tag": fitting.tube.tag,
        "type": "6SN7GT",
        "hours": 45.5,
        "starts": 2,
        "known": "estimated",
        "remarks": ["40 h before it came are estimated."],
        "fittings": [
            {
                "chassis": {"model": fitting.chassis.model.name, "serial": "01432"},
                "position": fitting.position.mark,
                "from": days_ago(20).isoformat(),
                "to": None,
                "hours": 5.5,
            }
        ],
    }
    every = json.loads(run("tube_hours", "--json"))
    assert [one["tag"] for one in every] == [fitting.tube.tag, other.tag] and every[1]["type"] is None
    assert "45.5 h in all, estimated" in run("tube_hours", fitting.tube.tag)
    (row,) = json.loads(run("tube_hours", fitting.tube.tag, "--on", days_ago(15).isoformat(), "--json"))
    assert row["hours"] == 40


def test_tube_trend(days_ago):
    test = TubeTestFactory(on=days_ago(9))
    found = json.loads(run("tube_trend", test.tube.tag, "--json"))
    assert list(found) == [
        "tag", "instrument", "points", "slope_per_1000_h", "interval", "hours_to_minimum", "hours_interval", "text",
        "handbook_test_point",
    ]  # fmt: skip
    assert found["handbook_test_point"]["row"] == "6SN7"
    assert found["points"] == 1 and "no trend can be seen" in found["text"]
    assert "no trend" in run("tube_trend", test.tube.tag, "--instrument", test.instrument.name.upper())


def test_tube_trend_shows_the_handbooks_test_point(reference):
    """avo-vdm23: 6SN7 2900 micromho at 250 V, -8 V; 75 % of it is 2175 (arithmetic)."""
    tube = TubeFactory(type=TubeTypeFactory(name="6SN7GT"), marked="6SN7GT")
    cells = {"section": "1", "reading": 2175.0, "reading_text": "2175", "minimum": None, "minimum_text": ""}
    TubeTestFactory(tube=tube, instrument=InstrumentFactory(scale="micromho"), **cells)
    found = json.loads(run("tube_trend", tube.tag, "--json"))["handbook_test_point"]
    assert (found["figure"], found["grade"]) == (2900, "indication") and found["percent"] == pytest.approx(75)
    assert "Indication: 75 % of 2900" in run("tube_trend", tube.tag)
    TubeTest.objects.update(minimum=1500)
    assert json.loads(run("tube_trend", tube.tag, "--json"))["handbook_test_point"] is None


def test_match_tubes(days_ago):
    """36 and 33 mA differ by 8.69565217391 %: case L3.4 (arithmetic)."""
    kind, instrument = TubeTypeFactory(), InstrumentFactory(name="Bench tester 1", scale="plate_ma")
    tests = [TubeTestFactory(tube__type=kind, instrument=instrument, reading=reading) for reading in (36.0, 33.0, 20.0)]
    tags = [test.tube.tag for test in tests]
    found = json.loads(run("match_tubes", "VT-231", "--instrument", "bench tester 1", "--tolerance", "10", "--json"))
    assert list(found) == ["sets", "left", "text"]
    (pair,) = found["sets"]
    assert sorted(pair["tags"]) == sorted(tags[:2]) and sorted(pair["readings"]) == [33, 36]
    assert pair["mismatch_pct"] == pytest.approx(8.69565217391) and found["left"] == [tags[2]]
    assert "8.7 %" in run("match_tubes", "6SN7GT", "--instrument", "Bench tester 1")
    three = json.loads(
        run("match_tubes", "6SN7GT", "--instrument", "Bench tester 1", "--size", "3", "--tolerance", "60", "--json")
    )
    assert three["sets"][0]["mismatch_pct"] == pytest.approx(100 * 16 / 28)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("tube_hours", "X-9999"), "no tube has the tag X-9999"),
        (("tube_hours", "--on", "yesterday"), "no date"),
        (("tube_trend", "X-9999"), "no tube has the tag"),
        (("tube_trend", "T-0001"), "has no reading"),
        (("tube_trend", "T-0001", "--instrument", "none"), "no instrument is called 'none'"),
        (("match_tubes", "6SN7GT", "--instrument", "none"), "there are: Bench"),
        (("match_tubes", "no such", "--instrument", "Bench"), "not in the tables"),
        (("match_tubes", "6SN7GT", "--instrument", "Bench", "--size", "1"), "size 1"),
        (("match_tubes", "6SN7GT", "--instrument", "Bench", "--tolerance", "nan"), "tolerance"),
        (("match_tubes", "6SN7GT", "--instrument", "Bench", "--second", "grid"), "was never read"),
        (("match_tubes", "6SN7GT", "--instrument", "Bench", "--days", "0"), "--days"),
    ],
)
def test_what_cannot_be_answered(reference, arguments, words):
    InstrumentFactory(name="Bench")
    TubeFactory(item__tag="T-0001")
    TubeTypeFactory()
    with pytest.raises(CommandError, match=words) as refusal:
        run(*arguments)
    assert refusal.value.returncode == 2 and "\n" not in str(refusal.value)
