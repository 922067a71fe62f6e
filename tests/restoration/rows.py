"""Rows of the restoration area for tests, and what the worlds of other tests hold of it. Names are invented."""

from datetime import timedelta

import factory
from django.core.files.uploadedfile import SimpleUploadedFile
from factory.django import DjangoModelFactory

from inventory.holdings.models import PartLot, PartType
from inventory.restoration.forms.findings import field_key
from inventory.restoration.models import Finding, Plan, Requirement, Reservation, WeakPart, WeakSaid, Work
from tests import factories as make
from tests.factories import ChassisFactory, PositionFactory, TubeFactory, days_ago
from tests.running.rows import TubeTestFactory


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
    "restoration:plan-spares": ("view", "plan.pk"),
    "restoration:set-spares": ("view", "chassis.tag"),
    "restoration:spares": ("view",),
    "restoration:spares-want": ("change",),
    "restoration:spares-unwant": ("change",),
    "restoration:plan-change": ("change", "plan.pk"),
    "restoration:reserve-all": ("change", "plan.pk"),
    "restoration:release-all": ("change", "plan.pk"),
    "restoration:reserve-one": ("change", "plan.pk", "chassis.tag", "position.pk"),
    "restoration:release": ("change", "reservation.pk"),
    "restoration:reserve-parts": ("change", "plan.pk"),
    "restoration:release-parts": ("change", "requirement.pk"),
    "restoration:requirement-add": ("add", "plan.pk"),
    "restoration:requirement-change": ("change", "requirement.pk"),
    "restoration:requirement-here": ("change", "requirement.pk"),
    "restoration:requirement-strike": ("change", "requirement.pk"),
    "restoration:work-add": ("add", "plan.pk"),
    "restoration:work-change": ("change", "work.pk"),
    "restoration:work-strike": ("change", "work.pk"),
    "restoration:start-sheet": ("view", "plan.pk", "chassis.tag"),
    "restoration:start-sheet-paper": ("view", "plan.pk", "chassis.tag"),
    "restoration:findings-add": ("add", "plan.pk", "chassis.tag"),
    "restoration:progress": ("view", "plan.pk"),
    "restoration:report": ("view", "plan.pk"),
    "restoration:report-paper": ("view", "plan.pk"),
    "restoration:finding-change": ("change", "finding.pk"),
    "restoration:finding-strike": ("change", "finding.pk"),
    "restoration:set": ("view", "chassis.tag"),
    "restoration:weak-add": ("add", "model.pk"),
    "restoration:weak-change": ("change", "weak.pk"),
    "restoration:weak-word-add": ("add", "weak.pk"),
    "restoration:weak-word-change": ("change", "weak_said.pk"),
    "restoration:weak-word-strike": ("change", "weak_said.pk"),
    "restoration:weak-parts-in": ("add",),
    "restoration:api-readiness": ("view",),
    "restoration:api-allocation": ("view",),
    "restoration:api-spares": ("view",),
    "restoration:api-buying-order": ("view",),
}
FILES = ("restoration:start-sheet-paper", "restoration:report-paper")
POST_ONLY = (
    "restoration:reserve-all", "restoration:release-all", "restoration:reserve-one", "restoration:release",
    "restoration:reserve-parts", "restoration:release-parts", "restoration:requirement-here",
    "restoration:spares-want", "restoration:spares-unwant",
)  # fmt: skip
QUERIES = {
    "restoration:api-readiness": "name=ZZ5-MIL",
    "restoration:api-spares": "rate=2.5e-5&hours=3000",
    "restoration:api-buying-order": "name=ZZ5-MIL&budget=250 EUR",
}


