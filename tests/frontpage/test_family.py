"""A family number finds its forms. The letters of forms: tests/tubes/rules/test_family.py; the shelf is made up."""

import json
from io import StringIO

import pytest
from django.core.management import call_command

from inventory.frontpage.queries import look_up, pieces_for, pocket_answer, saved_copy
from inventory.frontpage.queries.look_up import MOST_FORMS
from tests.counting import asked
from tests.factories import PlaceFactory, TubeFactory, TubeTypeFactory
from tubes.queries import types_named

#: The forms of this number that the tables have.
SIX_SN7 = ["6SN7GT", "6SN7GTA", "6SN7GTB", "6SN7W", "6SN7WGT", "6SN7WGTA"]
pytestmark = [pytest.mark.django_db, pytest.mark.worked_out, pytest.mark.usefixtures("reference")]


@pytest.fixture
def shelf():
    """Three 6SN7GT, one 6SN7WGT, two marked 6SN7GTY and one marked 6SN7, of no settled type; a 6SN70 that is none."""
    place = PlaceFactory(code="R1")
    for _ in range(3):
        TubeFactory(type=TubeTypeFactory(name="6SN7GT"), place=place)
    TubeFactory(type=TubeTypeFactory(name="6SN7WGT"), marked="6SN7WGT", place=place, state="untested")
    TubeFactory(type=None, marked="6SN7GTY", place=place)
    TubeFactory(type=None, marked="JAN-CHS-6SN7-GTY", place=place, state="weak")
    TubeFactory(type=None, marked="6SN7", place=place)
    TubeFactory(type=None, marked="6SN70", place=place)
    return place


def said_of(text):
    out = StringIO()
    call_command("lookup", text, "--json", stdout=out)
    return json.loads(out.getvalue())


def test_every_form_with_its_counts(shelf):
    found = {row["type"]: row for row in said_of("6SN7")["matches"]}
    assert list(found) == [*SIX_SN7, "6SN7GTY"]
    assert all(row["beginning"] is True for row in found.values())
    assert found["6SN7GT"]["owned"]["good"] == 3 and found["6SN7WGT"]["owned"]["untested"] == 1
    assert found["6SN7GTY"]["owned"] == {"good": 1, "untested": 0, "weak": 1, "dud": 0, "fitted": 0}
    assert found["6SN7GTY"]["type_not_settled"] is True
    assert [tube.marked for tube in pieces_for(look_up("6SN7")) if not tube.type] == [
        "6SN7GTY",
        "6SN7",
        "JAN-CHS-6SN7-GTY",
    ]


@pytest.mark.parametrize(
    ("text", "forms"),
    [
        ("6SN7", SIX_SN7),
        ("6 sn 7", SIX_SN7),
        ("JAN-CRC-6SN7", SIX_SN7),
        ("12SX7", ["12SX7GT"]),
        ("5U4", ["5U4G", "5U4GA", "5U4GB", "5U4WG", "5U4WGB"]),
        ("5R4", ["5R4GY", "5R4GYA", "5R4GYB", "5R4WGA", "5R4WGB", "5R4WGY"]),
        ("6X5", []),  # a type of its own, and none of its forms is here
        ("6S", []),
        ("6SN", []),
        ("E80", []),
        ("6SN7G", []),
    ],
)
def test_what_is_a_family(text, forms):
    TubeTypeFactory(name="12SX7GT")
    assert [match.card.name for match in look_up(text).forms] == forms


def test_a_european_family_takes_no_other_number():
    """EL3N is the later issue of EL3; EL32, EL33, EL34 and EL37 are other tubes (common practice, no source)."""
    TubeFactory(type=TubeTypeFactory(name="EL3N"), marked="EL3N")
    TubeFactory(type=TubeTypeFactory(name="EL34"), marked="EL34")
    assert [row["type"] for row in said_of("EL3")["matches"]] == ["EL3", "EL3N"]  # the EL3 is named by a handbook alone


