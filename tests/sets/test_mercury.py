"""Mercury rectifiers are named wherever one is fitted or wanted, with warm-up and mounting.

30 minutes of filament alone in first use or after a move, later 30 s: hifitubes.nl, mercury vapor rectifier tubes. 866A
upright only, at least 30 s: uli.de/tubes/866a.htm. That the 83 needs neither is said in one magazine column
(monoandstereo.com, January 2017) and disputed.
"""

import json

import pytest
from django.urls import reverse

from inventory.sets.models import SetModel
from inventory.sets.queries import sockets_of
from inventory.sets.queries.mercury import mercury_in
from tests.commands import answer_of, told
from tests.counting import again, answered, cost, twice
from tests.factories import ChassisFactory, FittingFactory, PositionFactory, TubeFactory, TubeTypeFactory
from tubes.models import Limit, Rating, TubeType
from tubes.queries.judging import limits
from tubes.queries.mercury import mercury_among
from tubes.rules.mercury import Place, mercury_care

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


@pytest.fixture
def chassis():
    """A set of our own invention whose rectifier socket V5 wants an 866A."""
    position = PositionFactory(mark="V5", type=TubeType.objects.get(name="866A"))
    PositionFactory(mark="V1", set_model=position.set_model, type=TubeType.objects.get(name="6SN7GT"))
    return ChassisFactory(model=position.set_model)


@pytest.mark.parametrize("name", ["866", "866A", "872A", "83", "82", "816"])
def test_which_types_hold_mercury_stands_in_the_tables(name):
    assert mercury_among([name]) == {name}


def test_vacuum_xenon_and_other_gases_are_none():
    assert mercury_among(["5U4G", "3B28", "0Z4", "0D3", "6SN7GT", "no such", ""]) == frozenset()


def test_a_type_of_the_keepers_own_counts_by_its_kind_or_its_caution():
    told_of, named = TubeTypeFactory(name="ZX1"), TubeTypeFactory(name="ZX2", hazard="Mercury; keep upright")
    Rating.objects.create(type=told_of, kind="gas-rectifier", note="half-wave mercury vapor")
    TubeTypeFactory(name="ZX3", hazard="No mercury in this one")
    assert mercury_among(["ZX1", "ZX2", "ZX3"]) == {"ZX1", "ZX2"} == {told_of.name, named.name}


def test_fitted_goes_before_wanted_and_both_are_named():
    places = [Place("V5", "866A", "872A", "T-1"), Place("V6", "866A", "3B28", "T-2"), Place("V7", "83"), Place("V8")]
    found = mercury_care(places, {"866A", "872A", "83"}, limits())
    assert found.places == ("V5 holds 872A (T-1)", "V6 wants 866A", "V7 wants 83")
    assert "30 s before plate voltage" in found.text and "30 min in first use" in found.text
    assert "upright only" in found.text and found.source == "uli-866a, hifitubes-mercury"
    assert len(found.told) == 1 and "disputed" in found.told[0]
    assert mercury_care(places[:1], {"866A"}, limits()).places == ("V5 wants 866A",)
    assert mercury_care(places, set(), limits()) is None


def test_what_the_set_model_does_not_give_is_told():
    found = mercury_care([Place("V5", "866A")], {"866A"}, limits(), switched_together=True, on_side=True)
    assert "plate and filament together" in found.told[0] and "on their side" in found.told[1]
    assert all("no mercury rectifier goes in" in text for text in found.told)


def test_mercury_rectifiers_that_are_in_already_are_not_said_to_go_in_never():
    """Those in a set that lies on its side: what to do with them (upright only: source of the care itself)."""
    places = [Place("V4", "866A", "866A", "T-0001"), Place("V5", "866A", "866A", "T-0002"), Place("V6", "5U4G", "5U4G")]
    found = mercury_care(places, {"866A"}, limits(), switched_together=True, on_side=True)
    together, on_side = found.told
    assert on_side == (
        "Tubes lie on their side in this set, and V4 and V5 hold mercury: take them out, or stand the set upright."
    )
    assert together.endswith("and V4 and V5 hold mercury: part the two, or take them out.")
    (alone,) = mercury_care([*places[1:], Place("V7", "866A")], {"866A"}, limits(), on_side=True).told
    assert "V5 holds mercury: take it out, or stand the set upright" in alone


