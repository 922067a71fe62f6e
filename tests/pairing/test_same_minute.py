"""Events of one minute, and settings without an order, as pages, ledger and commands tell them.

That nobody can tell the order within a minute is common practice, no source.
"""

import json
from datetime import time
from io import StringIO

import pytest
from django.core.management import call_command
from django.urls import reverse

from inventory.pairing.models import Neutralization
from inventory.pairing.queries import PairFilter, pairing_table, station_view, told_of, tubes_then
from inventory.sets.actions import fit
from inventory.sets.models import Fitting
from tests.factories import (
    ChassisFactory,
    FittingFactory,
    NeutralizationFactory,
    PlugInUnitFactory,
    PositionFactory,
    TubeFactory,
    UnitModelFactory,
)
from tests.pages import page_text

pytestmark = pytest.mark.django_db
LATER = "of the same minute as the neutralization and taken as later"


@pytest.fixture
def swapped(keeper, today, days_ago):
    """Neutralized at 21:50 with one tube, another fitted at 21:50."""
    position = PositionFactory(mark="V101", neutralized=True, type=None)
    chassis = ChassisFactory(model=position.set_model, serial="01432")
    unit = PlugInUnitFactory(model=UnitModelFactory(fits=[position.set_model]), serial="0458")
    old, new = TubeFactory(), TubeFactory()
    FittingFactory(chassis=chassis, position=position, tube=old, since=days_ago(100))
    null = Neutralization.objects.create(chassis=chassis, unit=unit, on=days_ago(1), at=time(21, 50), setting="42")
    fit(
        Fitting(tube=new, chassis=chassis, position=position, since=days_ago(1), since_at=time(21, 50)),
        replace=True,
        today=today,
        by=keeper,
    )
    return null, old, new


def test_a_tube_of_the_same_minute_is_due_on_every_side(swapped, today, as_visitor):
    null, _, new = swapped
    (row,) = pairing_table(today, PairFilter(chassis_key=null.chassis_id, kinds=("unit",)))
    assert row.state == "due" and LATER in row.reasons[0].text and new.tag in row.reasons[0].text
    assert station_view(today).states == (("due",),)
    out = StringIO()
    call_command("pairings", "--json", stdout=out)
    assert [pair["state"] for pair in json.loads(out.getvalue())] == ["due"]
    page = as_visitor.get(reverse("pairing:pair", args=[null.chassis.tag, null.unit.tag])).content.decode()
    assert LATER in page


def test_the_tubes_then_are_those_before_the_change(swapped, today, days_ago, as_visitor):
    null, old, _ = swapped
    assert tubes_then(null) == [("V101", [old.tag])]
    page = as_visitor.get(reverse("pairing:neutralization", args=[null.pk])).content.decode()
    assert f"A tube was changed then, {LATER}" in page
    lines = [line for line in told_of(chassis=null.chassis, on=today).lines if line.day == days_ago(1)]
    assert [line.kind for line in lines] == ["tube changed", "neutralized"]  # the latest first
    assert f"Tubes then: V101 {old.tag}; a tube change is {LATER}" in lines[1].text


def test_two_records_without_an_order_offer_no_setting_in_one_tap(today, days_ago, as_keeper):
    one = NeutralizationFactory(setting="42", on=days_ago(9))
    NeutralizationFactory(chassis=one.chassis, unit=one.unit, setting="", on=days_ago(9))
    ask = f"{reverse('pairing:neutralize')}?chassis={one.chassis.tag}&unit={one.unit.tag}"
    page = page_text(as_keeper.get(ask))
    assert "dial 42 or not written down" in page and 'name="again"' not in page
    other = ChassisFactory(model=one.chassis.model)
    NeutralizationFactory(chassis=other, unit=one.unit, setting="57", on=days_ago(2))
    (row,) = pairing_table(today, PairFilter(chassis_key=one.chassis_id, kinds=("unit",)))
    assert (row.state, row.setting) == ("due", "42 or not written down")
    assert {state for line in station_view(today).states for state in line} == {"due", "good"}


def test_swaps_of_one_minute_are_told_in_the_order_in_which_they_must_have_gone(swapped, keeper, today, as_visitor):
    """What was there before comes out first, and what came in and went again did so in that order."""
    null, old, new = swapped
    last = TubeFactory()
    position = null.chassis.model.positions.get(mark="V101")
    row = Fitting(tube=last, chassis=null.chassis, position=position, since=null.on, since_at=null.at)
    fit(row, replace=True, today=today, by=keeper)
    told = told_of(chassis=null.chassis, on=today).lines
    (line,) = [line for line in told if line.kind == "tube changed" and line.day == null.on]
    assert line.text == f"V101: {old.tag} out, {new.tag} in, {new.tag} out, {last.tag} in."
