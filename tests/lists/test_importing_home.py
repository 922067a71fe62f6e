"""A list that this program took out comes home into an empty database: same marks, states, spares, serials, lots."""

import csv
import io
from collections import Counter

import pytest
from django.apps import apps
from django.urls import reverse

from inventory.holdings.actions import lend, let_go
from inventory.holdings.lists_out import PARTS
from inventory.holdings.models import Fact, Item, PartLot, PartType, TagSeries, Tube
from inventory.holdings.queries import FACT_COLUMNS
from inventory.holdings.queries.standing import STANDING_COLUMNS as standing
from inventory.house.areas import areas
from inventory.lists.actions.answers import answer_held
from inventory.lists.rules import fields as f
from inventory.lists.rules.own_lists import OWN_LISTS, own_list, proposals
from inventory.lists.rules.own_lists import STANDING_COLUMNS as own_standing
from inventory.lists.rules.rows import HELD
from inventory.pairing.lists_out import COMPANIONS
from inventory.pairing.models import Companion
from inventory.sets.lists_out import CHASSIS, TUBES, UNITS
from inventory.sets.models import Chassis, PlugInUnit
from inventory.sets.queries import stock_of
from tests import factories as make
from tests.lists.importing_lists import take
from tubes.models import TubeType

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


def taken_out(client, name, shape="csv"):
    return b"".join(client.get(reverse("lists:list-out", args=[name]), {"as": shape}).streaming_content)


def emptied():
    """Everything that is owned leaves the database without a trace; the tables of types stay."""
    for area in [label for label in reversed(areas()) if label != "tubes"]:
        for model in apps.get_app_config(area).get_models(include_auto_created=True):
            model._base_manager.all()._raw_delete(model._base_manager.db)


def spares():
    """Good and untested tubes on the shelf by type, and those without a type."""
    names = TubeType.objects.filter(tubes__isnull=False).values_list("name", flat=True)
    stock = {name: stock_of([name]) for name in names}
    loose = Tube.objects.filter(type=None, item__gone_on=None).count()
    return {name: (one.good, one.untested, one.weak, one.dud, one.lent) for name, one in stock.items()} | {"": loose}


def a_type(name):
    return name and TubeType.objects.get(name=name)


def shelf(keeper, today):
    place = make.PlaceFactory(code="Bin 4", parent=make.PlaceFactory(code="Hall"))
    odd = make.PlaceFactory(code="B-3, B-4")
    for marked, name, state in (
        ("6SN7GT", "6SN7GT", "good"), ("VT-231", "6SN7GT", "weak"), ("807", "807", "dud"), ("QX-99", None, "untested"),
        ("=A7", None, "good"), ("6SN7", "6SN7GT", "untested"),
    ):  # fmt: skip
        make.TubeFactory(marked=marked, type=a_type(name), state=state, place=place)
    make.TubeFactory(marked="VT-60", state="good", type=a_type("850"), place=odd)
    make.TubeFactory(marked="6SN7GT", state="good", type=None, note="one pin bad; a pair\nwith 'dud' on the box")
    make.TubeFactory(
        marked="'6V6GT", type=a_type("6V6GT"), state="good", maker="@home", date_code="44-12",
        condition="-3 in the box, 1 dud beside it", acquired_on=today, acquired_how="=swapped", acquired_from="same",
    )  # fmt: skip
    lend(make.TubeFactory(marked="6SN7GT", state="good").item, "the club", on=today, by=keeper)
    fitted = make.TubeFactory(marked="6SN7GT", state="good")
    make.FittingFactory(tube=fitted, position=make.PositionFactory(type=fitted.type))
    return fitted


def told(model, *names):
    return Counter(model.objects.values_list(*names))


FIELDS = ("marked", "state", "type__name", "maker", "date_code", "condition", "acquired_on", "acquired_how",
          "acquired_from", "note", "item__tag", "item__place__path", "item__lent_to", "item__seen_on")  # fmt: skip


@pytest.mark.parametrize("shape", ["csv", "csv-bom", "xlsx"])
def test_tubes_come_home(shape, as_keeper, keeper, today):
    fitted = shelf(keeper, today)
    raw = taken_out(as_keeper, "tubes", shape)
    before, stock = told(Tube, *FIELDS), spares()
    emptied()
    found, rows = take(raw, by=keeper, name="tubes.xlsx" if shape == "xlsx" else "tubes.csv")
    held = [row for row in rows if row["outcome"] == HELD]
    assert len(held) == 1 and "no spare while it does" in held[0]["remarks"][-1]["reason"]
    assert found.counts()["refused"] == 0 and len(rows) == sum(before.values())
    after = told(Tube, *FIELDS)
    gone = before - after
    assert list(gone) == [one for one in before if one[10] == fitted.tag] and not after - before
    assert spares() == stock
    (tag,) = answer_held(found.run.rows.get(row=held[0]["row"]), "out", by=keeper, today=today)
    assert tag == fitted.tag


