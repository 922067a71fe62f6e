"""A collection in which every model of the archive has rows, with histories, files, and rows that are gone."""

from datetime import timedelta
from io import BytesIO

from django.apps import apps
from django.contrib.auth import get_user_model
from django.core.files.base import ContentFile
from django.utils import timezone
from PIL import Image

from inventory.holdings.models import (
    BoxPrint,
    Fact,
    HazardMark,
    Item,
    Paper,
    PartLot,
    StockTake,
    StockTakeLine,
    TagSeries,
    Want,
)
from inventory.house.access import add_person
from inventory.house.areas import areas
from inventory.lists.models import ImportMade, ImportMapping, ImportRow, ImportRun
from inventory.pairing.models import OnAirRecord
from inventory.restoration.models import Work
from inventory.sets.models import Approval, MatedPart, MatedSet
from tests import factories as make
from tests.rooms import stand
from tubes.models import Basing, Designation, JanMaker, Limit, Rating, RatingSource, Source, TubeType

SERIAL = "=01432"


def picture(colour: str) -> bytes:
    file = BytesIO()
    Image.new("RGB", (40, 30), colour).save(file, "JPEG")
    return file.getvalue()


def fill() -> None:
    """Something of everything. Names, serials and people are invented; tube types are real."""
    keeper = add_person("margit", "keeper", "pass-Word-of-a-test")
    helper = add_person("helper-2", "helper", None)
    _knowledge()
    room = make.PlaceFactory(code="Z", path="Z", name="Room\nwith a line end")
    drawer = make.PlaceFactory(code="a", path="Z / a", parent=room)
    early = make.PlaceFactory(code="A", parent=room)
    early.parent, early.path = None, "A"  # its older state names a place that stands further down
    early.save()
    TagSeries.objects.create(prefix="T", last=7)
    tube = make.TubeFactory(
        type=TubeType.objects.get(name="ZZ9"), place=drawer, note='<script>alert("x")</script> "Ω\u2028'
    )
    for state in ("weak", "dud"):
        tube.state = state
        tube._history_user = helper
        tube._change_reason = "tested"
        tube.save()
    make.TubeFactory(type=None, marked="6Н8С", lent_to="Ebb Street radio club")
    make.TubeFactory(gone_on=make.days_ago(3))
    for number in (2, 1):
        tube.item.movements.create(from_path="Z", to_path=f"Z / {number}", on=make.days_ago(4), by=keeper)
    lot = make.ItemFactory(kind=Item.PARTS, tag="P-0001", place=drawer)
    PartLot.objects.create(item=lot, name="capacitor", value="0.01 mfd", least=12, to_count=True)
    _sets(drawer)
    _papers(tube.item, lot, keeper)
    _counts(drawer, tube.item, lot, keeper)
    _imports(lot, helper)
    _gone(helper)


def _knowledge() -> None:
    source = Source.objects.create(key="own-notes", title="Own notes")
    own = TubeType.objects.create(name="ZZ9", hazard="mercury; keep upright")
    of_table = TubeType.objects.get(name="807")
    of_table.hazard = "large bulb"
    of_table.save()
    JanMaker.objects.create(code="CXX", maker="An invented works", source=source)
    table_source = Source.objects.filter(origin="table").order_by("key").first()
    Designation.objects.create(type=own, scheme="maker", designation="ZZ9A", source=table_source)
    rating = Rating.objects.create(type=of_table, heater_v=6.3, note="own reading")
    RatingSource.objects.create(rating=rating, field="heater_v", source=source, grade="from memory")
    Limit.objects.create(key="judge.mu_low", value=0.7, unit="ratio", meaning="own", source=source)
    Basing.objects.create(code="ZZ9", socket="octal", pins="1=K 2=P", source=table_source)


def _sets(drawer) -> None:
    fitting = make.FittingFactory(position__neutralized=True)
    make.FittingFactory(
        position=fitting.position, chassis=fitting.chassis, until=fitting.since, since=make.days_ago(150)
    )
    stand("in_the_archive", fitting)
    word = Approval.objects.create(
        position=fitting.position,
        type=make.TubeTypeFactory(),
        verdict="refused",
        on=make.days_ago(30),
        source="own bench",
    )
    word.words = "hums"
    word.save()
    seating = make.SeatingFactory()
    chassis, unit = seating.chassis, seating.unit
    chassis.serial, chassis.note = SERIAL, "changed"
    chassis.save()
    chassis.model.bridge = {"np": 12, "ca": 1.5, "nn": None}
    chassis.model.save()
    make.NeutralizationFactory(chassis=chassis, unit=unit, readings=[[30, 1.5], [31, 1]], frequency_kc=3600)
    make.DisturbanceFactory(chassis=None, unit=unit)
    make.DisturbanceFactory(chassis=chassis, unit=unit)
    OnAirRecord.objects.create(chassis=chassis, unit=unit, on=make.days_ago(8), plate_ma=102.5)
    check = make.CompanionCheckFactory(companion__place=drawer)
    check.note = "looked again"
    check.save()
    net = MatedSet.objects.create(name="Net Gull", kind="net", number="G-7")
    MatedPart.objects.create(
        mated_set=net, name="channel A", frequency_kc=3885, item=check.companion.item, number="G-7"
    )
    missing = MatedPart.objects.create(mated_set=net, name="channel B", frequency_kc=4495)
    missing.note = "never seen here"
    missing.save()


