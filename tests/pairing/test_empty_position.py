"""A neutralized position without a tube by the register is told before a set goes on the air (common practice)."""

import json

import pytest
from django.core.management import call_command
from django.urls import reverse

from inventory.pairing.queries import on_air, pair_in_depth
from inventory.pairing.wording.on_air import to_do
from inventory.sets.models import SetModel
from tests.factories import (
    ChassisFactory,
    FittingFactory,
    NeutralizationFactory,
    PlugInUnitFactory,
    PositionFactory,
    TubeTypeFactory,
    UnitModelFactory,
)
from tests.pages import page_text
from tests.running.rows import TubeTestFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def good(days_ago):
    """A pair neutralized when nothing was on record in V102."""
    position = PositionFactory(mark="V102", neutralized=True)
    chassis = ChassisFactory(model=position.set_model)
    unit = PlugInUnitFactory(model=UnitModelFactory(fits=[position.set_model]))
    NeutralizationFactory(chassis=chassis, unit=unit, on=days_ago(5), setting="42")
    return chassis, unit, position


def test_the_empty_position_comes_first(good, today, as_visitor):
    chassis, unit, _ = good
    (told,) = on_air(chassis, 2000, today).units
    assert told.row.state == "good"
    assert to_do(told) == ("Fit V102, empty by the register, then verify the null: it depends on the tube there.")
    assert pair_in_depth(chassis, unit, today).empty == ("V102",)
    page = page_text(as_visitor.get(reverse("pairing:pair", args=[chassis.tag, unit.tag])))
    assert "V102: none on record" in page and "V102, neutralized, is empty by the register" in page


def test_with_a_tube_there_nothing_is_to_do(good, today, days_ago, as_visitor):
    chassis, unit, position = good
    FittingFactory(chassis=chassis, position=position, since=days_ago(50))
    (told,) = on_air(chassis, 2000, today).units
    assert to_do(told) == "Nothing: the neutralization stands."
    page = page_text(as_visitor.get(reverse("pairing:pair", args=[chassis.tag, unit.tag])))
    assert "empty by the register" not in page


def test_what_is_due_is_told_after_it(good, today, days_ago):
    chassis, unit, position = good
    FittingFactory(chassis=chassis, position=position, since=days_ago(4), until=days_ago(3))
    NeutralizationFactory(chassis=ChassisFactory(model=chassis.model), unit=unit, on=days_ago(2), setting="8")
    (told,) = on_air(chassis, 2000, today).units
    assert told.row.state == "reset and verify"
    assert to_do(told) == "Set the dial to 42, then verify the null. Before that fit V102, empty by the register."


def test_another_empty_position_of_the_set_is_told_too(good, today, as_visitor, capsys):
    chassis, _, position = good
    FittingFactory(chassis=chassis, position=position)
    NeutralizationFactory(chassis=chassis, unit=good[1], on=today, setting="42")
    PositionFactory(set_model=chassis.model, mark="V103", type=TubeTypeFactory(name="866A"))
    (told,) = on_air(chassis, 2000, today).units
    words = "Fit V103, empty by the register. The neutralization stands."
    assert (told.row.state, to_do(told)) == ("good", words)
    asked_for = ("on_air", chassis.tag, "--frequency", "2 Mc")
    call_command(*asked_for, "--json")
    answer = json.loads(capsys.readouterr().out)
    assert answer["units"][0]["todo"] == words
    assert answer["empty_positions"] == [{"position": "V103", "wants": "866A"}]
    call_command(*asked_for)
    assert "Empty: V103, 866A wanted" in capsys.readouterr().out
    assert words in page_text(as_visitor.get(f"/on-air/{chassis.tag}/", {"frequency": "2 Mc"}))


@pytest.mark.parametrize("neutralized", [True, False])
def test_a_tube_in_doubt_is_told_with_the_unit(good, today, neutralized, capsys):
    chassis, unit, position = good
    fitting = FittingFactory(chassis=chassis, position=position)
    if not neutralized:
        other = PositionFactory(set_model=chassis.model, mark="V9")
        fitting = FittingFactory(chassis=chassis, position=other)
    NeutralizationFactory(chassis=chassis, unit=unit, on=today, setting="42")
    TubeTestFactory(tube=fitting.tube, shorts="found", reading=None)
    (told,) = on_air(chassis, 2000, today).units
    tube = f"{fitting.position.mark} {fitting.tube.tag}, last test shorted ("
    assert to_do(told).startswith(f"In doubt: {tube}") and "Nothing" not in to_do(told)
    assert ("verify the null" in to_do(told)) is neutralized
    assert ("The neutralization stands." in to_do(told)) is not neutralized


def test_a_set_that_needs_no_neutralization_names_its_empty_positions(today):
    position = PositionFactory(mark="V1", set_model__neutralizing=SetModel.NONE)
    chassis = ChassisFactory(model=position.set_model)
    for number in range(2, 9):
        PositionFactory(set_model=chassis.model, mark=f"V{number}")
    PlugInUnitFactory(model=UnitModelFactory(fits=[chassis.model]))
    (told,) = on_air(chassis, 2000, today).units
    assert to_do(told).startswith("Fit V1 and V2 and V3 and V4 and V5 and V6 and 2 more, empty by the register. ")
    assert "needs no neutralization" in to_do(told) and "Nothing" not in to_do(told)
