"""The family sheet: page, paper and command alike, from one query; the judge's word is that of the judge."""

import re
import shutil
import subprocess

import pytest
from django.urls import reverse

from tests.commands import answer_of, refused, told
from tests.counting import asked
from tests.factories import DesignationFactory, TubeTypeFactory
from tests.pages import page_text
from tubes.models import KEEPER, Rating
from tubes.queries.family import KIN_ON_A_SHEET, base_of, family_sheet
from tubes.queries.judging import court
from tubes.rules.judge_parts import Conditions

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]
needs_poppler = pytest.mark.skipif(shutil.which("pdftotext") is None, reason="pdftotext is not installed")


def address(name, what="family"):
    return reverse(f"tubes:{what}", args=[name])


def names(sheet):
    return [one.name for one in sheet.columns]


@pytest.mark.parametrize(("name", "lender"), [("5687WA", "5687"), ("55S", "55"), ("5687", "")])
def test_a_form_has_the_pins_that_a_handbook_tells_of_its_type_and_says_so(name, lender):
    """avo-vdm23, rows 5687 (heater on 4, 5 and 8, plates on 1 and 9) and 55; the forms by their rows, from memory."""
    drawn, numbers = base_of(name), court()[name].numbers
    assert drawn.told == "as tested" and drawn.of == lender and ("Taken from" in drawn.described(name)) is bool(lender)
    assert {drawn.of or name} == {numbers[key].via or name for key in ("heater_v", "gm_umho")}
    if name.startswith("5687"):
        assert [one.name for one in drawn.in_use if one.codes == ("h",)] == ["4", "5", "8"]


