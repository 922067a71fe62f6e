"""A tube of no settled type whose mark names a form of a known type (6SN7GTY of 6SN7GT) is a spare with care, and stays
unsettled. What the letters mean: tests/tubes/rules/test_forms.py. The shelf and the set are made up."""

import json
from html import unescape
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.urls import reverse

from inventory.frontpage.queries import look_up, pocket_answer, saved_copy
from inventory.holdings.models import Tube
from inventory.sets.models import Approval
from inventory.sets.queries.unsettled import marked_forms
from tests.counting import answered, cost
from tests.factories import (
    ChassisFactory,
    FittingFactory,
    PositionFactory,
    SetModelFactory,
    TubeFactory,
    TubeTypeFactory,
)
from tests.pages import page_text
from tubes.models import TubeType
from tubes.queries import knowledge

pytestmark = [pytest.mark.django_db, pytest.mark.worked_out, pytest.mark.usefixtures("reference")]

WORDS = "low-loss base; type not settled, figures taken from 6SN7GT"


@pytest.fixture
def position():
    """An invented receiver that wants a 6SN7GT in V7 and has none; one good 6SN7GTY and one weak on the shelf."""
    model = SetModelFactory(name="Corrie R 3")
    ChassisFactory(model=model, serial="12")
    TubeFactory(type=None, marked="JAN-CHS-6SN7GTY")
    TubeFactory(type=None, marked="6SN7GTY", state="weak")
    return PositionFactory(set_model=model, mark="V7", type=TubeTypeFactory(name="6SN7GT"))


def said(command, *arguments):
    out = StringIO()
    call_command(command, *arguments, stdout=out)
    return out.getvalue()


def asked(command, *arguments):
    return json.loads(said(command, *arguments, "--json"))


def test_the_look_up_counts_it_beside_the_type(position, as_visitor):
    (match,) = asked("lookup", "6SN7GT")["matches"][:1]
    assert match["good_forms"] == [
        {
            "type": "6SN7GTY", "form": "low-loss base", "good": 1, "verdict": "with care", "type_not_settled": True,
            "taken_from": "6SN7GT",
        }
    ]  # fmt: skip
    assert match["owned"]["good"] == 0  # it is no 6SN7GT
    assert f"with care instead of it: 1 good 6SN7GTY ({WORDS})" in said("lookup", "6SN7GT")
    page = page_text(as_visitor.get(reverse("frontpage:look-up"), {"q": "6SN7GT"}))
    assert f"({WORDS}: with care): <strong>1</strong> good on the shelf" in page


@pytest.mark.parametrize("text", ["6SN7GTY", "JAN-CHS-6SN7GTY"])
def test_the_look_up_of_the_mark_says_whose_figures_count_and_where_it_may_serve(position, as_visitor, text):
    match = asked("lookup", text)["marked_so"]
    assert match["type_not_settled"] is True and match["taken_from"] == "6SN7GT"
    assert [(row["position"], row["wants"]) for row in match["positions_as_form"]] == [("V7", "6SN7GT")]
    assert "read by its letters: figures taken from 6SN7GT, with care" in said("lookup", text)
    page = page_text(as_visitor.get(reverse("frontpage:look-up"), {"q": text}))
    assert "another form of 6SN7GT, from which figures are taken: they are counted with care" in page
    assert "spares for nothing" not in page


def test_the_pocket_page_counts_it(position, as_visitor, today):
    (match,) = [one for one in pocket_answer("6SN7GT", today).matches if one.card.name == "6SN7GT"]
    assert [(one.type, one.good, one.words) for one in match.stand_ins] == [("6SN7GTY", 1, WORDS)]
    page = page_text(as_visitor.get(reverse("frontpage:pocket"), {"q": "6SN7GT"}))
    assert "6SN7GTY</a>, with care: low-loss base; type not settled, figures taken from 6SN7GT" in page
    tube = Tube.objects.get(state="good")
    for text in ("6SN7GTY", tube.tag):  # the mark, or the label of the tube
        page = page_text(as_visitor.get(reverse("frontpage:pocket"), {"q": text}))
        assert "V7 wants 6SN7GT" in page and "figures taken from 6SN7GT" in page and "type not settled" in page


def test_the_saved_copy_counts_it(position, today, as_visitor):
    copy = saved_copy(today, with_places=False)
    rows = {row["names"][0]: row["forms"] for row in copy["types"]}
    assert rows["6SN7GT"] == [f"with care: 1 good 6SN7GTY ({WORDS})"]
    wanted = f"with care: {position.set_model} 12 V7 wants 6SN7GT: empty (low-loss base)"
    lines = ["with care: type not settled, figures taken from 6SN7GT", wanted]
    assert copy["marked_forms"] == {"6SN7GTY": lines, "JAN-CHS-6SN7GTY": lines}
    page = page_text(as_visitor.get("/pocket/saved-copy/?file=1"))
    assert "; ".join(lines) in unescape(page)


