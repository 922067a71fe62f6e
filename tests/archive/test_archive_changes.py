"""The archive after whatever may happen to a collection: out, into an empty database, out again, byte for byte.

Each example is a row of steps of one kind or another, each through the action that a person's page calls; a step that
an action refuses has happened to nobody. What is compared are all members, as one sees them who unpacks both files.
"""

import random

import pytest
from django.core.exceptions import ValidationError
from django.db import connection, transaction
from django.utils import timezone
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from inventory.archive.actions.out import export_collection
from inventory.archive.actions.take_in import import_collection
from inventory.holdings.actions import (
    REST_MISSING,
    add_facts,
    add_tubes,
    begin_count,
    change_tube,
    close_count,
    lend,
    let_go,
    move,
    move_place,
    note_hazards,
    save_want,
    scan,
    settle_hazard,
    settle_want,
    take_back,
    take_back_entry,
    tick,
)
from inventory.holdings.actions.conditions import note_condition
from inventory.holdings.models import ConditionCheck, Fact, HazardMark, Item, Place, StockTake, Tube, Want
from inventory.house.access import add_person
from inventory.house.records.actions import strike_out
from inventory.lists.actions.undo import undo
from inventory.lists.models import ImportRun
from inventory.pairing.models import Disturbance, Neutralization
from inventory.sets.actions import change_serialled, fit, take_out
from inventory.sets.models import Chassis, Fitting
from tests import factories as make
from tests.archive.test_archive import members
from tests.archive.world import empty
from tests.lists.importing_lists import take
from tubes.actions import drop_designation, save_designation, save_type
from tubes.models import Designation, TubeType

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


@pytest.fixture(autouse=True)
def media(tmp_path, settings):
    settings.MEDIA_ROOT = tmp_path / "media"


def back_again(tmp_path):
    """Both archives' members: of this database, and of an empty one that took the first in."""
    export_collection(tmp_path / "a.zip")
    empty()
    import_collection(tmp_path / "a.zip")
    export_collection(tmp_path / "b.zip")
    return members(tmp_path / "a.zip"), members(tmp_path / "b.zip")


def alike(before, after):
    assert sorted(before) == sorted(after)
    assert [name for name in before if before[name] != after[name]] == []


@pytest.mark.parametrize("rows", [2, 3, 7])
def test_an_undone_list_with_hazards_alike(keeper, tmp_path, rows):
    """Rows that are gone and alike in every word have only their numbers to tell them apart."""
    lines = "".join(f"866A,1,Bin {n},mercury inside\n" for n in range(rows))
    found, _ = take("Tube,Qty,Place,Notes\n" + lines, by=keeper)
    assert HazardMark.objects.count() == rows
    undo(found.run, by=keeper)
    assert not Item.objects.exists() and HazardMark.history.count() == 2 * rows
    alike(*back_again(tmp_path))


def test_the_third_archive_is_the_first(keeper, tmp_path):
    """Gone rows of the first collection, then new ones that go in the second: numbers of either sort."""
    for name in ("one.csv", "two.csv"):
        lines = "".join(f"866A,1,Bin {n},mercury inside\n" for n in range(2))
        found, _ = take("Tube,Qty,Place,Notes\n" + lines, by=keeper, name=name)
        undo(found.run, by=keeper)
        alike(*back_again(tmp_path))
        keeper = type(keeper).objects.get(username=keeper.username)


def test_an_undone_list_names_no_number_of_the_database(keeper, tmp_path):
    """What a list made besides its things is named by keys, or an undo in another house would take the wrong place."""
    for number in range(5):
        make.PlaceFactory(code=f"gone {number}").delete()
    found, _ = take("Tube,Qty,Place\n807,1,Bin 3\n", by=keeper)
    bin3 = Place.objects.get(path="Bin 3")
    assert found.run.counts["made_places"] == [bin3.pk]
    before, after = back_again(tmp_path)
    alike(before, after)
    assert b'"made_places": ["Bin 3"]' in before["data/import_runs.jsonl"]
    run = ImportRun.objects.get()
    assert run.counts["made_places"] == [Place.objects.get(path="Bin 3").pk] != [bin3.pk]


