"""A neutralized position without a tube by the register is told before a set goes on the air (common practice)."""

import pytest
from django.urls import reverse

from inventory.pairing.queries import on_air, pair_in_depth
from inventory.pairing.wording.on_air import to_do
from tests.factories import (
    ChassisFactory,
    FittingFactory,
    NeutralizationFactory,
    PlugInUnitFactory,
    PositionFactory,
    UnitModelFactory,
)
from tests.pages import page_text

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
