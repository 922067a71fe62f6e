"""Rows for tests. Parents and dates agree: a chassis that is fitted has the model of its position, and so on.

Set models, unit models, serials and people are invented; tube types are real.
"""

from datetime import timedelta

import factory
from django.utils import timezone
from factory.django import DjangoModelFactory

from inventory.holdings.models import Item, Place, Tube
from inventory.pairing.models import Companion, CompanionCheck, CompanionKind, Disturbance, Neutralization
from inventory.sets.models import Bay, Chassis, Fitting, PlugInUnit, Position, Seating, SetModel, UnitModel
from tubes.models import Designation, Source, TubeType


def days_ago(number):
    return timezone.localdate() - timedelta(days=number)


class SourceFactory(DjangoModelFactory):
    class Meta:
        model = Source

    key = factory.Sequence(lambda n: f"bench-book-{n}")
    title = factory.Sequence(lambda n: f"Bench book {n}")


class TubeTypeFactory(DjangoModelFactory):
    class Meta:
        model = TubeType
        django_get_or_create = ("name",)

    name = "6SN7GT"


class DesignationFactory(DjangoModelFactory):
    class Meta:
        model = Designation

    type = factory.SubFactory(TubeTypeFactory)
    scheme = "maker"
    designation = factory.Sequence(lambda n: f"ZZ{n}")
    source = factory.SubFactory(SourceFactory)


class PlaceFactory(DjangoModelFactory):
    class Meta:
        model = Place

    code = factory.Sequence(lambda n: f"D{n}")
    path = factory.LazyAttribute(lambda row: f"{row.parent.path} / {row.code}" if row.parent else row.code)
    parent = None


class ItemFactory(DjangoModelFactory):
    class Meta:
        model = Item

    kind = Item.TUBE
    tag = factory.Sequence(lambda n: f"X-{n:04d}")


class TubeFactory(DjangoModelFactory):
    class Meta:
        model = Tube

    class Params:
        place = None
        lent_to = ""
        gone_on = None

    item = factory.SubFactory(
        ItemFactory,
        place=factory.SelfAttribute("..place"),
        lent_to=factory.SelfAttribute("..lent_to"),
        lent_on=factory.LazyAttribute(lambda row: days_ago(2) if row.lent_to else None),
        gone_on=factory.SelfAttribute("..gone_on"),
    )
    type = factory.SubFactory(TubeTypeFactory)
    marked = factory.LazyAttribute(lambda row: row.type.name if row.type else "no mark")
    state = Tube.GOOD


class SetModelFactory(DjangoModelFactory):
    class Meta:
        model = SetModel

    name = factory.Sequence(lambda n: f"Brindlemoor TX {n}")
    neutralizing = SetModel.IN_UNIT


class PositionFactory(DjangoModelFactory):
    class Meta:
        model = Position

    set_model = factory.SubFactory(SetModelFactory)
    mark = factory.Sequence(lambda n: f"V{1000 + n}")
    type = factory.SubFactory(TubeTypeFactory)


class BayFactory(DjangoModelFactory):
    class Meta:
        model = Bay

    set_model = factory.SubFactory(SetModelFactory)
    mark = factory.Sequence(lambda n: f"bay {n}")


class UnitModelFactory(DjangoModelFactory):
    class Meta:
        model = UnitModel
        skip_postgeneration_save = True

    name = factory.Sequence(lambda n: f"Brindlemoor drawer {n}")
    low_kc = 1500.0
    high_kc = 3000.0

    @factory.post_generation
    def fits(self, create, models, **kwargs):
        self.fits.set(models or [])


class ChassisFactory(DjangoModelFactory):
    class Meta:
        model = Chassis

    class Params:
        place = None

    item = factory.SubFactory(ItemFactory, kind=Item.CHASSIS, place=factory.SelfAttribute("..place"))
    model = factory.SubFactory(SetModelFactory)
    serial = factory.Sequence(lambda n: f"9{n:04d}")


class PlugInUnitFactory(DjangoModelFactory):
    class Meta:
        model = PlugInUnit

    class Params:
        place = None

    item = factory.SubFactory(ItemFactory, kind=Item.UNIT, place=factory.SelfAttribute("..place"))
    model = factory.SubFactory(UnitModelFactory)
    serial = factory.Sequence(lambda n: f"7{n:04d}")


class FittingFactory(DjangoModelFactory):
    class Meta:
        model = Fitting

    position = factory.SubFactory(PositionFactory)
    chassis = factory.SubFactory(ChassisFactory, model=factory.SelfAttribute("..position.set_model"))
    tube = factory.SubFactory(TubeFactory, type=factory.SelfAttribute("..position.type"))
    since = factory.LazyFunction(lambda: days_ago(100))


