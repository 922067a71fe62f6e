"""The one search box: tags, serials, own numbers, places and models beside stamps (common practice, no source)."""

import json

import pytest
from django.core.management import call_command
from django.urls import reverse

from inventory.frontpage.queries import search_all
from inventory.holdings.models import Fact, PartLot
from inventory.house.areas import areas
from inventory.house.search import SHOWN
from inventory.sets.models import MatedSet
from tests import factories as make
from tests.counting import cost
from tests.lists.importing_lists import take
from tests.running.rows import InstrumentFactory

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]

OWN = "Inv Nr,Type,Qty,Place\nK-77/3,6SN7GT,1,Drawer 9\nK-77/4,6V6GT,2,Drawer 9\n"


@pytest.fixture
def house():
    """One of each that has a name or a number."""
    place = make.PlaceFactory(code="Attic")
    tube = make.TubeFactory(place=place, marked="6SN7GT")
    model = make.SetModelFactory(name="Ostercape TX 5")
    chassis = make.ChassisFactory(model=model, serial="01432", place=place)
    unit_model = make.UnitModelFactory(name="Ostercape drawer low", fits=[model])
    unit = make.PlugInUnitFactory(model=unit_model, serial="77-B")
    book = make.CompanionFactory(kind=make.CompanionKindFactory(set_model=model), mate_serial="4417")
    lot = PartLot.objects.create(item=make.ItemFactory(kind="parts", place=place), name="mica capacitor", value="50 pF")
    net = MatedSet.objects.create(name="Net Gull", number="GX-9")
    tester = InstrumentFactory(name="Prover 3")
    Fact.objects.create(item=tube.item, about="serial", text="S 1187")
    return locals()


def taken_out(client):
    return client.get(reverse("lists:list-out", args=["tubes"])).getvalue().decode("utf-8-sig")


def kinds(text):
    return {one.kind: [row.name for row in one.rows] for one in search_all(text)}


def test_everything_that_has_a_name_or_a_number_is_found_with_its_kind(house):
    tube, chassis, unit, book, lot = (house[name] for name in ("tube", "chassis", "unit", "book", "lot"))
    assert kinds(tube.tag.lower()) == {"tag": [tube.tag]}
    assert kinds(f"http://192.168.1.7:8000/tubes/{tube.tag}/") == {"tag": [tube.tag]}
    assert kinds("01432") == {"chassis": [str(chassis)]} and kinds("1432") == {}  # a serial is text
    assert kinds("77-b") == {"plug-in unit": [str(unit)]}
    assert kinds("s 1187") == {"serial as found": [tube.tag]}
    assert kinds("4417") == {"companion": [str(book)]}
    assert kinds("attic") == {"place": ["Attic"]}
    assert kinds("ostercape") == {"set model": ["Ostercape TX 5"], "unit model": ["Ostercape drawer low"]}
    assert kinds("capacitor 50") == {"part lot": [lot.tag]}
    assert kinds("gx-9") == kinds("net gull") == {"mated set": ["Net Gull"]}
    assert kinds("prover") == {"instrument": ["Prover 3"]}
    assert kinds("") == kinds("\0") == kinds("zz") == {}


def test_a_number_of_the_keepers_own_is_found_shown_and_taken_out(keeper, as_keeper):
    found, _ = take(OWN, by=keeper)
    tag = found.run.rows.get(row=1).made.get().item.tag
    assert kinds("k-77/3") == {"own number": [tag]}
    assert len(kinds("K-77/4")["own number"]) == 2  # said of a row of two
    page = as_keeper.get("/look-up/", {"q": "K-77/3"}).content.decode()
    assert "own number" in page and tag in page and "Not known" not in page and "Add a tube marked so" not in page
    assert [tube.tag for tube in as_keeper.get("/tubes/", {"text": "k-77/3"}).context["page"].object_list] == [tag]
    assert "K-77/3" in as_keeper.get("/tubes/").content.decode()
    assert "K-77/3" in as_keeper.get(reverse("holdings:tube", args=[tag])).content.decode()
    rows = as_keeper.get("/api/tubes", {"text": "K-77/3"}).json()["tubes"]
    assert [row["own_number"] for row in rows] == ["K-77/3"]
    assert "K-77/3" in taken_out(as_keeper)


def test_our_own_list_brings_the_own_number_back(keeper, as_keeper):
    take(OWN, by=keeper)
    changed = taken_out(as_keeper).replace("T-00", "T-10")
    Fact.objects.all().delete()
    take(changed, by=keeper, name="again.csv")
    assert set(Fact.objects.filter(about="number").values_list("text", flat=True)) == {"K-77/3", "K-77/4"}


def test_numbers_of_lists_taken_in_before_come_over(keeper):
    from importlib import import_module

    from django.apps import apps

    take(OWN, by=keeper)
    Fact.objects.filter(about="number").delete()
    import_module("inventory.lists.migrations.0005_own_numbers").fill(apps, None)
    assert len(kinds("K-77/4")["own number"]) == 2


