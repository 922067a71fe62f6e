"""Chassis and units without a readable number: named by their tags wherever they are named."""

import json
from io import StringIO

import pytest
from django.core.management import call_command
from django.utils.html import strip_tags

from inventory.frontpage.queries import bench_report
from inventory.frontpage.wording.bench import bench_as_json, bench_lines
from inventory.pairing.queries import on_air, pairing_table
from inventory.pairing.queries.upset import pairs_undone
from inventory.sets.models import plate_words
from tests.counting import asked
from tests.factories import (
    ChassisFactory,
    CompanionFactory,
    FittingFactory,
    NeutralizationFactory,
    PlugInUnitFactory,
    PositionFactory,
    SeatingFactory,
    TubeFactory,
    UnitModelFactory,
)

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("plate", "words"),
    [
        (("01432", "read", "S-1"), "01432"),
        ((" 01432 ", "read", "S-1"), "01432"),
        (("", "missing", "S-1"), "S-1 (no serial)"),
        (("", "read", "S-1"), "S-1 (no serial)"),
        (("", "unreadable", "S-1"), "S-1 (serial unreadable)"),
        (("143", "unreadable", "S-1"), "S-1 (serial unreadable)"),
        (("", "unreadable"), "serial unreadable"),
    ],
)
def test_what_a_thing_is_called_by(plate, words):
    assert plate_words(*plate) == words


@pytest.fixture
def nameless(db):
    """A chassis without a number, two units of one model: one without a number, one that cannot be read."""
    chassis = ChassisFactory(serial="", serial_reading="missing")
    model = UnitModelFactory(fits=[chassis.model], name="Brindlemoor drawer")
    blank = PlugInUnitFactory(model=model, serial="", serial_reading="missing")
    worn = PlugInUnitFactory(model=model, serial="", serial_reading="unreadable")
    return chassis, blank, worn


def told(name, *args):
    plain, data = StringIO(), StringIO()
    call_command(name, *args, stdout=plain)
    call_command(name, *args, "--json", stdout=data)
    return plain.getvalue(), json.loads(data.getvalue())


def test_pairings_and_on_air_name_them_by_their_tags(nameless):
    chassis, blank, worn = nameless
    lines, rows = told("pairings")
    assert f"{chassis.model} {chassis.tag} (no serial) with Brindlemoor drawer {blank.tag} (no serial)" in lines
    assert f"Brindlemoor drawer {worn.tag} (serial unreadable)" in lines
    assert [row["unit"] for row in rows] == [
        {"model": "Brindlemoor drawer", "serial": None, "tag": blank.tag, "serial_reading": "missing"},
        {"model": "Brindlemoor drawer", "serial": None, "tag": worn.tag, "serial_reading": "unreadable"},
    ]
    lines, answer = told("on_air", chassis.tag, "--frequency", "2 Mc")
    assert f"{chassis.tag} (no serial) on 2000 kc" in lines and f"{worn.tag} (serial unreadable)" in lines
    assert answer["chassis"]["tag"] == chassis.tag and answer["units"][0]["unit"]["tag"] in (blank.tag, worn.tag)


def test_reasons_and_what_would_be_undone_name_them(nameless, today, days_ago):
    chassis, blank, _ = nameless
    other = ChassisFactory(model=chassis.model, serial="", serial_reading="unreadable")
    NeutralizationFactory(chassis=chassis, unit=blank, on=days_ago(9), setting="42")
    NeutralizationFactory(chassis=other, unit=blank, on=days_ago(5), setting="50")
    row = next(r for r in pairing_table(today) if r.chassis.key == chassis.pk and r.unit.key == blank.pk)
    assert f"Unit set for chassis {other.tag} (serial unreadable)" in row.reasons[0].text
    undone = pairs_undone(other, PositionFactory(set_model=chassis.model, neutralized=True))
    assert undone == [f"Brindlemoor drawer {blank.tag} (no serial), now good"]  # the tag once


def test_pages_and_the_bench_report_name_them(nameless, today, as_visitor):
    chassis, blank, worn = nameless
    name, drawer = f"{chassis.tag} (no serial)", f"{worn.tag} (serial unreadable)"
    pages = [
        "/", "/pairings/", "/pairings/station/", f"/sets/{chassis.tag}/", f"/units/{worn.tag}/",
        f"/on-air/{chassis.tag}/?frequency=2+Mc", f"/pairings/{chassis.tag}/{worn.tag}/",
    ]  # fmt: skip
    for page in pages:
        text = " ".join(strip_tags(as_visitor.get(page).content.decode()).split())
        assert name in text and drawer in text, page
    lines = "\n".join(bench_lines(bench_report(today)))
    assert name in lines and drawer in lines
    assert {unit.row.unit.tag for unit in on_air(chassis, 2000, today).units} == {blank.tag, worn.tag}
    fitting = FittingFactory(chassis=chassis, position=PositionFactory(set_model=chassis.model, mark="V1"))
    report = bench_as_json(bench_report(today))
    assert report["pairs_due"][0]["chassis"]["tag"] == chassis.tag
    fitting.tube.state = "weak"
    fitting.tube.save()
    assert bench_as_json(bench_report(today))["fitted_doubtful"][0]["chassis"]["tag"] == chassis.tag


def test_a_companion_without_a_number_is_named_by_its_tag(today):
    companion = CompanionFactory(mate_serial="", mate_reading="unreadable")
    (row,) = [row for row in pairing_table(today) if row.unit.tag == companion.tag]
    assert row.unit.name.endswith(f"{companion.tag} (number unreadable)")


def test_naming_them_asks_no_question_for_each(today, as_visitor):
    def grow(count):
        for _ in range(count):
            chassis = ChassisFactory(serial="", serial_reading="missing")
            unit = PlugInUnitFactory(model=UnitModelFactory(fits=[chassis.model]), serial="", serial_reading="missing")
            SeatingFactory(chassis=chassis, unit=unit)
            tube = TubeFactory(state="weak")
            FittingFactory(chassis=chassis, position=PositionFactory(set_model=chassis.model), tube=tube)

    pages = ("/", "/pairings/", "/pairings/station/", "/sets/", "/units/", "/tubes/", "/running/", "/places/")
    counts = []
    for _ in range(2):
        grow(10)
        counts.append([asked(as_visitor, page) for page in pages])
    assert counts[0] == counts[1]
