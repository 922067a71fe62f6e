"""What is proposed has changed since the page that shows it was opened. All is invented."""

import pytest
from django.core.exceptions import ValidationError

from inventory.holdings.models import PartLot
from inventory.restoration.actions import reserve_all, reserve_at, reserve_line
from inventory.restoration.models import Requirement, Reservation
from inventory.restoration.queries.allotment import allotment
from inventory.restoration.queries.proposed import changed, proposed
from tests.factories import ChassisFactory, ItemFactory, PositionFactory, SetModelFactory, TubeFactory, TubeTypeFactory
from tests.pages import page_text
from tests.restoration.rows import PartTypeFactory, PlanFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def kind():
    return TubeTypeFactory(name="6K7")


@pytest.fixture
def plan(kind):
    model = SetModelFactory(name="Marram RX", neutralizing="none")
    PositionFactory(set_model=model, mark="V1", type=kind, heater_v=6.3)
    return PlanFactory(name="Marram in the shed", sets=[ChassisFactory(model=model, serial="0417")])


@pytest.fixture
def line(plan):
    return Requirement.objects.create(plan=plan, words="filter", type=PartTypeFactory(), quantity=2)


def a_lot(line, least):
    item = ItemFactory(kind="parts")
    return PartLot.objects.create(item=item, name="capacitor", type=line.type, least=least, most=least)


def test_another_tube_than_was_shown_is_not_reserved(as_keeper, plan, kind):
    first, chassis = TubeFactory(type=kind), plan.sets.get()
    address = f"{plan.get_absolute_url()}reserve/{chassis.tag}/{chassis.model.positions.get().pk}/"
    seen = {"seen": f"{first.tag}, good"}
    first.state = "dud"
    first.save()
    other = TubeFactory(type=kind)
    told = page_text(as_keeper.post(address, seen, follow=True))
    assert f"now no longer {first.tag}, good, but {other.tag}, good. Nothing was reserved; look at it" in told
    told = page_text(as_keeper.post(address, follow=True))
    assert "What the page showed did not come with it." in told and not Reservation.objects.exists()
    assert f'name="seen" value="{other.tag}, good"' in told  # the page shows it as it is: pressed again, it is meant
    as_keeper.post(address, {"seen": f"{other.tag}, good"})
    assert Reservation.objects.get().item == other.item


def test_other_pieces_than_were_shown_are_not_reserved(plan, line, keeper, today):
    one = a_lot(line, 2)
    key = "line", line.pk, 0
    PartLot.objects.filter(pk=one.pk).update(least=1, most=1)
    other = a_lot(line, 1)
    with pytest.raises(ValidationError, match=f"no longer 2 of {one.tag}, but 1 of {one.tag}; 1 of {other.tag}"):
        reserve_line(plan, key, on=today, by=keeper, seen=f"2 of {one.tag}")
    assert not Reservation.objects.exists()
    reserve_line(plan, key, on=today, by=keeper, seen=f"1 of {one.tag}; 1 of {other.tag}")
    assert Reservation.objects.count() == 2


def test_a_whole_plan_is_reserved_as_it_was_shown(as_keeper, plan, line, kind, keeper, today):
    one, lot = TubeFactory(type=kind), a_lot(line, 2)
    chassis = plan.sets.get()
    seen = as_keeper.get(plan.get_absolute_url()).context["seen"]
    assert seen == f"{chassis.tag} V1: {one.tag}, good; {chassis.tag} filter: 2 of {lot.tag}"
    rival = PlanFactory(sets=[ChassisFactory(model=chassis.model)], priority=1)
    with pytest.raises(ValidationError, match=f"no longer {chassis.tag} V1: {one.tag}, good. Nothing"):
        reserve_all(plan, on=today, by=keeper, seen=seen)
    told = page_text(as_keeper.post(f"{plan.get_absolute_url()}reserve/", {"seen": seen}, follow=True))
    assert "What is proposed has changed since the page was shown" in told and not Reservation.objects.exists()
    reserve_all(plan, on=today, by=keeper, seen=proposed(plan, allotment()).seen)
    reserve_at(rival, rival.sets.get(), chassis.model.positions.get(), on=today, by=keeper)  # nobody was shown anything
    assert Reservation.objects.count() == 2


def test_what_changed_is_named_and_not_all_of_it():
    assert changed("a; b", "a; b") == "" and changed("", "") == ""
    assert "now b; c; d and 1 more." in changed("a", "a; b; c; d; e")
    assert "now no longer a." in changed("a", "")
    assert "in another order" in changed("a; b", "b; a")
