"""The filament supply of a set model and of a chassis with what is in it.

Ratings are those of the reference tables; the sums are Ohm's law, the tolerances those of limits.csv (5 % for thoriated
tungsten: RCA wartime notice).
"""

import pytest
from django.urls import reverse

from inventory.sets.queries.filaments import filaments_of
from tests.counting import asked
from tests.factories import (
    ChassisFactory,
    FittingFactory,
    PositionFactory,
    SetModelFactory,
    SourceFactory,
    TubeFactory,
    TubeTypeFactory,
)
from tests.pages import page_text, seen_at
from tubes.actions import save_limit
from tubes.models import Limit

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


def model_with(supply_v, **branches):
    """A set model; ``V1=("211", "A")`` is a position with its type and its heater branch."""
    model = SetModelFactory(filament_supply_v=supply_v, neutralizing="none")
    for mark, (name, branch) in branches.items():  # no name: no type
        kind = TubeTypeFactory(name=name) if name else None
        PositionFactory(set_model=model, mark=mark, type=kind, heater_branch=branch)
    return model


@pytest.fixture
def pair():
    """Two 10 V 3.25 A heaters in series on 24 V, as the published chain of such a set has them."""
    return model_with(24, V1=("211", "A"), V2=("838", "A"))


def fill(model, **types):
    """A chassis of the model with tubes of these types in it."""
    chassis = ChassisFactory(model=model)
    for mark, name in types.items():
        kind = TubeTypeFactory(name=name) if name else None
        FittingFactory(chassis=chassis, position=model.positions.get(mark=mark), tube=TubeFactory(type=kind))
    return chassis


def standings(found):
    return {line.position.mark: line.standing for line in found.lines}


def test_as_laid_out(pair):
    """24 V less 20 V over 3.25 A: 1.2308 ohm, 13 W (Ohm's law)."""
    found = filaments_of(pair)
    (branch,) = found.supply.branches
    assert (branch.load.volts, branch.load.amperes) == (20, 3.25)
    assert (branch.dropper.ohm, branch.dropper.watts) == (pytest.approx(4 / 3.25), pytest.approx(13))
    assert standings(found) == {"V1": "right", "V2": "right"}
    assert found.drawn_a == pytest.approx(3.25) and found.wrong == () and found.left_out == ()


def test_what_is_fitted_counts_on_the_page_of_a_chassis(pair):
    """An 811A (6.3 V, 4 A) in the string of an 838: it gets too little and its neighbour too much."""
    found = filaments_of(pair, fill(pair, V1="211", V2="811A"))
    assert standings(found) == {"V1": "too much", "V2": "too little"}
    assert [line.position.mark for line in found.wrong] == ["V1", "V2"]
    over, under = found.lines
    assert over.across.amperes == pytest.approx(under.across.amperes) == pytest.approx(found.drawn_a)
    assert over.across.volts + under.across.volts + found.drawn_a * 4 / 3.25 == pytest.approx(24)
    assert (over.tolerance.low, over.tolerance.high) == (5, 5)


def test_an_empty_socket_opens_its_branch_and_no_other():
    model = model_with(24, V1=("211", "A"), V2=("838", "A"), V3=("838", "B"), V4=("838", "B"))
    found = filaments_of(model, fill(model, V1="211", V3="838", V4="838"))
    assert standings(found) == {"V1": "branch open", "V2": "empty", "V3": "right", "V4": "right"}
    assert found.drawn_a == pytest.approx(3.25)


def test_a_shunt_stays_when_another_tube_goes_in():
    """6J7 beside 6SN7GT: 6.3 V over 0.3 A, 21 ohm. With a 6SL7GT the string is 47 % off, both ways."""
    model = model_with(12.6, V1=("6J7", "A"), V2=("6SN7GT", "A"))
    (shunt,) = filaments_of(model).supply.branches[0].load.shunts
    assert shunt.ohm == pytest.approx(21)
    found = filaments_of(model, fill(model, V1="6J7", V2="6SL7GT"))
    assert [line.across.deviation_pct for line in found.lines] == pytest.approx([-47, 47], abs=0.5)


def test_trying_a_tube_on_paper(pair, as_visitor):
    address = reverse("sets:model-filaments", args=[pair.pk])
    second = pair.positions.get(mark="V2")
    page = as_visitor.get(address, {"position": second.pk, "type": "811A"})
    assert standings(page.context["found"]) == {"V1": "too much", "V2": "too little"}
    assert "Not to be switched on so" in page.content.decode() and "As it is" in page.content.decode()
    same = as_visitor.get(address, {"position": second.pk, "type": "VT-4-C"})  # a 211 by its army number
    assert standings(same.context["found"]) == {"V1": "right", "V2": "right"}


