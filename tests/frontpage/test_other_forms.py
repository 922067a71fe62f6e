"""Another form of a type (6SK7GT for 6SK7) counts where the type is wanted, with care: look-up, pocket page, copy."""

import json
from io import StringIO

import pytest
from django.core.management import call_command
from django.urls import reverse

from inventory.frontpage.queries.pocket import pocket_answer
from inventory.frontpage.queries.saved_copy import saved_copy
from tests.factories import (
    ChassisFactory,
    DesignationFactory,
    PositionFactory,
    SetModelFactory,
    TubeFactory,
    TubeTypeFactory,
)

pytestmark = [pytest.mark.django_db, pytest.mark.worked_out, pytest.mark.usefixtures("reference")]

FORM = "small glass for metal"


def kind(name):
    return TubeTypeFactory(name=name)


def lookup(text):
    out = StringIO()
    call_command("lookup", text, "--json", stdout=out)
    return json.loads(out.getvalue())


def only(text):
    (match,) = [one for one in lookup(text)["matches"] if one["type"] == text]
    return match


@pytest.fixture
def receiver():
    """A receiver of an invented model that wants a 6SK7 in V2; nothing is in it. Two good 6SK7GT lie on the shelf."""
    place = PositionFactory(set_model=SetModelFactory(name="Corrie R 3"), mark="V2", type=kind("6SK7"))
    ChassisFactory(model=place.set_model, serial="12")
    for _ in range(2):
        TubeFactory(type=kind("6SK7GT"))
    return place


def test_the_look_up_of_a_form_names_the_positions_of_its_type(receiver):
    assert only("6SK7GT")["positions"] == []
    assert only("6SK7GT")["positions_as_form"] == [
        {"set_model": "Corrie R 3", "position": "V2", "wants": "6SK7", "form": FORM, "verdict": "with care"}
    ]


def test_the_look_up_of_a_type_counts_good_ones_of_its_forms(receiver):
    found = only("6SK7")
    assert found["good_forms"] == [{"type": "6SK7GT", "form": FORM, "good": 2, "verdict": "with care"}]
    assert {"6SK7GT", "6137"} <= {one["type"] for one in found["relatives"]}
    assert "positions_as_form" not in only("807")


def test_the_look_up_says_so_to_people(receiver, as_visitor, capsys):
    call_command("lookup", "6SK7")
    assert f"with care instead of it: 2 good 6SK7GT ({FORM})" in capsys.readouterr().out
    call_command("lookup", "6SK7GT")
    assert f"with care in Corrie R 3 V2, which wants 6SK7 ({FORM})" in capsys.readouterr().out
    page = as_visitor.get(reverse("frontpage:look-up"), {"q": "6SK7GT"}).content.decode()
    assert "With care in" in page and "which wants 6SK7" in page


def test_the_pocket_page_names_sets_that_a_form_may_serve_in(receiver, today, as_visitor):
    (match,) = [one for one in pocket_answer("6SK7GT", today).matches if one.card.name == "6SK7GT"]
    told = [(one.need.mark, one.wants, one.form, one.need.state) for one in match.as_form]
    assert told == [("V2", "6SK7", FORM, "empty")]
    page = as_visitor.get(reverse("frontpage:pocket"), {"q": "6SK7GT"}).content.decode()
    assert "V2 wants 6SK7" in page and FORM in page
    assert f"with care: {FORM}" in as_visitor.get(reverse("frontpage:pocket"), {"q": "6SK7"}).content.decode()


def test_the_saved_copy_holds_it_too(receiver, today):
    rows = {row["names"][0]: row["forms"] for row in saved_copy(today, with_places=True)["types"]}
    (line,) = rows["6SK7GT"]
    assert line.endswith(f"V2 wants 6SK7: empty ({FORM})")
    assert rows["6SK7"] == [f"with care: 2 good 6SK7GT ({FORM})"]


def test_a_form_that_is_no_type_yet_counts_too(receiver):
    """A tube marked 6SN7GTY, whose type is not settled: read by its letters."""
    TubeFactory(type=None, marked="6SN7GTY")
    PositionFactory(set_model=receiver.set_model, mark="V7", type=kind("6SN7GT"))
    (match,) = [one for one in lookup("6SN7")["matches"] if one["type"] == "6SN7GTY"]
    (place,) = match["positions_as_form"]
    assert (place["position"], place["wants"], place["form"]) == ("V7", "6SN7GT", "low-loss base")


def test_what_a_row_forbids_is_no_form(receiver):
    DesignationFactory(
        type=kind("6SK7"), scheme="type-name", designation="6SK7GT", relation="near", origin="keeper",
        note="never plug one for the other",
    )  # fmt: skip
    assert "positions_as_form" not in only("6SK7GT")