#: As ``FORMS`` of ``tests.house.test_forms``.
TRIED = {
    "restoration:plan-add": (
        {
            "name": "Spring work", "aim": "restore", "sets": lambda w: [w.other_chassis.pk], "hours": "800",
            "assurance": "0.9", "priority": "2", "state": "planned",
        },
        lambda w: list(Plan.objects.get(name="Spring work").sets.all()) == [w.other_chassis],
        ("assurance", "1"),
    ),
    "restoration:plan-change": (
        {
            "name": "Autumn work", "aim": "keep running", "sets": lambda w: [w.chassis.pk], "hours": "800",
            "assurance": "0.9", "priority": "2", "state": "at work",
        },
        lambda w: Plan.objects.get(pk=w.plan.pk).aim == Plan.KEEP,
        ("ended", lambda w: w.today + timedelta(days=1)),
    ),
    "restoration:requirement-add": (
        {"kind": "tool", "words": "shorting stick", "quantity": "1", "before_power": "on"},
        lambda w: Requirement.objects.get(words="shorting stick").before_power,
        ("type", lambda w: w.part_type.pk),
    ),
    "restoration:requirement-change": (
        {"kind": "work", "words": "new cord", "quantity": "1", "done_on": lambda w: w.today},
        lambda w: Requirement.objects.get(pk=w.requirement.pk).done_on == w.today,
        ("done_on", lambda w: w.today + timedelta(days=1)),
    ),
    "restoration:requirement-strike": (
        {"why": "not wanted"},
        lambda w: Requirement.objects.get(pk=w.requirement.pk).struck == "not wanted",
        ("why", ""),
    ),
    "restoration:work-add": (
        {"chassis": lambda w: w.chassis.pk, "words": "filter renewed", "on": lambda w: w.today, "reversible": "yes"},
        lambda w: Work.objects.get(words="filter renewed").plan == w.plan,
        ("used", "3"),
    ),
    "restoration:work-change": (
        {"chassis": lambda w: w.chassis.pk, "words": "filter renewed", "on": lambda w: w.today, "reason": "misread"},
        lambda w: Work.objects.get(pk=w.work.pk).words == "filter renewed",
        ("on", lambda w: w.today + timedelta(days=1)),
    ),
    "restoration:work-strike": (
        {"why": "of another set"}, lambda w: Work.objects.get(pk=w.work.pk).struck == "of another set", ("why", ""),
    ),
    "restoration:findings-add": (
        {"on": lambda w: w.today, f"{field_key('plates')}-result": "noted on paper"},
        lambda w: Finding.objects.get(result="noted on paper").step == "plates",
        ("on", lambda w: w.today + timedelta(days=1)),
    ),
    "restoration:finding-change": (
        {"result": "as typed again", "all_well": "true", "on": lambda w: w.today, "reason": "misread"},
        lambda w: Finding.objects.get(pk=w.finding.pk).all_well,
        ("on", lambda w: w.today + timedelta(days=1)),
    ),
    "restoration:finding-strike": (
        {"why": "of another set"}, lambda w: Finding.objects.get(pk=w.finding.pk).struck == "of another set",
        ("why", ""),
    ),
    "restoration:weak-add": (
        {"mark": "C40", "words": "paper capacitor", "quantity": "2", "source": "bench book"},
        lambda w: WeakPart.objects.get(mark="C40").set_model == w.model,
        ("quantity", "0"),
    ),
    "restoration:weak-change": (
        {"mark": "C41", "words": "paper capacitor", "quantity": "2"},
        lambda w: WeakPart.objects.get(pk=w.weak.pk).mark == "C41",
        ("words", ""),
    ),
    "restoration:weak-parts-in": (
        {"file": lambda w: SimpleUploadedFile("weak.csv", f"set model,part\n{w.model.name},listed part\n".encode())},
        lambda w: not WeakPart.objects.filter(words="listed part").exists(),
        ("order", "year"),
    ),
    "restoration:weak-word-add": (
        {"verdict": "leave alone", "source": "letter of a friend", "page": "2", "on": lambda w: w.today},
        lambda w: WeakSaid.objects.get(source="letter of a friend").weak == w.weak,
        ("on", lambda w: w.today + timedelta(days=1)),
    ),
    "restoration:weak-word-change": (
        {"verdict": "always fails", "source": "bench book, leaf 9"},
        lambda w: WeakSaid.objects.get(pk=w.weak_said.pk).source == "bench book, leaf 9",
        ("verdict", "perhaps"),
    ),
    "restoration:weak-word-strike": (
        {"why": "of another model"},
        lambda w: WeakSaid.objects.get(pk=w.weak_said.pk).struck == "of another model",
        ("why", ""),
    ),
}  # fmt: skip


