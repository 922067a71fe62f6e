"""A stand-in that sits in a socket, as plan, readiness, start sheet and heater load know it. Names are invented.

Figures of 866A (2.5 V, 5 A) are of the tables; that semiconductors have no heater: common practice, no source.
"""

import pytest

from inventory.restoration.queries.cover import cover_of
from inventory.restoration.queries.power import power_of
from inventory.restoration.queries.start_sheet import start_sheet
from inventory.sets.models import StandIn, StandInFitted
from inventory.sets.queries.filaments import filaments_of
from tests.commands import answer_of
from tests.counting import cost
from tests.factories import ChassisFactory, FittingFactory, PositionFactory, SetModelFactory, TubeFactory
from tests.pages import page_text
from tests.restoration.rows import PlanFactory
from tests.restoration.sheets import address_of
from tests.sets.rows import StandInFactory
from tubes.models import TubeType

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


@pytest.fixture
def model():
    model = SetModelFactory(name="Marram PS", kind="power unit", filament_supply_v=2.5, filament_winding_a=10.0)
    for mark in ("V1", "V2"):
        kind = TubeType.objects.get(name="866A")
        PositionFactory(set_model=model, mark=mark, type=kind, heater_v=2.5, heater_branch=mark[-1], role="")
    return model


@pytest.fixture
def plan(model):
    return PlanFactory(name="Marram in the shed", sets=[ChassisFactory(model=model)])


def put(plan, mark, *, since, instead="silicon plug", **more):
    chassis = plan.sets.get()
    position = chassis.model.positions.get(mark=mark)
    word = StandInFactory(
        set_model=chassis.model, position=position, part="", instead=instead, **{"changes": "15 V more", **more}
    )
    return StandInFitted.objects.create(stand_in=word, chassis=chassis, since=since)


def line_of(plan, today, mark):
    (line,) = (one for one in cover_of(plan, today).lines if one.position == mark)
    return line


def test_its_line_asks_for_no_tube_and_says_what_changes(plan, today, days_ago):
    spare = TubeFactory(type=TubeType.objects.get(name="866A"), state="good")
    put(plan, "V2", since=days_ago(9), general="mercury-silicon", caution="High voltage on the cap")
    first, second = line_of(plan, today, "V1"), line_of(plan, today, "V2")
    assert spare.tag in first.by
    assert (second.status, second.by) == ("a stand-in sits there", "silicon plug (a stand-in)")
    assert f"sits in it since {days_ago(9)}: it serves here (bench book" in second.reasons[0]
    assert "with silicon plug here: 15 V more" in second.entails
    assert any(text.startswith("warm-up, generally:") for text in second.entails)
    assert "caution: High voltage on the cap" in second.entails
    answer, _ = answer_of("readiness", plan.name)
    (told,) = (one for one in answer["lines"] if one["position"] == "V2")
    assert told["stand_in_there"][0]["instead"] == "silicon plug" and told["status"] == "a stand-in sits there"
    assert cover_of(plan, today).count.answer == "can start with substitutes"
    assert "1 by a stand-in that sits there" in cover_of(plan, today).text


def test_words_against_it_are_told(plan, today, days_ago):
    stay = put(plan, "V2", since=days_ago(9), verdict=StandIn.FAILS)
    line = line_of(plan, today, "V2")
    assert line.status == "short" and "does not serve here" in line.reasons[0]
    assert line.reasons[0].endswith("Take it out before a tube goes in.")
    word = stay.stand_in
    StandInFactory(set_model=word.set_model, position=word.position, part="", instead=word.instead)
    assert "Another word says the contrary of it." in line_of(plan, today, "V2").reasons[0]


def test_a_tube_and_a_stand_in_in_one_socket(plan, today, days_ago):
    chassis = plan.sets.get()
    fitting = FittingFactory(chassis=chassis, position=chassis.model.positions.get(mark="V2"))
    put(plan, "V2", since=days_ago(9))
    assert "silicon plug (a stand-in) sits there too" in line_of(plan, today, "V2").reasons[0]
    (_, second) = start_sheet(plan, chassis, today).sockets
    assert second.held.startswith(fitting.tube.tag) and "one of them cannot be there" in second.held


def test_the_start_sheet_knows_it(plan, today, days_ago, as_visitor):
    chassis = plan.sets.get()
    put(plan, "V2", since=days_ago(9))
    sheet = start_sheet(plan, chassis, today)
    assert sheet.sockets[1].held == f"silicon plug (a stand-in), since {days_ago(9)}" and not sheet.sockets[1].planned
    checks = {row.check.key: row.check for row in sheet.rows}
    assert "15 V more" in checks["stand-in V2"].how
    assert "in V2 a stand-in, silicon plug" in checks["rectifier-out"].because
    assert "The stand-in in V2 as well" in checks["rectifier-out"].how
    assert "silicon plug" in checks["b-plus"].because and "V2" not in checks["warm-up"].words
    assert "silicon plug (a stand-in)" in page_text(as_visitor.get(address_of(plan)))


@pytest.mark.parametrize(
    ("instead", "changes", "amperes", "unknown", "words"),
    [
        ("silicon plug", "", 5.0, (), "counted without heater current"),
        ("silicon plug", "a resistor loads the filament winding", 5.0, ("V2",), "what it draws is not known"),
        ("plug of Ada", "", 5.0, ("V2",), "is not said"),
        ("3B28 in the place of the 866A", "", 10.0, (), "counted with the heater of a 3B28"),
    ],
)
def test_what_it_draws_is_told(plan, today, days_ago, instead, changes, amperes, unknown, words):
    put(plan, "V2", since=days_ago(9), instead=instead, changes=changes)
    (found,) = power_of(cover_of(plan, today), today)
    assert found.load.at_least == pytest.approx(amperes) and found.load.unknown == unknown
    assert f"V2 holds {instead}: " in found.load.text and words in found.load.text
    assert f"V2: {instead}" in found.as_dict()["stand_ins"][0]


def test_the_filament_supply_of_the_set_knows_it(plan, model, today, days_ago):
    put(plan, "V2", since=days_ago(9))
    found = filaments_of(model, plan.sets.get())
    assert [line.standing for line in found.lines] == ["empty", "a stand-in"]
    assert any(text.startswith("V2: silicon plug: counted without heater current") for text in found.left_out)


def test_twice_the_stand_ins_take_no_more_questions(plan, model, today, days_ago):
    def some():
        for number in range(3):
            kind = TubeType.objects.get(name="866A")
            mark = PositionFactory(set_model=model, type=kind, heater_v=2.5).mark
            put(plan, mark, since=days_ago(9), instead=f"silicon plug {number}")

    def asked():
        return cost(lambda: cover_of(plan, today)), cost(lambda: start_sheet(plan, plan.sets.get(), today))

    some()
    before = asked()
    some()
    assert asked() == before