class House:
    """A small collection and the steps that may be taken in it; each picks its things with the example's own dice."""

    def __init__(self, keeper, dice):
        self.by, self.dice, self.today = keeper, dice, timezone.localdate()
        room = make.PlaceFactory(code="Hall", path="Hall")
        for code in ("A", "B"):
            make.PlaceFactory(code=code, parent=room)
        self.kept = make.TubeFactory(place=Place.objects.get(path="Hall / A"), state="good")
        position = make.PositionFactory(neutralized=True)
        chassis = make.ChassisFactory(model=position.set_model)
        make.NeutralizationFactory(chassis=chassis)
        make.DisturbanceFactory(chassis=chassis)

    def one(self, rows):
        found = list(rows.order_by("pk"))
        if not found:
            raise ValidationError("nothing of that kind")
        return self.dice.choice(found)

    def tube(self):
        return self.one(Tube.objects.select_related("item__place"))

    def add(self):
        add_tubes(Tube(marked=self.dice.choice(["807", "6SN7GT", "Ω 1"])), by=self.by, on=self.today, count=2,
                  place=self.one(Place.objects.all()))  # fmt: skip

    def change(self):
        tube = self.tube()
        tube.state, tube.note = self.dice.choice(["good", "weak", "dud"]), self.dice.choice(["", "leans", "\u2028x"])
        change_tube(tube, by=self.by, reason="tested")

    def move(self):
        move([self.tube().item], self.one(Place.objects.all()), on=make.days_ago(self.dice.randrange(5)), by=self.by)

    def delete(self):
        made = add_tubes(Tube(marked="807"), by=self.by, on=self.today, count=self.dice.choice([1, 2]))
        take_back_entry([tube.item_id for tube in made], by=self.by)

    def take_in(self):
        note = self.dice.choice(["mercury inside", "mercury inside", "sealed"])
        name = f"{ImportRun.objects.count()}.csv"
        take(f"Tube,Qty,Place,Notes\n866A,2,New bin,{note}\n5R4,1,,{name}\n", by=self.by, name=name)

    def undo(self):
        undo(self.one(ImportRun.objects.filter(state=ImportRun.WRITTEN)), by=self.by)

    def strike(self):
        event = self.one(self.dice.choice([Neutralization, Disturbance]).objects.filter(struck=""))
        strike_out(event, "of another set", by=self.by)

    def lend(self):
        lend(self.tube().item, "Ebb Street radio club", on=self.today, by=self.by)

    def take_back(self):
        take_back(self.one(Item.objects.exclude(lent_to="")), on=self.today, by=self.by)

    def part_with(self):
        let_go(self.tube().item, "given away", on=self.today, by=self.by)

    def hazard(self):
        note_hazards(self.tube().item, ["mercury"], standing=HazardMark.PROPOSED, reason="", on=self.today, by=self.by)

    def settle(self):
        settle_hazard(self.one(HazardMark.objects.all()), standing=HazardMark.CONFIRMED, reason="seen", on=self.today,
                      by=self.by)  # fmt: skip

    def fact(self):
        about, text, scale = self.dice.choice(
            [("paid", "4 for $10", {}), ("reading", "2250/1200", {"unit": "micromho"}), ("asked", "12/6", {})]
        )
        add_facts(self.tube().item, about, text, by=self.by, today=self.today, **scale)

    def look(self):
        told = {"on": self.today, "by_whom": "I. Crane", "state": self.dice.choice(["base loose", "as it came"])}
        note_condition(ConditionCheck(item=self.tube().item, **told), by=self.by, today=self.today)

    def strike_fact(self):
        strike_out(self.one(Fact.objects.filter(struck="")), "of another tube", by=self.by)

    def want(self):
        save_want(Want(thing=self.dice.choice(["VT-231", "book 0458"]), since=self.today), today=self.today, by=self.by)

    def settle_want(self):
        settle_want(self.one(Want.objects.filter(settled="")), "bought", by=self.by)

    def fit(self):
        chassis = self.one(Chassis.objects.all())
        tube, position = self.tube(), self.one(chassis.model.positions.all())
        row = Fitting(tube=tube, chassis=chassis, position=position, since=self.today)
        fit(row, today=self.today, by=self.by)

    def take_out(self):
        take_out(self.one(Fitting.objects.filter(until=None)), until=self.today, today=self.today, by=self.by)

    def serial(self):
        chassis = self.one(Chassis.objects.all())
        chassis.serial = self.dice.choice(["01432", "0458"])
        change_serialled(chassis, by=self.by, twin_confirmed=True)

    def move_place(self):
        move_place(self.one(Place.objects.all()), self.dice.choice([None, *Place.objects.all()]), on=self.today,
                   by=self.by)  # fmt: skip

    def drop_place(self):
        place = make.PlaceFactory(code=f"box {self.dice.randrange(2)}", path=f"box {Place.history.count()}")
        self.kept.item.place = place
        self.kept.item.save()
        self.kept.item.place = None
        self.kept.item.save()
        place.delete()

    def count(self):
        take = begin_count(place=self.one(Place.objects.all()), percent=None, seed=0, on=self.today, by=self.by)
        tick(take, take.lines.values_list("pk", flat=True)[:1], "found", on=self.today, by=self.by)

    def scan(self):
        scan(self.one(StockTake.objects.filter(closed=None)), self.tube().tag, on=self.today, by=self.by)

    def close(self):
        close_count(self.one(StockTake.objects.filter(closed=None)), on=self.today, by=self.by, rest=REST_MISSING,
                    move_found=True)  # fmt: skip

    def know(self):
        row = save_type(TubeType(name=f"ZZ{TubeType.history.count()}", hazard="radium"), by=self.by)
        source = make.SourceFactory()
        save_designation(Designation(type=row, scheme="maker", designation="ZZ9A", source=source), by=self.by)

    def forget(self):
        drop_designation(self.one(Designation.objects.filter(origin="keeper")), by=self.by)

    def pass_on(self, tmp_path):
        """The collection changes houses in the middle of it all."""
        back_again(tmp_path)
        name = self.by.username  # whom no record names is not in an archive
        self.by = type(self.by).objects.filter(username=name).first() or add_person(name, "keeper", None)
        self.kept = Tube.objects.select_related("item").get(item__tag=self.kept.item.tag)