def in_the_world(world):
    """One row of every sort with the world's word, as ``tests.house.world`` keeps them."""
    word, today = world.word, world.today
    world.plan = PlanFactory(name=word, note=word, sets=[world.chassis], priority=1)
    Plan.objects.get_or_create(name="ZZ5-MIL", defaults={"state": Plan.LAID_ASIDE})
    world.other_chassis = ChassisFactory(model=world.model)
    world.part_type = PartTypeFactory(words=word)
    world.weak = WeakPart.objects.create(set_model=world.model, words=word, type=world.part_type, why=word, source=word)
    world.weak_said = WeakSaid.objects.create(
        weak=world.weak, verdict="check", source=word, page=word[:40], on=today, words=word
    )
    world.requirement = Requirement.objects.create(plan=world.plan, words=word, note=word, type=world.part_type)
    kept = TubeFactory(type=world.type, marked=word)
    read = TubeFactory(type=world.type, marked=word)  # a spare that was read, for a position that is empty
    TubeTestFactory(tube=read, instrument=world.instrument)
    PositionFactory(set_model=world.model, type=world.type)
    free = PositionFactory(set_model=world.model, type=world.type)
    world.reservation = Reservation.objects.create(
        plan=world.plan, item=kept.item, chassis=world.chassis, position=free, why=word, on=today
    )
    world.work = Work.objects.create(plan=world.plan, chassis=world.chassis, words=word, on=today, note=word)
    world.finding = Finding.objects.create(plan=world.plan, chassis=world.chassis, step=word, result=word, on=today)


def grow(world, number):
    """Another row of everything that a list of this area shows, all hanging on the one world."""
    chassis = ChassisFactory(model=world.model)
    plan = PlanFactory(sets=[chassis], priority=2 + number % 8)
    PartTypeFactory()
    more = WeakPart.objects.create(set_model=world.model, words=f"more {number}", type=world.part_type)
    for verdict in ("always fails", "leave alone"):
        WeakSaid.objects.create(weak=more, verdict=verdict, source=f"leaf {number}")
        WeakSaid.objects.create(weak=world.weak, verdict=verdict, source=f"leaf {number}")
    Finding.objects.create(
        plan=world.plan, chassis=world.chassis, step="plates", result=f"more {number}", on=world.today
    )
    Finding.objects.create(
        plan=world.plan, chassis=world.chassis, step=f"more {number}", all_well=False, on=world.today
    )
    for one in (plan, world.plan):
        Requirement.objects.create(plan=one, words=f"more {number}", type=PartTypeFactory())
        Work.objects.create(plan=one, chassis=chassis, words=f"more {number}", on=days_ago(number))
    TubeTestFactory(tube=TubeFactory(type=world.type), instrument=world.instrument, on=days_ago(400))


def in_the_archive(fitting):
    """A row of each model, one changed and one struck out, for the test of the archive."""
    chassis = fitting.chassis
    plan = PlanFactory(sets=[chassis], note="=plan")
    kind = PartTypeFactory(words="paper, upright")
    weak = WeakPart.objects.create(set_model=chassis.model, mark="C12", words="filter", type=kind, source="bench book")
    said = WeakSaid.objects.create(weak=weak, verdict="always fails", source="=bench book", on=days_ago(9))
    said.page = "leaf 4"
    said.save()
    WeakSaid.objects.create(weak=weak, verdict="leave alone", source="letter", struck="of another model")
    line = Requirement.objects.create(plan=plan, chassis=chassis, words="new cord", kind="work", before_power=True)
    line.struck = "not wanted after all"
    line.save()
    Requirement.objects.create(plan=plan, chassis=chassis, words="its filter", weak=weak, done_on=days_ago(1))
    spare = make.TubeFactory(type=fitting.tube.type)
    Reservation.objects.create(
        plan=plan, item=spare.item, chassis=chassis, position=fitting.position, why="the best", on=days_ago(2)
    )
    asked = Requirement.objects.create(plan=plan, words="grid coupling", type=kind, quantity=3)
    lot = PartLot.objects.create(item=make.ItemFactory(kind="parts"), name="capacitor", type=kind, least=4, most=5)
    kept = Reservation.objects.create(plan=plan, item=lot.item, requirement=asked, quantity=3, on=days_ago(2))
    kept.quantity = 2
    kept.save()
    Finding.objects.create(
        plan=plan,
        chassis=chassis,
        step="heater-volts 6.3",
        asked="Heater voltage",
        reading_text="6.3 V",
        reading=6.3,
        unit="V",
        result="at V1",
        on=days_ago(1),
        all_well=True,
    )
    Work.objects.create(
        plan=plan, chassis=chassis, words="tube put in", put_in=spare.item, on=days_ago(1), before="58", after="92",
        reversible="yes",
    )  # fmt: skip
