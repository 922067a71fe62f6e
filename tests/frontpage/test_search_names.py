"""The search box finds things by the very names that stand on pages and papers (common practice, no source)."""

import pytest
from django.core.management import call_command

from inventory.frontpage.queries import pocket_answer, search_all
from inventory.holdings.models import Fact
from inventory.house.search import SHOWN
from inventory.sets.models import MatedPart, MatedSet
from tests import factories as make
from tests.counting import cost

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


def kinds(text):
    return {one.kind: [row.name for row in one.rows] for one in search_all(text)}


def page(client, address, text):
    return " ".join(client.get(address, {"q": text}).content.decode().split())


@pytest.fixture
def house():
    model = make.SetModelFactory(name="Wyverne R-7")
    chassis = make.ChassisFactory(model=model, serial="0441")
    nameless = make.ChassisFactory(model=model, serial="")
    unit = make.PlugInUnitFactory(model=make.UnitModelFactory(name="Wyverne drawer low", fits=[model]), serial="77-B")
    book = make.CompanionFactory(kind=make.CompanionKindFactory(set_model=model, name="log book"), serial="L 9")
    return locals()


def test_model_with_serial_or_tag_is_a_name(house, as_helper):
    chassis, nameless, unit, book = (house[name] for name in ("chassis", "nameless", "unit", "book"))
    assert kinds("Wyverne R-7 0441") == kinds("wyverne  r-7 0441 ") == {"chassis": [str(chassis)]}
    assert kinds(f"Wyverne R-7 {chassis.tag}") == {"chassis": [str(chassis)]}
    assert kinds(str(nameless)) == {"chassis": [str(nameless)]}
    assert kinds("Wyverne drawer low 77-b") == {"plug-in unit": [str(unit)]}
    assert kinds("log book L 9")["companion"] == [str(book)]
    assert kinds("Wyverne R-7 441") == {}  # a serial is text
    shown = page(as_helper, "/look-up/", "Wyverne R-7 0441")
    assert chassis.tag in shown and "marked=Wyverne" not in shown and "Not known" not in shown


def test_pieces_and_borrowers(house):
    net = MatedSet.objects.create(name="Net Gull", number="GX-9")
    MatedPart.objects.create(mated_set=net, name="crystal channel A", number="3885-A")
    lent = make.TubeFactory(lent_to="R. Oddsworth")
    make.TubeFactory(lent_to="R. Oddsworth", gone_on="2020-01-01")
    assert kinds("3885-a") == kinds("crystal channel") == {"mated piece": ["crystal channel A of Net Gull"]}
    assert kinds("oddsworth") == {"lent": [lent.tag]}
    (found,) = search_all("3885-A")
    assert found.rows[0].url == net.get_absolute_url()


def test_beginnings_are_bounded_and_said_to_be_so(house):
    for number in range(SHOWN + 3):
        Fact.objects.create(item=make.TubeFactory().item, about="number", text=f"H-2{number}")
    make.ChassisFactory(model=house["model"], serial="H-2207")
    found = {one.kind: one for one in search_all("H-2")}
    assert found["own number"].count == SHOWN + 3 and len(found["own number"].rows) == SHOWN
    assert "begins so" in found["own number"].rows[0].words
    assert [row.name for row in found["chassis"].rows] == ["Wyverne R-7 H-2207"]
    assert len(kinds("H-20")["own number"]) == 1  # the whole number is there
    assert kinds("H-") == kinds("no figure") == {}


def test_the_shape_of_a_tag_that_is_not_here(as_helper, capsys, today):
    tag = make.TubeFactory().tag
    shown = page(as_helper, "/look-up/", "t-9999")
    assert "no thing bears T-9999" in shown and "marked=t-9999" not in shown and "type of your own" not in shown
    assert "no thing bears T-9999" in page(as_helper, "/pocket/", "T-9999")
    call_command("lookup", "T-9999")
    assert capsys.readouterr().out.strip() == "T-9999: no thing here bears the tag T-9999"
    assert pocket_answer(tag, today).no_tag == pocket_answer("VT-231", today).no_tag == ""
    assert "marked=QQQ99" in page(as_helper, "/look-up/", "QQQ99")


@pytest.mark.parametrize("text", ["Wyverne R-7 0441", "H-2", "oddsworth", "crystal"])
def test_twice_the_rows_take_no_more_questions(house, text):
    net = MatedSet.objects.create(name="Net Gull")

    def ask():
        for _ in range(10):
            item = make.TubeFactory(lent_to="R. Oddsworth").item
            Fact.objects.create(item=item, about="number", text=f"H-2{item.pk}")
            make.ChassisFactory(model=house["model"], serial=f"H-2{item.pk}")
            MatedPart.objects.create(mated_set=net, name=f"crystal {item.pk}", item=item)
        return cost(lambda: search_all(text))

    assert ask() == ask()