STEPS = sorted(name for name in vars(House) if name[0] != "_" and name not in ("one", "tube"))


EXAMPLES = 10 if connection.vendor == "sqlite" else 5  # the steps are the same; what differs is in each of them
PHASES = [Phase.explicit, Phase.generate]  # making an example smaller would take minutes


@settings(max_examples=EXAMPLES, deadline=None, suppress_health_check=list(HealthCheck), phases=PHASES)
@given(seed=st.integers(0, 2**32 - 1), steps=st.lists(st.sampled_from(STEPS), min_size=3, max_size=25))
def test_after_whatever_may_happen(keeper, tmp_path, seed, steps):
    with transaction.atomic():
        house = House(keeper, random.Random(seed))
        for step in steps:
            try:
                with transaction.atomic():
                    house.pass_on(tmp_path) if step == "pass_on" else getattr(house, step)()
            except ValidationError:
                continue
        alike(*back_again(tmp_path))
        transaction.set_rollback(True)


def test_every_step_can_be_taken(keeper, tmp_path):
    """No step is one that is always refused, or it would test nothing."""
    house = House(keeper, random.Random(3))
    order = ["add", "take_in", "undo", "count", "scan", "lend", "take_back", "fact", "hazard", "know", "fit", "want"]
    for step in [*order, *(name for name in STEPS if name not in order)]:
        for _ in range(40):
            try:
                with transaction.atomic():
                    house.pass_on(tmp_path) if step == "pass_on" else getattr(house, step)()
                break
            except ValidationError as refusal:
                last = refusal
        else:
            raise AssertionError(step) from last
    connection.check_constraints()
