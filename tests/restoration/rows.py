"""Rows of the restoration area for tests, and what the worlds of other tests hold of it. Names are invented."""

import factory
from factory.django import DjangoModelFactory

from inventory.holdings.models import PartType
from inventory.restoration.models import Finding, Plan, Requirement, Reservation, WeakPart, Work
from tests import factories as make
from tests.factories import ChassisFactory, PositionFactory, TubeFactory, days_ago


class PlanFactory(DjangoModelFactory):
    class Meta:
        model = Plan
        skip_postgeneration_save = True

    name = factory.Sequence(lambda n: f"Winter work {n}")

    @factory.post_generation
    def sets(self, create, given, **_):
        self.sets.set(given if given is not None else [ChassisFactory()])


class PartTypeFactory(DjangoModelFactory):
    class Meta:
        model = PartType

    kind = "capacitor"
    value = factory.Sequence(lambda n: 10_000.0 + n)
    volts = 600.0


ADDRESSES = {
    "restoration:plan-list": ("view",),
    "restoration:plan-add": ("add",),
    "restoration:assignment": ("view",),
    "restoration:plan": ("view", "plan.pk"),
    "restoration:plan-change": ("change", "plan.pk"),
    "restoration:keep-all": ("change", "plan.pk"),
    "restoration:let-all-go": ("change", "plan.pk"),
    "restoration:keep-one": ("change", "plan.pk", "chassis.tag", "position.pk"),
    "restoration:let-go": ("change", "reservation.pk"),
    "restoration:requirement-add": ("add", "plan.pk"),
    "restoration:requirement-change": ("change", "requirement.pk"),
    "restoration:requirement-strike": ("change", "requirement.pk"),
    "restoration:work-add": ("add", "plan.pk"),
    "restoration:work-change": ("change", "work.pk"),
    "restoration:work-strike": ("change", "work.pk"),
    "restoration:set": ("view", "chassis.tag"),
    "restoration:weak-add": ("add", "model.pk"),
    "restoration:weak-change": ("change", "weak.pk"),
    "restoration:part-types": ("view",),
    "restoration:part-type-add": ("add",),
    "restoration:part-type-change": ("change", "part_type.pk"),
    "restoration:api-readiness": ("view",),
    "restoration:api-allocation": ("view",),
}
POST_ONLY = ("restoration:keep-all", "restoration:let-all-go", "restoration:keep-one", "restoration:let-go")
QUERIES = {"restoration:api-readiness": "name=ZZ5-MIL"}


def in_the_world(world):
    """One row of every sort with the world's word, as ``tests.house.world`` keeps them."""
    word, today = world.word, world.today
    world.plan = PlanFactory(name=word, note=word, sets=[world.chassis])
    Plan.objects.get_or_create(name="ZZ5-MIL", defaults={"state": Plan.LAID_ASIDE})
    world.part_type = PartTypeFactory(words=word)
    world.weak = WeakPart.objects.create(set_model=world.model, words=word, type=world.part_type, why=word, source=word)
    world.requirement = Requirement.objects.create(plan=world.plan, words=word, note=word, type=world.part_type)
    kept = TubeFactory(type=world.type, marked=word)
    free = PositionFactory(set_model=world.model, type=world.type)
    world.reservation = Reservation.objects.create(
        plan=world.plan, item=kept.item, chassis=world.chassis, position=free, why=word, on=today
    )
    world.work = Work.objects.create(plan=world.plan, chassis=world.chassis, words=word, on=today, note=word)
    world.finding = Finding.objects.create(plan=world.plan, chassis=world.chassis, step=word, result=word, on=today)


def grow(world, number):
    """Another row of everything that a list of this area shows, all hanging on the one world."""
    chassis = ChassisFactory(model=world.model)
    plan = PlanFactory(sets=[chassis], priority=1 + number % 9)
    PartTypeFactory()
    WeakPart.objects.create(set_model=world.model, words=f"more {number}", type=world.part_type)
    for one in (plan, world.plan):
        Requirement.objects.create(plan=one, words=f"more {number}", type=PartTypeFactory())
        Work.objects.create(plan=one, chassis=chassis, words=f"more {number}", on=days_ago(number))
    TubeFactory(type=world.type, state="good")


def in_the_archive(fitting):
    """A row of each model, one changed and one struck out, for the test of the archive."""
    chassis = fitting.chassis
    plan = PlanFactory(sets=[chassis], note="=plan")
    kind = PartTypeFactory(words="paper, upright")
    weak = WeakPart.objects.create(set_model=chassis.model, mark="C12", words="filter", type=kind, source="bench book")
    line = Requirement.objects.create(plan=plan, chassis=chassis, words="new cord", kind="work", before_power=True)
    line.struck = "not wanted after all"
    line.save()
    Requirement.objects.create(plan=plan, chassis=chassis, words="its filter", weak=weak, done_on=days_ago(1))
    spare = make.TubeFactory(type=fitting.tube.type)
    Reservation.objects.create(
        plan=plan, item=spare.item, chassis=chassis, position=fitting.position, why="the best", on=days_ago(2)
    )
    Finding.objects.create(plan=plan, chassis=chassis, step="filaments", result="6.3 V", on=days_ago(1), all_well=True)
    Work.objects.create(
        plan=plan, chassis=chassis, words="tube put in", put_in=spare.item, on=days_ago(1), before="58", after="92",
        reversible="yes",
    )  # fmt: skip