def test_kin_stand_beside_the_type_with_the_word_of_the_judge():
    sheet = family_sheet("6SN7GT")
    assert names(sheet)[0] == "6SN7GT" and sheet.columns[0].judgement is None
    assert sheet.sheets == -(-len(sheet.kin) // KIN_ON_A_SHEET) > 1 and len(sheet.columns) == KIN_ON_A_SHEET + 1
    every = {name for at in range(1, sheet.sheets + 1) for name in names(family_sheet("6SN7GT", sheet=at))}
    assert every == {"6SN7GT", *(other for other, _ in sheet.kin)} and {"5692", "12SN7GT", "6SN7GTB"} <= every
    last = tuple(names(family_sheet("6SN7GT", sheet=9))[1:])  # the last one, where there is no ninth
    assert last and sheet.left_out[-len(last) :] == last
    judges = court()
    for one in sheet.columns[1:]:
        assert one.judgement.as_dict() == judges.judge("6SN7GT", one.name, Conditions()).as_dict()


def test_which_kin_and_other_types_are_the_readers_to_choose():
    sheet = family_sheet("807", ["1625"], "6L6; VT-231")
    assert names(sheet) == ["807", "6L6", "6SN7GT", "1625"] and dict(sheet.kin)["1625"]
    assert [one.relation for one in sheet.columns[1:3]] == ["", ""]
    assert names(family_sheet("807", [], "RV2,4P700")) == ["807", "RV2,4P700"]  # a comma in a name
    assert names(family_sheet("807", [], "6L6, 6V6")) == ["807", "6L6", "6V6"]
    bad = family_sheet("807", [], "6L6;ZZ-none;807")
    assert names(bad) == ["807", "6L6"] and len(bad.refused) == 1 and "ZZ-none" in bad.refused[0]
    assert "at most" in family_sheet("807", [], "x" * 601).refused[0]
    with pytest.raises(ValueError, match="ZZ-none"):
        family_sheet("ZZ-none")


def test_differences_bear_sign_and_word(as_visitor):
    """12.6 V for 6.3 V: a 1625 is an 807 with another heater and base (RCA, from memory)."""
    text = page_text(as_visitor.get(address("807"), {"picked": "yes", "kin": ["1625", "5B/254M"]}))
    assert "<strong>\u2260 12.6</strong>" in text and "+100 %" in text and "another socket" in text
    assert "may stand in for 807:" in text and "unsuitable" in text and "differs from 807" in text
    assert '<th scope="row">base</th>' in text and '<span class="family-unknown">not known</span>' in text
    assert 'aria-label="Base of 807: 5-pin' in text and "Seen from below" in text and "top cap plate" in text
    assert reverse("tubes:type", args=["1625"]) in text and "Power off, discharge" in text


def test_cautions_and_leads_are_told(as_visitor):
    text = page_text(as_visitor.get(address("866A"), {"also": "3BP1"}))
    assert "Caution: " in text and "mercury" in text.casefold() and "implode" in text
    assert "?kin=" not in text and "named by the reader" in text


def test_sheets_are_turned_and_say_what_they_leave_out(as_visitor):
    first = as_visitor.get(address("12AU7"), {"also": "12AX7"})
    left = first.context["sheet"].left_out
    text = page_text(first)
    assert "Sheet 1 of" in text and all(name in text for name in left)
    assert "?also=12AX7&amp;sheet=2" in text
    second = as_visitor.get(address("12AU7"), {"also": "12AX7", "sheet": "2"})
    assert names(second.context["sheet"])[1] == left[0] and second.context["sheet"].sheet == 2
    for odd in ("0", "-1", "two", "9999999"):
        assert as_visitor.get(address("12AU7"), {"sheet": odd}).status_code == 200
    assert as_visitor.get(address("ZZ-none")).status_code == 404


def test_a_basing_of_another_base_is_not_drawn_and_says_so(as_visitor):
    """An octal tube beside the basing of the 41, on six pins (RCA Receiving Tube Manual, from memory)."""
    odd = TubeTypeFactory(name="ZZ odd")
    Rating.objects.create(type=odd, base="octal", basing="6B", origin=KEEPER)
    said = "Basing 6B is drawn on another base (UX6)"
    assert said in page_text(as_visitor.get(reverse("tubes:type", args=["ZZ odd"])))
    assert f"ZZ odd: {said}" in page_text(as_visitor.get(address("6SN7GT"), {"also": "ZZ odd"}))
    answer, _ = answer_of("family_sheet", "6SN7GT", "--also", "ZZ odd")
    base = next(one["base"] for one in answer["columns"] if one["type"] == "ZZ odd")
    assert base["not_shown"].startswith(said) and not base["pins"]


def test_a_type_without_kin_asks_for_names(as_visitor):
    name = TubeTypeFactory(name="ZZ lone").name
    text = page_text(as_visitor.get(address(name)))
    assert "know no kin of ZZ lone" in text and "no base known" in text


def test_it_is_reached_from_the_type_and_from_a_stamp(as_visitor):
    for page, sent in ((reverse("tubes:type", args=["6SN7GT"]), {}), (reverse("frontpage:look-up"), {"q": "VT-231"})):
        assert address("6SN7GT") in as_visitor.get(page, sent).content.decode()


STRANGERS = {"also": "829B;3BP1;5U4G;866A;1B24", "picked": "1"}  # of whom there is more to say than of kin


@needs_poppler
@pytest.mark.parametrize(("name", "sent", "paper"), [("6146B", {}, "A4"), ("6L6", STRANGERS, "Letter")])
def test_the_paper_is_one_page_across(as_visitor, name, sent, paper):
    answer = as_visitor.get(address(name, "family-pdf"), sent | {"paper": paper})
    assert answer["Content-Type"] == "application/pdf"
    text = subprocess.run(["pdftotext", "-layout", "-", "-"], input=answer.content, capture_output=True, check=True)
    words = text.stdout.decode()
    assert words.count("\f") == 1 and f"{name} beside its kin" in words and "from below" in words
    assert f"May they stand in for {name}" in words and "Power off" in words
    wide, high = map(float, re.search(rb"/MediaBox \[ *0 0 ([\d.]+) ([\d.]+)", answer.content).groups())
    assert wide > high


def test_the_command_answers_as_the_page():
    answer, _ = answer_of("family_sheet", "VT-231", "--kin", "ECC32", "--also", "6SL7GT")
    assert answer["type"] == "6SN7GT" and [one["type"] for one in answer["columns"]] == ["6SN7GT", "6SL7GT", "ECC32"]
    ecc32 = answer["columns"][2]
    assert ecc32["figures"]["heater_a"]["standing"] == "differs" and ecc32["verdict"] == "with care"
    assert ecc32["base"]["pins"]["7"] == "heater" and ecc32["pins_differ"] == []
    words = told("family_sheet", "VT-231", "--kin", "ECC32")
    assert "ECC32 for 6SN7GT: with care" in words and "heater, A | 0.6" in words and "Caution: plate" in words
    assert "ZZ-none" in refused("family_sheet", "ZZ-none") and "ZZ-none" in refused(
        "family_sheet", "807", "--also", "ZZ-none"
    )


def test_twice_the_kin_take_no_more_questions(as_visitor):
    wanted = TubeTypeFactory(name="ZZ head")

    def grown():
        for _ in range(10):
            DesignationFactory(type=wanted, relation="near", note="a lead of this test")
        return asked(as_visitor, address("ZZ head")), len(as_visitor.get(address("ZZ head")).context["sheet"].kin)

    (first, ten), (second, twenty) = grown(), grown()
    assert (ten, twenty) == (10, 20) and first == second