@pytest.mark.parametrize("number", ["6SK7", "6V6"])
def test_a_type_of_that_very_number_comes_first_and_forms_that_are_here_behind_it(number):
    (alone,) = said_of(number)["matches"]
    assert alone["type"] == number and "beginning" not in alone
    TubeFactory(type=TubeTypeFactory(name=f"{number}GT"), marked=f"{number}GT")
    TubeFactory(type=None, marked=f"{number}GTX")
    first, *forms = said_of(number)["matches"]
    assert first.pop("good_forms")[0]["type"] == f"{number}GT" and first == alone
    assert [(row["type"], row["owned"]["good"], row["beginning"]) for row in forms] == [
        (f"{number}GT", 1, True),
        (f"{number}GTX", 1, True),
    ]


def test_page_pocket_page_api_and_search_say_the_same(shelf, as_visitor, today):
    page = as_visitor.get("/look-up/", {"q": "6SN7"}).content.decode()
    pocket = as_visitor.get("/pocket/", {"q": "6SN7"}).content.decode()
    for text in (page, pocket):
        assert all(name in text for name in ("6SN7GT", "6SN7WGT", "6SN7GTY")) and "6SN70" not in text
        assert "Not known" not in text and ("Forms of" in text or "A family number" in text)
    assert as_visitor.get("/api/lookup", {"text": "6SN7"}).json() == said_of("6SN7")
    answer = pocket_answer("6SN7", today)
    assert [(m.card.name, m.stock.good, m.beginning) for m in answer.matches] == [
        ("6SN7GT", 3, True),
        ("6SN7GTA", 0, True),
        ("6SN7GTB", 0, True),
        ("6SN7W", 0, True),
        ("6SN7WGT", 0, True),
        ("6SN7WGTA", 0, True),
        ("6SN7GTY", 1, True),
    ]
    assert {tube.marked for tube in answer.untyped} == {"6SN7", "6SN7GTY", "JAN-CHS-6SN7-GTY"}
    assert types_named("6SN7") == {*SIX_SN7}
    listed = as_visitor.get("/tubes/", {"type": "6SN7"}).context["page"].object_list
    assert len(listed) == 7 and all(tube.marked != "6SN70" for tube in listed)


def test_the_command_says_it_in_words(shelf, capsys):
    call_command("lookup", "6SN7")
    said = capsys.readouterr().out
    assert "6SN7 names a family; its forms:" in said and "6SN7GT: 3 good" in said
    assert "6SN7GTY, a mark whose type is not settled: 1 good, 0 untested, 1 weak" in said
    assert "marked 6SN7, good" in said and "6SN70" not in said


def test_the_saved_copy_knows_the_families(shelf, today):
    copy = saved_copy(today, with_places=False)
    names = [copy["types"][one]["names"][0] if isinstance(one, int) else one for one in copy["families"]["6SN7"]]
    assert names == SIX_SN7
    assert "6S" not in copy["families"] and "12SX7" not in copy["families"]  # nothing of it is owned or wanted


def test_a_long_list_is_bounded_and_said_to_be(as_visitor):
    marks = [f"6SN7{glass}{issue}{base}" for glass in ("GT", "G", "M") for issue in "ABCDEF" for base in ("", "X", "Y")]
    for mark in marks:
        TubeFactory(type=None, marked=mark)
    found = said_of("6SN7")
    known = 4  # 6SN7GT, 6SN7W, 6SN7WGT and 6SN7WGTA of the tables, beside what is marked here
    assert len(found["matches"]) == MOST_FORMS and found["forms_not_told"] == len(marks) + known - MOST_FORMS
    assert f"{found['forms_not_told']} more form" in as_visitor.get("/pocket/", {"q": "6SN7"}).content.decode()
    like = look_up("6S")
    assert len(like.like) == 12 and like.more_like > 5
    assert f"and {like.more_like} more" in as_visitor.get("/look-up/", {"q": "6S"}).content.decode()


@pytest.mark.growth
@pytest.mark.parametrize("address", ["/look-up/", "/pocket/"])
def test_twice_the_tubes_take_no_more_questions(as_visitor, address):
    def ask():
        for _ in range(10):
            TubeFactory(type=TubeTypeFactory(name="6SN7GT"))
            TubeFactory(type=None, marked="6SN7GTY")
        return asked(as_visitor, address, q="6SN7")

    assert ask() == ask()