def test_series_go_on_behind_the_tags_that_came_home(as_keeper, keeper, today):
    shelf(keeper, today)
    raw = taken_out(as_keeper, "tubes")
    raw = raw.replace(b"X-", b"T-")
    emptied()
    take(raw, by=keeper)
    tags = [int(tag[2:]) for tag in Tube.objects.values_list("item__tag", flat=True)]
    assert TagSeries.objects.get(prefix="T").last == max(tags)
    _, (row,) = take("Tube\n5U4G\n", by=keeper)
    assert not set(row["made"]) & set(raw.decode().split(","))


def test_what_left_stays_gone(as_keeper, keeper, today):
    tube = make.TubeFactory(marked="807", type=a_type("807"), state="good")
    let_go(tube.item, "sold", on=today, by=keeper)
    rows = io.StringIO()
    out = csv.writer(rows)
    out.writerow(TUBES.headings)
    out.writerows(TUBES.all_rows())
    emptied()
    take(rows.getvalue(), by=keeper)
    item = Item.objects.get()
    assert (item.gone_on, item.gone_how, item.place) == (today, "sold", None)
    _, (row,) = take(rows.getvalue().replace(str(today), "some day").replace(tube.tag, "T-0999"), by=keeper)
    assert row["outcome"] == HELD and "on no plain day" in row["remarks"][-1]["reason"]


@pytest.mark.parametrize("shape", ["csv", "xlsx"])
def test_part_lots_come_home(shape, as_keeper, keeper):
    lots = [
        (3, 3, 0, False), (12, 15, 1, True), (25, None, 0, False), (None, 9, 0, True), (None, None, 2, True),
        (0, 0, 0, False), (3, 3, 0, True), (5, 7, 0, False), (None, None, 0, False),
    ]  # fmt: skip
    for number, (least, most, duds, to_count) in enumerate(lots):
        item = make.ItemFactory(kind=Item.PARTS, tag=f"P-{number:04d}")
        PartLot.objects.create(
            item=item, name="capacitor", value=f"+{number} mfd", least=least, most=most, duds=duds, to_count=to_count,
            condition="leaky", note="4 bad, see lid",
        )  # fmt: skip
    raw = taken_out(as_keeper, "parts", shape)
    names = ("name", "value", "least", "most", "duds", "to_count", "condition", "note", "item__tag")
    before = told(PartLot, *names)
    emptied()
    found, _ = take(raw, by=keeper, name=f"parts.{shape}")
    assert told(PartLot, *names) == before and found.counts()["records"]["parts"] == len(lots)


def test_what_parts_are_by_their_figures_comes_home(as_keeper, keeper):
    """Kind, value, ratings and words of a lot come back as they were, and one that cannot be so is told."""
    kinds = [
        PartType(kind="capacitor", value=10_000.0, tolerance_pct=20.0, volts=600.0, construction="paper in oil",
                 mounting="chassis", marking="CP53B1EF103K"),
        PartType(kind="capacitor", value=100_000.0, volts=275.0, safety_class="X2"),
        PartType(kind="resistor", value=2_200_000.0, watts=0.5, volts=350.0),
        PartType(kind="choke", value=10e6, amps=0.15),
        PartType(kind="relay", volts=24.0, words="antenna change-over, 24 V coil"),
        None,
    ]  # fmt: skip
    for number, kind in enumerate(kinds):
        if kind:
            kind.save()
        item = make.ItemFactory(kind=Item.PARTS, tag=f"P-{number:04d}")
        PartLot.objects.create(item=item, name="as found", value="", type=kind, least=3, most=3)
    names = ("item__tag", *(f"type__{name}" for name in (
        "kind", "value", "tolerance_pct", "volts", "watts", "amps", "construction", "mounting", "safety_class",
        "marking", "words",
    )))  # fmt: skip
    raw, before = taken_out(as_keeper, "parts"), told(PartLot, *names)
    emptied()
    take(raw, by=keeper, name="parts.csv")
    assert told(PartLot, *names) == before and PartType.objects.count() == 5
    emptied()
    found, rows = take(raw.replace(b",X2,", b",Z9,"), by=keeper, name="parts.csv")
    assert PartType.objects.count() == 4 and found.counts()["refused"] == 0
    assert "'Z9' is no class" in str([row["remarks"] for row in rows])


def test_parts_of_any_list_get_the_kind_that_their_words_state(keeper):
    """So that a search for a stand-in finds them at once: 0.01 mfd, 600 V (common practice, no source)."""
    text = "Part,Qty\ncapacitor 0.01 mfd 600 V,4\ncapacitor .01 MFD 600V,2\nresistor as found,1\n"
    take(text, by=keeper)
    assert told(PartLot, "name", "type__value", "type__volts") == {
        ("capacitor 0.01 mfd 600 V", 10_000.0, 600.0): 1,
        ("capacitor .01 MFD 600V", 10_000.0, 600.0): 1,
        ("resistor as found", None, None): 1,
    }
    assert PartType.objects.count() == 1 and PartType.history.get().history_user == keeper