PAGES = ["sets:chassis", "pairing:on-air", "sets:chassis-filaments", "pairing:on-air-add"]


@pytest.mark.parametrize("page", PAGES)
@pytest.mark.parametrize("fitted", [False, True])
def test_the_pages_of_a_set_tell_it(as_keeper, chassis, days_ago, page, fitted):
    if fitted:
        position = chassis.model.positions.get(mark="V5")
        tube = TubeFactory(type=TubeType.objects.get(name="83"), marked="83")
        FittingFactory(chassis=chassis, position=position, tube=tube, since=days_ago(3))
    text = as_keeper.get(reverse(page, args=[chassis.tag])).content.decode()
    assert ("V5 holds 83" if fitted else "V5 wants 866A") in text
    assert "30 s before plate voltage" in text and "30 min in first use" in text and "upright only" in text
    assert ("disputed" in text) == fitted


def test_the_bench_sheet_and_its_command_tell_it(as_keeper, chassis):
    sheet = as_keeper.get(reverse("pairing:on-air", args=[chassis.tag]), {"frequency": "3.6 Mc"}).content.decode()
    assert sheet.count("V5 wants 866A") == 1
    assert sheet.index("Bench sheet") < sheet.index("V5 wants 866A")
    answer, _ = answer_of("on_air", chassis.tag, "--frequency", "3.6 Mc")
    assert answer["mercury"]["places"] == ["V5 wants 866A"]
    assert "30 s before plate voltage" in told("on_air", chassis.tag, "--frequency", "3.6 Mc")


def test_the_page_of_the_set_model_tells_it(as_visitor, chassis):
    SetModel.objects.filter(pk=chassis.model_id).update(on_side=True)
    text = as_visitor.get(reverse("sets:model", args=[chassis.model_id])).content.decode()
    assert "V5 wants 866A" in text and "no mercury rectifier goes in" in text


def test_a_set_without_mercury_says_nothing_of_it(as_visitor):
    chassis = ChassisFactory(model=PositionFactory(type=TubeType.objects.get(name="5U4G")).set_model)
    for page in PAGES[:3]:
        assert "ercury rectifier" not in as_visitor.get(reverse(page, args=[chassis.tag])).content.decode()
    assert "mercury" not in answer_of("on_air", chassis.tag, "--frequency", "3.6 Mc")[0]


@pytest.mark.parametrize(("circuit", "supply"), [("866A | 866A", "2.5 V"), ("83", "5 V"), ("872A+866A", "24 V")])
def test_filament_supply_tells_it(circuit, supply):
    warnings = json.dumps(answer_of("filament_supply", "--circuit", circuit, "--supply", supply)[0]["warnings"])
    assert "30 s before plate voltage" in warnings and "30 min in first use" in warnings and "upright only" in warnings
    assert ("disputed" in warnings) == (circuit == "83")
    assert "ercury" not in json.dumps(answer_of("filament_supply", "--circuit", "801A", "--supply", "7.5 V")[0])


def test_many_rectifiers_take_no_more_questions(chassis, days_ago):
    def asked():
        sockets = sockets_of(chassis)
        assert mercury_in(sockets, chassis.model)
        return cost(lambda: mercury_in(sockets, chassis.model))

    before = asked()
    for name in ("866", "872A", "83", "82", "816"):
        kind = TubeType.objects.get(name=name)
        position = PositionFactory(set_model=chassis.model, type=kind)
        FittingFactory(chassis=chassis, position=position, tube=TubeFactory(type=kind), since=days_ago(3))
    assert asked() == before


@pytest.mark.parametrize("page", PAGES)
def test_nothing_is_asked_twice_for_it(as_keeper, chassis, days_ago, page):
    position = chassis.model.positions.get(mark="V5")
    FittingFactory(chassis=chassis, position=position, tube=TubeFactory(type=position.type), since=days_ago(3))
    sent = twice(again(lambda: answered(as_keeper, reverse(page, args=[chassis.tag]))))
    assert [one for one in sent if '"tubes_state"."token"' not in one] == []  # it may be asked again


def test_tables_of_an_older_version_leave_the_page_standing(as_visitor, chassis):
    Limit.objects.filter(key__startswith="judge.mercury").delete()
    page = as_visitor.get(reverse("sets:chassis", args=[chassis.tag]))
    assert page.status_code == 200 and "load_reference" in page.content.decode()
