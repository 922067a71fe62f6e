"""Rows of the running area for tests, and what the worlds of other tests hold of it. Names and serials are invented."""

import factory
from factory.django import DjangoModelFactory

from inventory.running.models import (
    Care,
    CareDone,
    EarlierHours,
    HoursCorrection,
    Instrument,
    MatchedSet,
    MatchedTube,
    Meter,
    MeterReading,
    Run,
    TubeTest,
    TypeMinimum,
)
from tests import factories as make
from tests.factories import ChassisFactory, TubeFactory, days_ago


class InstrumentFactory(DjangoModelFactory):
    class Meta:
        model = Instrument

    name = factory.Sequence(lambda n: f"Bench tester {n}")
    scale = "micromho"


class TubeTestFactory(DjangoModelFactory):
    class Meta:
        model = TubeTest

    tube = factory.SubFactory(TubeFactory)
    instrument = factory.SubFactory(InstrumentFactory)
    on = factory.LazyFunction(lambda: days_ago(5))
    reading = 2000.0
    reading_text = factory.LazyAttribute(lambda row: f"{row.reading:g}" if row.reading is not None else "")
    shorts = TubeTest.NONE_FOUND


class RunFactory(DjangoModelFactory):
    class Meta:
        model = Run

    chassis = factory.SubFactory(ChassisFactory)
    on = factory.LazyFunction(lambda: days_ago(10))
    hours = 5.0


class MeterFactory(DjangoModelFactory):
    class Meta:
        model = Meter

    chassis = factory.SubFactory(ChassisFactory)
    since = factory.LazyFunction(lambda: days_ago(300))


def in_the_world(world):
    """One row of every sort with the world's word, as ``tests.house.world`` keeps them."""
    word, today = world.word, world.today
    said = {"by_whom": word, "note": word}
    world.run = RunFactory(chassis=world.chassis, **said)
    world.meter = MeterFactory(chassis=world.chassis, serial=word, note=word)
    world.meter_reading = MeterReading.objects.create(meter=world.meter, on=days_ago(60), wheels="00100.0", **said)
    world.earlier = EarlierHours.objects.create(tube=world.tube, standing="known", hours=12.0, reason=word)
    world.correction = HoursCorrection.objects.create(tube=world.tube, on=days_ago(20), hours=1.5, reason=word, **said)
    world.instrument = InstrumentFactory(name=word, makers_kind=word, serial=word, note=word)
    world.other_instrument = InstrumentFactory(scale="percent")
    world.minimum = TypeMinimum.objects.create(
        instrument=world.instrument, type=world.type, minimum=1200, settings=word, source=word
    )
    asked = {"instrument": world.instrument, "section": word[:12], "settings": word, "gas": word, **said}
    world.test = TubeTestFactory(tube=world.tube, **asked)
    world.mate = make.TubeFactory(type=world.type, marked=word)
    world.mate_test = TubeTestFactory(tube=world.mate, reading=2040.0, **asked)
    world.one, world.two = (TubeTestFactory(tube__type=world.type, instrument=world.instrument) for _ in range(2))
    world.matched = MatchedSet.objects.create(
        instrument=world.instrument, made_on=today, mismatch_pct=2, tolerance_pct=10, note=word
    )
    for test in (world.test, world.mate_test):
        MatchedTube.objects.create(matched_set=world.matched, tube=test.tube, test=test)
    world.care = Care.objects.create(work="oil", words=word, item=world.chassis.item, every_hours=100, since=today)
    world.care_done = CareDone.objects.create(care=world.care, item=world.chassis.item, on=today, **said)


def grow(world, number):
    """Another row of everything that a list of this area shows, all hanging on the one world."""
    said = {"note": f"{world.count}-{number}"}
    RunFactory(chassis=world.chassis, on=days_ago(20 + number), **said)
    chassis = ChassisFactory(model=world.model)
    RunFactory(chassis=chassis)
    meter = MeterFactory(chassis=chassis)
    for day, wheels in ((60, "00010.0"), (30, "00060.0")):
        MeterReading.objects.create(meter=meter, on=days_ago(day), wheels=wheels)
    MeterReading.objects.create(meter=world.meter, on=days_ago(50 - number), wheels=f"{100 + number:05d}.0")
    HoursCorrection.objects.create(tube=world.tube, on=days_ago(9), hours=1, reason="more")
    kind = make.TubeTypeFactory(name=f"ZW{world.count}-{number}")
    instrument = InstrumentFactory()
    TypeMinimum.objects.create(instrument=world.instrument, type=kind, minimum=10, source="chart")
    for one in (world.instrument, instrument):
        TubeTestFactory(tube=world.tube, instrument=one, on=days_ago(40 + number), reading=1900.0 + number)
    tests = [TubeTestFactory(tube__type=world.type, instrument=world.instrument) for _ in range(2)]
    row = MatchedSet.objects.create(instrument=world.instrument, made_on=world.today, mismatch_pct=1, tolerance_pct=10)
    for test in tests:
        MatchedTube.objects.create(matched_set=row, tube=test.tube, test=test)
    care = Care.objects.create(work="test", item=tests[0].tube.item, every_months=12, since=days_ago(400))
    CareDone.objects.create(care=care, item=tests[0].tube.item, on=days_ago(2))
    hours = Care.objects.create(work="oil", item=chassis.item, every_hours=50, since=days_ago(400))
    CareDone.objects.create(care=hours, item=chassis.item, on=days_ago(200))


def in_the_archive(fitting):
    """A row of each model, one changed and one struck out, for the test of the archive."""
    tube, chassis = fitting.tube, fitting.chassis
    run = RunFactory(chassis=chassis)
    run.struck = "twice"
    run.save()
    meter = MeterFactory(chassis=chassis, serial="=E-117")
    MeterReading.objects.create(meter=meter, on=days_ago(3), wheels="00143.7", starts=4)
    EarlierHours.objects.create(tube=tube, standing="estimated", hours=40.5)
    HoursCorrection.objects.create(tube=tube, on=days_ago(3), hours=-1.5, reason="counted twice")
    test = TubeTestFactory(tube=tube, minimum=1200.0, minimum_text="1200")
    other = TubeTestFactory(tube__type=tube.type, instrument=test.instrument, reading=2050.0)
    TypeMinimum.objects.create(instrument=test.instrument, type=tube.type, minimum=1100, source="roll chart")
    row = MatchedSet.objects.create(instrument=test.instrument, made_on=days_ago(1), mismatch_pct=2.5, tolerance_pct=10)
    for one in (test, other):
        MatchedTube.objects.create(matched_set=row, tube=one.tube, test=one)
    care = Care.objects.create(work="oil", item=chassis.item, every_hours=150, since=days_ago(100))
    CareDone.objects.create(care=care, item=chassis.item, on=days_ago(9))
