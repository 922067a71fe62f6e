"""The load of a set's heater winding, another rectifier and the pairs to neutralize, as a plan tells them.

Heaters by the tables: 6SN7GT 0.6 A, 6K7 0.3 A on 6.3 V. The rules with their sources: ``rules/test_power.py``.
"""

import json
from io import StringIO

import pytest
from django.core.management import call_command

from inventory.restoration.queries.answer import readiness
from tests.counting import cost
from tests.factories import (
    ChassisFactory,
    FittingFactory,
    NeutralizationFactory,
    PlugInUnitFactory,
    PositionFactory,
    SetModelFactory,
    TubeFactory,
    TubeTypeFactory,
    UnitModelFactory,
)
from tests.pages import page_text
from tests.restoration.rows import PlanFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def model():
    return SetModelFactory(name="Marram RX", neutralizing="none", filament_supply_v=6.3, filament_winding_a=1.0)


def socket(model, mark, kind, **more):
    return PositionFactory(set_model=model, mark=mark, type=TubeTypeFactory(name=kind), **more)


def planned(model):
    return PlanFactory(name="Marram in the shed", sets=[ChassisFactory(model=model, serial="0417")])


def power(plan, today):
    (found,) = readiness(plan.name, today).power
    return found


def test_the_sum_against_the_winding(model, today):
    socket(model, "V1", "6SN7GT", heater_v=6.3)
    socket(model, "V2", "6K7")
    socket(model, "V3", "5U4G", heater_v=5.0)
    found = power(planned(model), today)
    assert found.load.at_least == pytest.approx(0.9) and found.load.standing == "within"
    assert found.load.other == ("V3",) and [one.taken for one in found.load.heaters] == [False, True]
    assert not found.warning


def test_too_much_stands_on_top(as_visitor, model, today):
    for mark in ("V1", "V2"):
        socket(model, mark, "6SN7GT", heater_v=6.3)
    plan = planned(model)
    text = page_text(as_visitor.get(plan.get_absolute_url()))
    assert "the heater winding would be overloaded" in text
    assert text.index("would be overloaded") < text.index("Not yet")
    out = StringIO()
    call_command("readiness", plan.name, "--json", stdout=out)
    told = json.loads(out.getvalue())
    assert told["cautions"][0].startswith(f"{plan.sets.get()}: the heater winding would be overloaded")
    assert told["power"][0]["heaters_a"] == pytest.approx(1.2) and told["power"][0]["standing"] == "over"


def test_what_is_fitted_counts_and_not_what_was_wanted(model, today):
    position = socket(model, "V1", "6K7", heater_v=6.3)
    plan = planned(model)
    FittingFactory(position=position, chassis=plan.sets.get(), tube=TubeFactory(type=TubeTypeFactory(name="6SN7GT")))
    found = power(plan, today)
    assert found.load.at_least == pytest.approx(0.6) and "0.3 A more" in found.load.text


def test_a_heater_of_which_nothing_is_known_may_hang_on_the_winding(as_visitor, today):
    model = SetModelFactory(neutralizing="none", filament_supply_v=6.3, filament_winding_a=0.7)
    socket(model, "V1", "6SN7GT")
    socket(model, "V2", "ZZ99")  # no figures at all
    PositionFactory(set_model=model, mark="V4", type=None)  # nobody wrote down what it wants
    plan = planned(model)
    found = power(plan, today)
    assert (found.load.standing, found.load.other) == ("not known", ())
    assert found.load.unknown == ("V2", "V4") and "at least 0.6 A" in found.load.text
    assert (found.as_dict()["unknown"], found.as_dict()["not_counted"]) == (["V2", "V4"], [])
    text = page_text(as_visitor.get(plan.get_absolute_url()))
    assert "What V2, V4 draw is not known" in text and "within its rating" not in text
    sheet = page_text(as_visitor.get(f"{plan.get_absolute_url()}start/{plan.sets.get().tag}/"))
    assert "whether the heater winding bears it is not known" in sheet


def test_what_is_in_a_position_without_a_type_counts(model, today):
    socket(model, "V1", "6SN7GT")
    untold = PositionFactory(set_model=model, mark="V2", type=None)
    plan = planned(model)
    FittingFactory(position=untold, chassis=plan.sets.get(), tube=TubeFactory(type=TubeTypeFactory(name="6SN7GT")))
    found = power(plan, today)
    assert found.load.standing == "over" and found.warning


def test_strings_and_supplies_that_nobody_recorded(model, today):
    for mark in ("V1", "V2"):
        socket(model, mark, "6K7", heater_branch="A")
    assert "series strings" in power(planned(model), today).why_not
    bare = SetModelFactory(name="Bare RX", neutralizing="none")
    PositionFactory(set_model=bare, mark="V1", type=TubeTypeFactory(name="6K7"))
    plan = PlanFactory(name="Bare", sets=[ChassisFactory(model=bare)])
    assert "not recorded" in power(plan, today).why_not


def test_another_rectifier(as_visitor, model, today):
    position = socket(model, "V8", "5U4G", heater_v=5.0, output_ma=125, plate_v=350)
    plan = planned(model)
    FittingFactory(position=position, chassis=plan.sets.get(), tube=TubeFactory(type=TubeTypeFactory(name="5Y3GT")))
    (rail,) = power(plan, today).rails
    assert rail.volts == pytest.approx(-20.26, abs=0.01) and "from memory" in " ".join(rail.sources).lower()
    assert "about 20 V less of plate supply at 125 mA" in page_text(as_visitor.get(plan.get_absolute_url()))


def test_a_rectifier_whose_drop_nobody_knows(model, today):
    position = socket(model, "V8", "5U4G", heater_v=5.0, output_ma=125)
    plan = planned(model)
    FittingFactory(position=position, chassis=plan.sets.get(), tube=TubeFactory(type=TubeTypeFactory(name="80")))
    (rail,) = power(plan, today).rails
    assert rail.volts is None and "the drop of 80 is not known" in rail.text


def test_pairs_to_neutralize_afterwards(as_visitor, today):
    model = SetModelFactory(name="Skerry TX", neutralizing="unit")
    position = socket(model, "V5", "807", neutralized=True)
    plan = planned(model)
    chassis = plan.sets.get()
    unit = PlugInUnitFactory(model=UnitModelFactory(fits=[model]))
    FittingFactory(position=position, chassis=chassis, tube__state="dud")
    NeutralizationFactory(chassis=chassis, unit=unit)
    TubeFactory(type=TubeTypeFactory(name="807"))
    found = power(plan, today)
    assert len(found.due) == 1 and unit.tagged in found.due[0]
    assert "To neutralize afterwards" in page_text(as_visitor.get(plan.get_absolute_url()))


def test_more_positions_cost_no_more_questions(model, today):
    plan = planned(model)
    socket(model, "V1", "6K7", neutralized=True)
    few = cost(lambda: readiness(plan.name, today))
    for number in range(8):
        socket(model, f"V1{number}", "6K7", neutralized=True)
    assert cost(lambda: readiness(plan.name, today)) == few