def _papers(item: Item, lot: Item, keeper) -> None:
    for number, colour in enumerate(("red", "blue")):
        paper = Paper(item=item, kind="photograph", digest=f"{number:064}", caption=f"the {colour} side", by=keeper)
        paper.file.save(f"{colour}.jpg", ContentFile(picture(colour)), save=False)
        paper.thumbnail.save(f"{colour}.jpg", ContentFile(picture(colour)), save=False)
        paper.save()
        paper.caption += " <b>"
        paper.save()
        Work.objects.latest("pk").photographs.add(paper)
    paper = Paper(item=lot, kind="paper", digest="f" * 64, dated=make.days_ago(900))
    paper.file.save("letter.pdf", ContentFile(b"%PDF-1.4 a letter %%EOF"), save=False)
    paper.save()
    fact = Fact.objects.create(item=lot, about="paid", text="DM 20", value="20", currency="DEM", by=keeper)
    fact.struck = "of another lot"
    fact.save()
    kind = make.TubeTypeFactory(name="807")
    wanted = {"currency": "GBP", "purpose": "Ostercape TX 5", "since": make.days_ago(9)}
    want = Want.objects.create(thing="VT-100", type=kind, top_price="12.50", quantity=3, **wanted)
    Want.objects.create(thing="book 0458, its cover =gone", since=make.days_ago(8))
    want.settled = "bought"
    want.save()
    HazardMark.objects.create(item=lot, hazard="PCB oil", reason="oil, before 1979", on=make.days_ago(2))


def _counts(drawer, item: Item, lot: Item, keeper) -> None:
    for number in (1, 2):
        count = StockTake.objects.create(
            place=drawer if number == 1 else None, began=make.days_ago(5 - number), by=keeper
        )
        StockTakeLine.objects.create(stock_take=count, item=lot, expected_path="Z / a", outcome="found")
        StockTakeLine.objects.create(stock_take=count, item=item, expected_path="Z / a")
    BoxPrint.objects.create(place=drawer, digest="0" * 64)


def _imports(lot: Item, helper) -> None:
    ImportMapping.objects.create(
        name="grandfather", columns={"Röhre": "type", "b": "count"}, options={"day_first": True}
    )
    for number in (1, 2):
        run = ImportRun.objects.create(
            file_name="list.csv", digest="1" * 64, state="written", heading=["a", ""], by=helper
        )
        for line in (1, 2):
            row = ImportRow.objects.create(run=run, row=line, line=line + 1, cells=["3+1", None, 2], outcome="written")
        if number == 2:
            ImportMade.objects.create(row=row, item=lot, facts={"price": {"each": "5", "currency": "USD"}})


def _gone(helper) -> None:
    """Rows that were taken away and live on in the history, named by the histories of rows that stayed."""
    box = make.PlaceFactory(code="box", path="box")
    stayed = make.ItemFactory(place=box, tag="X-STAYED")
    moved = make.ItemFactory(place=box, tag="X-GONE")
    lot = PartLot.objects.create(item=moved, name="knob")
    lot._history_user = helper
    lot.delete()
    moved.delete()
    stayed.place = None
    stayed.save()
    box.delete()
    lonely = PartLot.objects.create(item=stayed, name="a row of parts that went while its thing stayed")
    lonely.delete()
    taken_back = Designation.objects.create(
        type=TubeType.objects.get(name="ZZ9"),
        scheme="maker",
        designation="ZZ9B",
        source=Source.objects.get(key="own-notes"),
    )
    taken_back.delete()
    passing = make.FittingFactory()
    passing.delete()


def age() -> None:
    """Moments that are set by themselves lie in the past, so that setting them anew would show."""
    for model in every_model():
        for field in model._meta.concrete_fields:
            if getattr(field, "auto_now", False) or getattr(field, "auto_now_add", False):
                model._base_manager.update(**{field.name: timezone.now() - timedelta(days=400)})


def every_model() -> list:
    return [model for area in areas() for model in apps.get_app_config(area).get_models(include_auto_created=True)]


def empty() -> None:
    """Take every row away, histories and accounts included; what refers to what is only looked at in the end."""
    for model in every_model():
        model._base_manager.all()._raw_delete(using="default")
    people = get_user_model()
    for relation in (people.groups.through, people.user_permissions.through, people):
        relation._base_manager.all()._raw_delete(using="default")
