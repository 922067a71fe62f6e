"""Two people open the form of one position, or of one bay: what the second never saw is not thrown out."""

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from inventory.pairing.queries import pairing_table
from inventory.pairing.queries.upset import pairs_undone
from inventory.sets.actions import fit, seat
from inventory.sets.models import Fitting, Seating
from tests.factories import (
    BayFactory,
    ChassisFactory,
    FittingFactory,
    NeutralizationFactory,
    PlugInUnitFactory,
    PositionFactory,
    TubeFactory,
    UnitModelFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def v1(days_ago):
    position = PositionFactory(mark="V1", type=None, neutralized=False)
    chassis = ChassisFactory(model=position.set_model)
    return FittingFactory(chassis=chassis, position=position, tube=TubeFactory(), since=days_ago(9))


def hidden(page):
    return page.context["form"]["seen"].value()


def test_a_tube_that_the_second_never_saw_stays(v1, today, days_ago, as_keeper):
    one, two = TubeFactory(), TubeFactory()
    address = reverse("sets:tube-fit", args=[v1.chassis.tag, v1.position_id])
    seen = hidden(as_keeper.get(address))
    sent = {"since": days_ago(1), "replace": "on", "other_type": "on", "seen": seen}
    assert as_keeper.post(address, sent | {"tube": one.tag}).status_code == 302
    late = as_keeper.post(address, sent | {"tube": two.tag, "since": today})
    told = f"V1 now holds {one.tag}, not {v1.tube.tag}; look again."
    assert late.status_code == 422 and told in late.content.decode()
    assert Fitting.objects.get(position=v1.position, until=None).tube == one
    again = sent | {"tube": two.tag, "since": today, "seen": hidden(late)}  # looked at again, and meant
    assert as_keeper.post(address, again).status_code == 302
    assert Fitting.objects.get(position=v1.position, until=None).tube == two


def test_the_action_itself_refuses_what_was_not_seen(v1, today, keeper):
    row = Fitting(chassis=v1.chassis, position=v1.position, tube=TubeFactory(), since=today)
    for seen in ("T-9999", "nothing"):
        with pytest.raises(ValidationError, match=f"V1 now holds {v1.tube.tag}, not {seen}; look again"):
            fit(row, today=today, by=keeper, replace=True, seen=seen)
    assert fit(row, today=today, by=keeper, replace=True, seen=v1.tube.tag).pk


def test_a_bay_that_another_unit_was_put_into(today, days_ago, keeper, as_keeper):
    chassis = ChassisFactory()
    bay = BayFactory(set_model=chassis.model, mark="A")
    model = UnitModelFactory(fits=[chassis.model])
    one, two = PlugInUnitFactory(model=model), PlugInUnitFactory(model=model)
    address = reverse("sets:seat", args=[chassis.tag, bay.pk])
    sent = {"since": today, "seen": hidden(as_keeper.get(address))}
    assert as_keeper.post(address, sent | {"unit": one.pk, "since": days_ago(1)}).status_code == 302
    late = as_keeper.post(address, sent | {"unit": two.pk})
    assert late.status_code == 422 and f"Bay A now holds {one.tag}, not nothing; look again." in late.content.decode()
    assert Seating.objects.get(until=None).unit == one
    with pytest.raises(ValidationError, match="look again"):
        seat(two, chassis, bay, since=today, today=today, by=keeper, seen="nothing")


@pytest.mark.parametrize(("neutralized", "was", "after"), [(False, "presumed", "presumed"), (True, "good", "due")])
def test_an_empty_position_says_what_the_fold_will_say(neutralized, was, after, today, days_ago, keeper, as_keeper):
    """The first tube on record in a position is nothing recorded against a pair that is only presumed."""
    position = PositionFactory(mark="V103", type=None, neutralized=True)
    chassis = ChassisFactory(model=position.set_model, serial="01432")
    unit = PlugInUnitFactory(model=UnitModelFactory(fits=[chassis.model]), serial="01432")
    if neutralized:
        NeutralizationFactory(chassis=chassis, unit=unit, on=days_ago(3), setting="42")
    (row,) = pairing_table(today)
    assert row.state == was
    page = as_keeper.get(reverse("sets:tube-fit", args=[chassis.tag, position.pk])).content.decode()
    assert "Another tube" not in page
    assert ("A tube in this empty neutralized position makes" in page) is (after == "due")
    assert bool(pairs_undone(chassis, position)) is (after == "due")
    fit(Fitting(chassis=chassis, position=position, tube=TubeFactory(), since=today), today=today, by=keeper)
    (row,) = pairing_table(today)
    assert row.state == after
    assert bool(pairs_undone(chassis, position)) is (row.state != "due")  # with a tube in it another one undoes
