"""Twice the rows take no more questions: no page asks once a row. One growing world serves all of these tests."""

from types import SimpleNamespace

import pytest
from django.db import transaction
from django.test import Client

from inventory.house.access import add_person
from tests import factories as make
from tests.counting import again, answered, statements
from tests.house.world import ADDRESSES, OPEN, POST_ONLY, World
from tests.rooms import stand
from tests.shared import settled

pytestmark = pytest.mark.django_db
PAGES = [name for name, (needs, *_) in ADDRESSES.items() if name not in POST_ONLY and needs != OPEN]


def populate(count, world):
    """``count`` more of everything that a list shows, all hanging on the one world."""
    for number in range(count):
        place = make.PlaceFactory(parent=world.place)
        make.TubeFactory(type=world.type, place=place, state="untested")
        make.TubeFactory(type=world.type, place=world.place)
        make.TubeFactory(type=world.type)  # without a place
        kind = make.TubeTypeFactory(name=f"ZY{world.count}-{number}")
        make.DesignationFactory(type=kind)
        make.DesignationFactory(type=world.type)
        model = make.SetModelFactory()
        position = make.PositionFactory(set_model=world.model, type=kind, neutralized=True)
        make.BayFactory(set_model=world.model)
        chassis = make.ChassisFactory(model=world.model)
        make.ChassisFactory(model=model, place=place)
        unit_model = make.UnitModelFactory(fits=[world.model, model])
        unit = make.PlugInUnitFactory(model=unit_model)
        make.FittingFactory(position=position, chassis=world.chassis, tube__state="weak")
        make.FittingFactory(position=world.position, chassis=chassis, tube__state="weak")
        make.FittingFactory(
            position=world.position, chassis=chassis, tube=world.tube, until=make.days_ago(100), note=str(number)
        )
        make.SeatingFactory(bay=world.free_bay, chassis=chassis, unit=unit)
        make.NeutralizationFactory(chassis=world.chassis, unit=unit)
        make.NeutralizationFactory(chassis=chassis, unit=world.unit)
        make.DisturbanceFactory(chassis=world.chassis)
        make.DisturbanceFactory(chassis=None, unit=world.unit)
        companion_kind = make.CompanionKindFactory(set_model=world.model, name=f"coil {world.count}-{number}")
        make.CompanionKindFactory(set_model=model, name="book")
        make.CompanionFactory(kind=companion_kind, kept_with=chassis, place=world.place)
        make.CompanionFactory(kind=world.kind, mate_serial=f"{number}", kept_with=world.chassis)
        make.CompanionCheckFactory(companion=world.companion, chassis=world.chassis)
        stand("grow", world, number)
        world.tube.note = f"{world.count}-{number}"
        world.tube.save()
        world.tube.item.movements.create(from_path="D1", to_path="D1", on=world.today)
    world.count += 1


@pytest.fixture(scope="module")
def grown(django_db_setup, django_db_blocker, request):
    """The world with ten more of everything, what each page asks then, and ten more again."""
    asked = {item.callspec.params.get("name") for item in request.session.items if hasattr(item, "callspec")}
    with django_db_blocker.unblock(), transaction.atomic():
        world = World()
        client = Client()
        client.force_login(add_person("somebody", "keeper", None))
        world.count = 0
        populate(10, world)
        look_up = client.get(world.address("frontpage:look-up")).context
        before = {name: questions(client, world.address(name)) for name in PAGES if name in asked}
        populate(10, world)
        client.get(world.address("frontpage:look-up"))  # what is worked out anew after a change of types is at hand
        yield settled(SimpleNamespace(world=world, client=client, before=before, look_up=look_up))
        transaction.set_rollback(True)


def questions(client, address):
    """What a page asks the database when it is asked for the second time."""
    return again(lambda: answered(client, address))


def test_ten_of_everything_are_seen(grown):
    assert len(grown.look_up["found"].matches) == 1 and len(grown.look_up["pieces"]) > 20


@pytest.mark.parametrize("name", PAGES)
def test_twice_the_rows_take_no_more_questions(grown, name):
    before, address = grown.before[name], grown.world.address(name)
    after = statements(lambda: answered(grown.client, address))
    if len(after) != len(before):  # what is cold costs more, never less
        after = questions(grown.client, address)
    assert len(after) == len(before), "\n".join(sorted({q for q in after if after.count(q) > 1})[:5])