def test_a_tube_marked_so_is_offered_only_when_nothing_was_found(house, as_helper):
    offer = "Add a tube marked so"
    for text in ("VT-231", "6SN7", "01432", "Attic", house["tube"].tag, "Ostercape"):
        assert offer not in as_helper.get("/look-up/", {"q": text}).content.decode(), text
    assert offer in as_helper.get("/look-up/", {"q": "QQQ99"}).content.decode()
    page = as_helper.get("/look-up/", {"q": "VT-231"}).content.decode()
    assert "Add one" in page and "marked=VT-231&amp;type=6SN7GT" in page


def test_command_and_api_tell_it_beside_the_types(house, as_visitor, capsys):
    call_command("lookup", "01432", "--json")
    answer = json.loads(capsys.readouterr().out)
    (found,) = answer["found"]
    row = {"name": str(house["chassis"]), "words": f"{house['chassis'].tag}, Attic"}
    assert found == {
        "kind": "chassis", "count": 1, "rows": [row | {"url": house["chassis"].get_absolute_url()}],
    }  # fmt: skip
    assert as_visitor.get("/api/lookup", {"text": "01432"}).json() == answer
    call_command("lookup", "01432")
    assert f"chassis {house['chassis']}: {house['chassis'].tag}, Attic" in capsys.readouterr().out
    assert "found" not in as_visitor.get("/api/lookup", {"text": "VT-231"}).json()


def test_rows_of_each_kind_are_bounded_and_counted(as_visitor):
    for number in range(SHOWN + 3):
        make.SetModelFactory(name=f"Ostercape RX {number}")
    (found,) = search_all("ostercape")
    assert len(found.rows) == SHOWN and found.count == SHOWN + 3
    assert "and 3 more" in as_visitor.get("/look-up/", {"q": "ostercape"}).content.decode()


def test_a_maker_is_found_with_the_count_of_its_tubes_and_leads_to_them(as_visitor, capsys):
    """Makers are invented. Names are written in capitals and small letters (common practice, no source)."""
    for maker, more in (
        ("Hale-Tern", {}), ("HALE-TERN", {"state": "dud"}), ("Hale-Tern", {"gone_on": make.days_ago(3)}),
        ("Hale-Tern East", {}), ("HT", {}), ("", {"note": "Hale-Tern carton"}),
    ):  # fmt: skip
        make.TubeFactory(maker=maker, **more)
    (found,) = search_all("hale-tern")
    assert (found.kind, found.count) == ("maker", 2)
    name = found.rows[0].name  # of the two ways to write it, that which the database has first
    assert [(row.name.casefold(), row.words) for row in found.rows] == [
        ("hale-tern", "2 tubes here"), ("hale-tern east", "1 tube here"),
    ]  # fmt: skip
    assert kinds("hale-tern east") == {"maker": ["Hale-Tern East"]} and kinds("ht") == {"maker": ["HT"]}
    for row, count in zip(found.rows, (2, 1), strict=True):
        listed = as_visitor.get(row.url).context["page"].object_list
        assert [tube.maker.casefold() for tube in listed] == [row.name.casefold()] * count
    page = as_visitor.get("/look-up/", {"q": "Hale-Tern"}).content.decode()
    assert f'href="/tubes/?maker={name}"' in page and "2 tubes here" in page and "Add a tube marked so" not in page
    call_command("lookup", "Hale-Tern")
    assert f"maker {name}: 2 tubes here" in capsys.readouterr().out
    tubes = as_visitor.get("/api/tubes", {"maker": "tern"}).json()["tubes"]
    assert len(tubes) == 3  # no maker is called so: those with it in their name


def test_a_part_lot_is_found_by_its_maker():
    item = make.ItemFactory(kind="parts")
    PartLot.objects.create(item=item, name="paper capacitor", maker="Hale-Tern Works")
    (found,) = search_all("hale-tern")
    assert found.kind == "part lot" and found.rows[0].words == "paper capacitor, Hale-Tern Works, no place"


def test_every_page_that_is_found_is_there(house, as_visitor):
    asked = ("01432", "77-B", "4417", "attic", "ostercape", "capacitor", "net gull", "prover", house["tube"].tag)
    urls = {row.url for text in asked for one in search_all(text) for row in one.rows}
    assert len(urls) == len(asked) + 1
    assert {as_visitor.get(url).status_code for url in urls} == {200}


def test_twice_the_rows_take_no_more_questions(house):
    def ask():
        for number in range(10):
            place = make.PlaceFactory(code=f"Ostercape {make.PlaceFactory().pk}-{number}")
            chassis = make.ChassisFactory(model=house["model"], serial="Ostercape", place=place)
            Fact.objects.create(item=chassis.item, about="number", text="Ostercape")
            make.PlugInUnitFactory(model=house["unit_model"], serial="Ostercape", place=place)
            kind = make.CompanionKindFactory(set_model=house["model"], name=f"Ostercape book {place.pk}")
            make.CompanionFactory(kind=kind, place=place)
            make.TubeFactory(maker=f"Ostercape {place.pk}")
        assert len(search_all("Ostercape")) > 5
        return cost(lambda: search_all("Ostercape"))

    assert ask() == ask()


def test_each_area_of_things_brings_its_own_search():
    assert {label for label, area in areas().items() if area.search} == {"holdings", "sets", "pairing", "running"}