def test_what_fits_lists_it(position, as_visitor, as_keeper):
    for arguments in (("6SN7GT",), ("--position", "Corrie R 3:V7")):
        (one,) = [row for row in asked("substitutes", *arguments)["candidates"] if row["type"] == "6SN7GTY"]
        assert (one["verdict"], one["owned_good"], one["type_not_settled"]) == ("with care", 1, True)
        assert {"check": "kind", "type": "6SN7GTY", "from": "6SN7GT"} in one["taken_from"]
        assert one["sockets_served"] == {"fits": 0, "with care": 1}
        assert "6SN7GTY: with care, 1 good on the shelf, type not settled" in said("substitutes", *arguments)
    for address in (reverse("sets:position", args=[position.pk]), reverse("tubes:type-instead", args=["6SN7GT"])):
        page = as_visitor.get(address)
        assert "Marked so, type not settled, figures taken from 6SN7GT" in page_text(page)
        (listed,) = [row for row in page.context["page"] if row.type == "6SN7GTY"]
        assert listed.marked is not None and listed.owned_good == 1
        assert as_visitor.get(reverse("frontpage:look-up"), {"q": "6SN7GTY"}).status_code == 200
        assert "Add it as a type of your own" not in page_text(page)
        assert "?name=6SN7GTY" in page_text(as_keeper.get(address))
    assert not [row for row in asked("substitutes", "807")["candidates"] if row["type"] == "6SN7GTY"]


def test_it_stays_unsettled(position, as_visitor):
    for address in ("/look-up/?q=6SN7GT", "/pocket/?q=6SN7GT", "/types/6SN7GT/instead/", "/pocket/saved-copy/?file=1"):
        as_visitor.get(address)
    assert Tube.objects.filter(type__isnull=True).count() == 2
    assert not TubeType.objects.filter(name="6SN7GTY").exists()


@pytest.mark.parametrize(
    "mark",
    [
        "6SN7",  # of which form it is, nobody said
        "6SN70",
        "6SN7GTY / 6SL7GTY",  # two numbers
        "6SNX/6SN7GTY",
        "VT-231A",  # a letter behind a Signal Corps number tells no form
        "6SN7GT",  # a type: settled from its page
    ],
)
def test_other_marks_count_for_nothing(mark):
    TubeFactory(type=None, marked=mark)
    assert marked_forms(knowledge()) == {} == marked_forms(knowledge(), ["6SN7GT", "6SL7GT"])


def test_what_is_no_spare_is_not_counted(position):
    Tube.objects.all().delete()
    FittingFactory(position=PositionFactory(), tube=TubeFactory(type=None, marked="6SN7GTY"))
    TubeFactory(type=None, marked="6SN7GTY", lent_to="R. Oddsworth")
    TubeFactory(type=None, marked="6SN7GTY", gone_on="2020-01-01")
    assert marked_forms(knowledge()) == {}


def test_a_form_is_approved_once_it_is_a_type_of_the_keepers_own(position, as_keeper, today):
    """An approval names a type. The refusal says how the keeper gets there, and that way leads there."""
    add = reverse("sets:approval-add", args=[position.pk])
    cells = {"type": "6SN7GTY", "verdict": "approved", "on": today, "source": "R. Oddsworth, letter", "words": ""}
    refused = as_keeper.post(add, cells)
    (words,) = refused.context["form"].errors["type"]
    assert refused.status_code == 422 and not Approval.objects.exists()
    assert words.startswith("6SN7GTY is not in the tables; by its letters it is a form of 6SN7GT. Add it as a type of")
    assert as_keeper.post(reverse("tubes:type-add"), {"name": "6SN7GTY"}).status_code == 302
    assert as_keeper.post(reverse("holdings:tubes-settle", args=["6SN7GTY"])).status_code == 302
    assert Tube.objects.filter(type__name="6SN7GTY").count() == 2
    assert as_keeper.post(add, cells).status_code == 302
    (one,) = [row for row in asked("substitutes", "--position", "Corrie R 3:V7")["candidates"] if row["words"]]
    assert (one["type"], one["verdict"], one["owned_good"]) == ("6SN7GTY", "with care", 1)
    assert "type_not_settled" not in one


def test_commands_that_want_a_type_say_the_same(position):
    with pytest.raises(CommandError, match="6SN7GTY is not in the tables; by its letters it is a form of 6SN7GT"):
        asked("substitutes", "6SN7GTY")


@pytest.mark.growth
def test_twice_the_tubes_take_no_more_questions(position, as_visitor):
    addresses = [
        "/look-up/?q=6SN7GT", "/pocket/?q=6SN7GT", "/pocket/?q=6SN7GTY", "/pocket/saved-copy/?file=1",
        reverse("sets:position", args=[position.pk]), reverse("tubes:type-instead", args=["6SN7GT"]),
    ]  # fmt: skip

    def count(address):
        return cost(lambda: answered(as_visitor, address))

    def grow():
        for number in range(10):
            TubeFactory(type=None, marked=f"6SN7GTY {number}")
            TubeFactory(type=None, marked="6SN7GTX")
            place = PositionFactory(set_model=position.set_model, type=position.type)
            ChassisFactory(model=place.set_model)

    grow()
    before = [count(address) for address in addresses]
    grow()
    assert [count(address) for address in addresses] == before
    assert {one.type: one.good for one in look_up("6SN7GT").matches[0].good_forms} == {"6SN7GTY": 21, "6SN7GTX": 20}