def test_single_pieces_among_parts_come_home_as_such(as_keeper, keeper):
    for tag, serial in (("P-0001", "4711"), ("P-0002", "0099"), ("P-0003", "")):
        item = make.ItemFactory(kind=Item.PARTS, tag=tag)
        PartLot.objects.create(item=item, name="meter", value="0-1 mA", serial=serial, least=1, most=1)
    raw = taken_out(as_keeper, "parts")
    names = ("item__tag", "name", "serial", "least", "most")
    before = told(PartLot, *names)
    emptied()
    take(raw, by=keeper, name="parts.csv")
    assert told(PartLot, *names) == before and not Fact.objects.filter(about="serial").exists()


def test_serialled_things_come_home(as_keeper, keeper):
    model = make.SetModelFactory(name="Skerry 40")
    make.ChassisFactory(model=model, serial="01432", note="radio, 2 dials")
    make.ChassisFactory(model=model, serial="", serial_reading="unreadable")
    make.ChassisFactory(model=model, serial="D-12, D-14", serial_reading="read")
    make.PlugInUnitFactory(serial="#612")
    kind = make.CompanionKindFactory(set_model=model, name="Calibration Book")
    make.CompanionFactory(kind=kind, serial="1190", mate_serial="see 1109", mate_reading="unreadable")
    sorts = {"chassis": Chassis, "units": PlugInUnit, "companions": Companion}
    names = {
        "chassis": ("model__name", "serial", "serial_reading", "note", "item__tag"),
        "units": ("model__name", "serial", "serial_reading", "note", "item__tag"),
        "companions": (
            "kind__name", "kind__set_model__name", "serial", "serial_reading", "mate_serial", "mate_reading", "note",
            "item__tag",
        ),
    }  # fmt: skip
    raw = {name: taken_out(as_keeper, name) for name in sorts}
    before = {name: told(sort, *names[name]) for name, sort in sorts.items()}
    emptied()
    for name in sorts:
        take(raw[name], by=keeper, name=f"{name}.csv")
    assert {name: told(sort, *names[name]) for name, sort in sorts.items()} == before


def test_the_own_list_again_makes_nothing(as_keeper, keeper, today):
    shelf(keeper, today)
    raw = taken_out(as_keeper, "tubes")
    here = Item.objects.count()
    _, rows = take(raw, by=keeper)
    assert {row["outcome"] for row in rows} == {HELD} and Item.objects.count() == here


def test_type_only_bears_out_what_is_marked(keeper, today):
    heading = ",".join(TUBES.headings)

    def line(marked, kind):
        cells = dict.fromkeys(TUBES.headings, "") | {"Marked": marked, "Type": kind, "State": "good"}
        return ",".join(cells.values())

    lines = [line("6SN7GT", "6SL7GT"), line("6SN7", "6SN7GT"), line("VT-60", "807"), line("QX-99", "Special 1")]
    found, rows = take("\n".join([heading, *lines]), by=keeper)
    assert rows[0]["outcome"] == HELD
    assert "reads as 6SN7GT, and the list says 6SL7GT" in rows[0]["remarks"][-1]["reason"]
    kinds = [Tube.objects.get(item__tag=row["made"][0]).type for row in rows[1:]]
    assert [kind and kind.name for kind in kinds] == ["6SN7GT", "807", None]
    (tag,) = answer_held(found.run.rows.get(row=1), "6SL7GT", by=keeper, today=today)
    assert (Tube.objects.get(item__tag=tag).type.name, Tube.objects.get(item__tag=tag).marked) == ("6SL7GT", "6SN7GT")


def test_every_heading_of_a_list_out_is_known():
    lists = {f.TUBES: TUBES, f.PARTS: PARTS, f.CHASSIS: CHASSIS, f.UNITS: UNITS, f.COMPANIONS: COMPANIONS}
    assert own_standing == standing
    for kind, out in lists.items():
        own = own_list(out.headings)
        assert own is not None and own.kind == kind
        behind = [heading for heading, _ in FACT_COLUMNS]
        assert set(out.headings) <= {*own.columns, *behind}
    assert all(one.reason.startswith("the heading says") for one in proposals(TUBES.headings))


@pytest.mark.parametrize("heading", ["Tag,Type,State", "Tube,Qty,Box", "Item #,Nomenclature,Ser No", ""])
def test_a_list_of_somebody_else_is_none_of_ours(heading):
    assert own_list(heading.split(",")) is None
    assert len(OWN_LISTS) == 5