class SeatingFactory(DjangoModelFactory):
    class Meta:
        model = Seating

    bay = factory.SubFactory(BayFactory)
    chassis = factory.SubFactory(ChassisFactory, model=factory.SelfAttribute("..bay.set_model"))
    unit = factory.LazyAttribute(
        lambda row: PlugInUnitFactory(model=UnitModelFactory(fits=[row.chassis.model])),
    )
    since = factory.LazyFunction(lambda: days_ago(100))


class NeutralizationFactory(DjangoModelFactory):
    class Meta:
        model = Neutralization

    chassis = factory.SubFactory(ChassisFactory)
    unit = factory.LazyAttribute(lambda row: PlugInUnitFactory(model=UnitModelFactory(fits=[row.chassis.model])))
    on = factory.LazyFunction(lambda: days_ago(50))
    setting = "34.5"


class DisturbanceFactory(DjangoModelFactory):
    class Meta:
        model = Disturbance

    chassis = factory.SubFactory(ChassisFactory)
    cause = "knock"
    on = factory.LazyFunction(lambda: days_ago(20))


class CompanionKindFactory(DjangoModelFactory):
    class Meta:
        model = CompanionKind

    set_model = factory.SubFactory(SetModelFactory)
    name = "calibration book"


class CompanionFactory(DjangoModelFactory):
    class Meta:
        model = Companion

    class Params:
        place = None

    item = factory.SubFactory(ItemFactory, kind=Item.COMPANION, place=factory.SelfAttribute("..place"))
    kind = factory.SubFactory(CompanionKindFactory)
    serial_reading = "missing"
    mate_serial = factory.Sequence(lambda n: f"4{n:04d}")


class CompanionCheckFactory(DjangoModelFactory):
    class Meta:
        model = CompanionCheck

    companion = factory.SubFactory(CompanionFactory)
    chassis = factory.SubFactory(ChassisFactory, model=factory.SelfAttribute("..companion.kind.set_model"))
    outcome = CompanionCheck.MATCHED
    on = factory.LazyFunction(lambda: days_ago(10))


class EveryState:
    """A small house in which every state of the pairing table occurs; ``expected`` is worked out by hand.

    Two chassis of one model whose capacitor sits in the plug-in unit, one chassis of a model without neutralized
    position, two units, three companions.
    """

    def __init__(self):
        self.model = SetModelFactory(name="Ostercape TX 5", neutralizing=SetModel.IN_UNIT)
        self.plain = SetModelFactory(name="Tarnhollow RX 2", neutralizing=SetModel.NONE)
        low = UnitModelFactory(name="Ostercape drawer low", fits=[self.model, self.plain], low_kc=1500, high_kc=3000)
        high = UnitModelFactory(name="Ostercape drawer high", fits=[self.model], low_kc=3000, high_kc=6000)
        self.first = ChassisFactory(model=self.model, serial="0458")
        self.second = ChassisFactory(model=self.model, serial="01432")
        self.third = ChassisFactory(model=self.plain, serial="61")
        self.low = PlugInUnitFactory(model=low, serial="0458")
        self.high = PlugInUnitFactory(model=high, serial="77")
        NeutralizationFactory(chassis=self.first, unit=self.high, on=days_ago(50), setting="34.5")
        NeutralizationFactory(chassis=self.second, unit=self.high, on=days_ago(40), setting="41")
        book, coils, crystal = (
            CompanionKindFactory(set_model=self.model, name=name)
            for name in ("calibration book", "coil set", "crystal")
        )
        CompanionFactory(kind=book, mate_serial="0458")
        CompanionFactory(kind=book, mate_serial="999", kept_with=self.second)
        CompanionFactory(kind=crystal, mate_serial="", mate_reading="unreadable")
        self.kinds = (book, coils, crystal)

    #: (serial of the chassis, model and serial of the unit) -> state, setting
    UNITS = {
        ("0458", "Ostercape drawer low", "0458"): ("presumed", None),  # equal plates, never neutralized here
        ("0458", "Ostercape drawer high", "77"): ("reset and verify", "34.5"),  # the unit was set for 01432 later
        ("01432", "Ostercape drawer low", "0458"): ("due", None),  # another plate, no record
        ("01432", "Ostercape drawer high", "77"): ("good", "41"),
        ("61", "Ostercape drawer low", "0458"): ("not needed", None),
    }
    COMPANIONS = {
        ("0458", "calibration book", "0458"): ("matched", None),
        ("01432", "calibration book", "999"): ("not matched", None),
        ("0458", "coil set", None): ("mate missing", None),
        ("01432", "coil set", None): ("mate missing", None),
        (None, "crystal", None): ("unknown", None),
        ("0458", "crystal", None): ("unknown", None),
        ("01432", "crystal", None): ("unknown", None),
    }
    expected = UNITS | COMPANIONS