def test_what_cannot_be_tried_is_told(pair, as_visitor):
    other = PositionFactory()
    address = reverse("sets:model-filaments", args=[pair.pk])
    first = pair.positions.first().pk
    for query, field in (
        ({"position": other.pk, "type": "211"}, "position"),
        ({"position": "x", "type": "211"}, "position"),
        ({"position": first, "type": "QQQ99"}, "type"),
        ({"type": ""}, "type"),
    ):
        page = as_visitor.get(address, query)
        assert page.status_code == 200 and field in page.context["form"].errors
        assert page.context["instead"] == {}


def test_what_is_left_out_says_why():
    model = model_with(
        6.3, V1=("6SN7GT", "A"), V2=("6SN7GT", ""), V3=("", "B"), V4=("0D3", "C"), V5=("ZZ nothing known", "D")
    )
    found = filaments_of(model)
    assert [line.position.mark for line in found.lines] == ["V1"]
    told = dict(text.split(": ", 1) for text in found.left_out)
    assert "no heater branch" in told["V2"] and "which type it wants" in told["V3"]
    assert "no heater" in told["V4"] and "not known" in told["V5"]


def test_a_fitted_tube_of_no_settled_type_is_not_called_empty(pair):
    chassis = fill(pair, V1="211", V2=None)
    found = filaments_of(pair, chassis)
    assert standings(found) == {"V1": "branch open", "V2": "not known"}
    assert any("no settled type" in text for text in found.left_out)
    tried = filaments_of(pair, None, {pair.positions.get(mark="V2").pk: "0D3"})
    assert standings(tried)["V2"] == "not known"


@pytest.mark.parametrize("supply_v", [None, 0])
def test_without_a_supply_voltage_the_page_asks_for_it(supply_v, as_visitor):
    model = model_with(supply_v, V1=("211", "A"))
    page = as_visitor.get(reverse("sets:model-filaments", args=[model.pk]))
    assert "Not recorded yet: the filament supply voltage of this model." in page.content.decode()


@pytest.mark.parametrize(
    ("tubes", "told"),
    [
        ({"V1": ("211", "")}, "Not recorded yet: the heater branches of its positions."),
        ({"V1": (None, "A")}, "Not recorded yet: the types of its positions."),
        ({}, "Not recorded yet: its positions."),
        ({"V1": ("211", ""), "V2": (None, "A")}, "No position can be counted yet; why, stands below."),
    ],
)
def test_what_lacks_is_named(tubes, told, as_visitor):
    model = model_with(10, **tubes)
    assert told in page_text(as_visitor.get(reverse("sets:model-filaments", args=[model.pk])))


def test_the_supply_voltage_is_written_with_the_model(as_keeper):
    model = SetModelFactory(neutralizing="none")
    cells = {"name": model.name, "kind": "receiver", "neutralizing": "none"}
    address = reverse("sets:model-change", args=[model.pk])
    cells |= seen_at(as_keeper, address)
    for text in ("0", "-6.3", "nan", "1e9", "six"):
        answer = as_keeper.post(address, cells | {"filament_supply_v": text})
        assert answer.status_code == 422 and list(answer.context["form"].errors) == ["filament_supply_v"]
    assert as_keeper.post(address, cells | {"filament_supply_v": "12.6"}).status_code == 302
    model.refresh_from_db()
    assert model.filament_supply_v == 12.6


def test_a_limit_of_the_keepers_own_changes_the_standing(keeper):
    """9.4 V on a 10 V filament is 6 % under: too little by the tables' 5 %, right by a keeper's 7 %."""
    low = model_with(9.4, V1=("838", "A"))
    assert standings(filaments_of(low)) == {"V1": "too little"}
    for key in ("judge.heater_care_low_pct.thoriated", "judge.heater_low_pct.thoriated"):
        save_limit(Limit(key=key, value=7, source=SourceFactory()), by=keeper)
    assert standings(filaments_of(low)) == {"V1": "right"}


def test_pages_show_the_numbers_and_the_caution(pair, as_visitor):
    chassis = fill(pair, V1="211", V2="811A")
    page = page_text(as_visitor.get(reverse("sets:chassis-filaments", args=[chassis.tag])))
    assert "24 V" in page and "1.23" in page and "13.00" in page
    assert "too much for its heater" in page and "Thoriated tungsten suffers from too little as from too much" in page
    assert "Local codes and licensed practice" in page


def test_more_positions_take_no_more_questions(as_visitor):
    def filled(number):
        model = model_with(24, **{f"V{n}": ("838", f"{n // 2}") for n in range(number)})
        chassis = fill(model, **{f"V{n}": "211" for n in range(number)})
        address = reverse("sets:chassis-filaments", args=[chassis.tag])
        assert len(as_visitor.get(address).context["found"].lines) == number
        return asked(as_visitor, address)

    assert filled(4) == filled(12)
