"""Near kin that is no form, and later issues, on the pocket page and its saved copy: with the judge's word and with
what differs. 12SX7GT, 6146B: fixtures/reference/relations.csv. The shelf and the sets are made up."""

import pytest
from django.urls import reverse

from inventory.frontpage.queries import pocket_answer, saved_copy
from tests.counting import asked
from tests.factories import (
    ChassisFactory,
    DesignationFactory,
    PositionFactory,
    SetModelFactory,
    TubeFactory,
    TubeTypeFactory,
)
from tests.pages import page_text

pytestmark = [pytest.mark.django_db, pytest.mark.worked_out, pytest.mark.usefixtures("reference")]

CONTROLLED = "controlled for a plate supply of about 26.5 V (military)"
LATER = "later build with more plate dissipation and a heater of 1.125 A against 1.25 A"


def wants(name, **values):
    """A set of an invented model with one empty position that wants a type."""
    model = SetModelFactory(name="Corrie R 4")
    ChassisFactory(model=model, serial="9")
    return PositionFactory(set_model=model, mark="V1", type=TubeTypeFactory(name=name), **values)


def owned(name, count=1):
    for _ in range(count):
        TubeFactory(type=TubeTypeFactory(name=name))


def card(text, today):
    return next(one for one in pocket_answer(text, today).matches if one.card.name == text)


def forms(today, name):
    copy = saved_copy(today, with_places=False)
    rows = {one: row["forms"] for row in copy["types"] for one in row["names"]}
    return rows[name] if name in rows else copy["other_forms"].get(name)


def test_a_good_variant_is_named_with_what_differs(today, as_visitor):
    wants("12SN7GT")
    owned("12SX7GT", 2)
    (one,) = card("12SN7GT", today).stand_ins
    assert (one.type, one.good, one.verdict) == ("12SX7GT", 2, "with care")
    assert one.words.startswith(f"variant; {CONTROLLED}")
    page = page_text(as_visitor.get(reverse("frontpage:pocket"), {"q": "12SN7GT"}))
    assert f"12SX7GT</a>, with care: variant; {CONTROLLED}" in page
    (line,) = forms(today, "12SN7GT")
    assert line.startswith(f"with care: 2 good 12SX7GT (variant; {CONTROLLED}")


def test_what_simply_fits_stands_first_and_is_called_so(today, as_visitor):
    """1614: a 6L6 selected for transmitting (designations.csv); 6L6G: the glass form, which is wider."""
    wants("6L6")
    owned("1614", 2), owned("6L6G")
    told = [(one.type, one.verdict) for one in card("6L6", today).stand_ins]
    assert told == [("1614", "fits"), ("6L6G", "with care")]
    fits, care = forms(today, "6L6")
    assert fits.startswith("fits: 2 good 1614 (ruggedized") and care.startswith("with care: 1 good 6L6G (")
    assert forms(today, "1614")[0].startswith("fits: Corrie R 4 9 V1 wants 6L6: empty (")
    copy = page_text(as_visitor.get("/pocket/saved-copy/?file=1"))
    assert f"{fits}; {care}" in copy and "with care: fits" not in copy


def test_sets_that_want_its_kin_are_named_for_a_tube_in_the_hand(today, as_visitor):
    """The other way round the note tells of the type that is wanted, and says so."""
    wants("12SN7GT")
    (place,) = card("12SX7GT", today).as_form
    assert (place.wants, place.verdict) == ("12SN7GT", "with care") and place.words.startswith(f"variant; {CONTROLLED}")
    page = page_text(as_visitor.get(reverse("frontpage:pocket"), {"q": "12SX7GT"}))
    assert "V1 wants 12SN7GT" in page and CONTROLLED in page
    (line,) = forms(today, "12SX7GT")
    assert line.startswith("with care: Corrie R 4 9 V1 wants 12SN7GT: empty (variant; controlled")


def test_of_which_of_the_two_it_is_said(today):
    wants("12SX7GT")
    owned("12SN7GT")
    (one,) = card("12SX7GT", today).stand_ins
    assert one.words.startswith(f"variant; of 12SX7GT itself is said: {CONTROLLED}")
    (place,) = card("12SN7GT", today).as_form
    assert place.words.startswith(f"variant; of 12SX7GT itself is said: {CONTROLLED}")


def test_a_later_issue_says_what_it_changed(today, as_visitor):
    wants("6146")
    owned("6146B")
    (one,) = card("6146", today).stand_ins
    assert one.words.startswith(f"a later issue, B; {LATER}") and one.verdict == "with care"
    (place,) = card("6146B", today).as_form
    assert place.words.startswith(f"a later issue, B; {LATER}")
    assert forms(today, "6146")[0].startswith(f"with care: 1 good 6146B (a later issue, B; {LATER}")
    assert LATER in page_text(as_visitor.get(reverse("frontpage:pocket"), {"q": "6146"}))


def test_what_the_judge_finds_unsuitable_is_no_spare(today):
    """12SN7GT: 12.6 V heater (designations.csv). Not on 6.3 V, and with care where the position gives 12.6 V."""
    wants("6SN7GT", heater_v=6.3)
    owned("12SN7GT")
    assert card("6SN7GT", today).stand_ins == () == card("12SN7GT", today).as_form
    assert forms(today, "6SN7GT") == []
    other = PositionFactory(mark="V2", type=TubeTypeFactory(name="6SN7GT"), heater_v=12.6)
    ChassisFactory(model=other.set_model)
    (place,) = card("12SN7GT", today).as_form
    assert (place.need.mark, place.verdict, place.words) == ("V2", "with care", "near; 12.6 V heater")


def test_what_a_row_forbids_and_leads_are_no_spares(today):
    wants("6SK7")
    owned("ZZ71"), owned("ZZ72")
    for name, note in (("ZZ71", "never plug one for the other"), ("ZZ72", "unchecked: heard of")):
        DesignationFactory(
            type=TubeTypeFactory(name="6SK7"), scheme="type-name", designation=name, relation="near", note=note,
            origin="keeper",
        )  # fmt: skip
    assert card("6SK7", today).stand_ins == () and forms(today, "6SK7") == []
    assert card("ZZ71", today).as_form == () == card("ZZ72", today).as_form


def test_a_relative_of_what_is_neither_owned_nor_wanted_is_in_the_copy(today):
    owned("12SX7GT")
    copy = saved_copy(today, with_places=False)
    assert copy["other_forms"]["12SN7GT"][0].startswith("with care: 1 good 12SX7GT (variant; ")
    assert ["12SN7GT", "same"] in copy["marks"]["12SN7GT"]
    assert "807" not in copy["marks"]


@pytest.mark.growth
def test_twice_the_tubes_take_no_more_questions(as_visitor):
    def grow():
        for name in ("12SN7GT", "12SX7GT", "6146", "6146B"):
            for _ in range(10):
                owned(name)
                ChassisFactory(model=PositionFactory(type=TubeTypeFactory(name=name)).set_model)

    addresses = ["/pocket/?q=12SN7GT", "/pocket/?q=6146B", "/pocket/saved-copy/?file=1", "/look-up/?q=12SN7GT"]
    grow()
    before = [asked(as_visitor, address) for address in addresses]
    grow()
    assert [asked(as_visitor, address) for address in addresses] == before
