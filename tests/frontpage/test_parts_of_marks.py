"""A number that is only a part of what was asked answers nothing; what bears the very mark is counted; near relatives.

STV 280/80 (a gas-filled stabilizer) is no 80 and 53/57 no 57: the same decision as for a list (common practice, no
source). 12SN7GT is a 6SN7GT with a 12.6 V heater (designations.csv).
"""

import json

import pytest
from django.core.management import call_command

from inventory.frontpage.queries import look_up, pocket_answer, saved_copy
from tests.counting import cost
from tests.factories import TubeFactory, TubeTypeFactory
from tubes.queries import types_named

pytestmark = [pytest.mark.django_db, pytest.mark.worked_out, pytest.mark.usefixtures("reference")]


def owned(name, count=1, **cells):
    return [TubeFactory(type=TubeTypeFactory(name=name), marked=name, **cells) for _ in range(count)]


def lookup(capsys, text):
    call_command("lookup", text, "--json")
    return json.loads(capsys.readouterr().out)


def page(client, address, text):
    return " ".join(client.get(address, {"q": text}).content.decode().split())


@pytest.mark.parametrize(
    ("text", "part", "beside"),
    [("STV 280/80", "80", "STV 280/80"), ("53/57", "57", "53/57"), ("STV280/80", "80", "STV280")],
)
def test_a_part_of_a_number_answers_nothing(text, part, beside, capsys, as_visitor, today):
    owned(part, 3)
    answer = lookup(capsys, text)
    assert answer["matches"] == [] and answer["only_parts"] == [part]
    assert answer["only_parts_words"].startswith(f"{beside} is not in the tables")
    assert as_visitor.get("/api/lookup", {"text": text}).json() == answer
    call_command("lookup", text)
    said = capsys.readouterr().out
    assert said.startswith(f"{text}: {beside} is not in the tables") and "3 good" not in said
    assert pocket_answer(text, today).matches == ()
    for address in ("/look-up/", "/pocket/"):
        shown = page(as_visitor, address, text)
        assert f"{beside} is not in the tables" in shown and "VT-80" not in shown
    assert part not in types_named(text)


def test_the_part_by_itself_is_answered_as_ever(capsys):
    owned("80", 3)
    answer = lookup(capsys, "80")
    assert answer["matches"][0]["owned"]["good"] == 3 and "only_parts" not in answer


def test_a_tube_so_marked_is_answered(capsys, as_visitor, today):
    owned("80", 3)
    tube = TubeFactory(type=None, marked="STV 280/80", state="untested")
    answer = lookup(capsys, "STV 280/80")
    assert answer["matches"] == [] and answer["marked_so"]["owned"]["untested"] == 1
    assert "marked_so" not in lookup(capsys, "80")  # it is no 80
    assert tube.tag in page(as_visitor, "/look-up/", "STV 280/80")
    (card,) = pocket_answer("STV 280/80", today).told
    assert (card.card.name, card.stock.untested, card.settled) == ("STV 280/80", 1, False)


def test_a_type_of_the_keepers_own_with_that_name_is_answered(capsys):
    owned("STV 280/80", 2)
    (match,) = lookup(capsys, "STV 280/80")["matches"]
    assert (match["type"], match["owned"]["good"]) == ("STV 280/80", 2)


def test_a_mark_without_a_type_has_its_counts(capsys, as_visitor):
    TubeFactory(type=None, marked="EL3N")
    TubeFactory(type=None, marked="EL3N", state="weak")
    TubeFactory(type=None, marked="EL3")
    answer = lookup(capsys, "EL3N")["marked_so"]
    assert (answer["type"], answer["owned"]["good"], answer["owned"]["weak"]) == ("EL3N", 1, 1)
    both = lookup(capsys, "EL3")
    assert both["marked_so"]["owned"]["good"] == 1
    assert [(row["type"], row["owned"]["good"]) for row in both["matches"]] == [("EL3", 0), ("EL3N", 1)]
    shown = page(as_visitor, "/look-up/", "EL3")
    assert "glass or metal" not in shown and "another base, bulb or issue" in shown
    assert shown.index('plate-title">EL3<') < shown.index('plate-title">EL3N<')
    assert (
        "EL3, a mark whose type is not settled: 1 good" in (call_command("lookup", "EL3"), capsys.readouterr().out)[1]
    )


def test_letters_of_american_numbers_tell_what_they_told(as_visitor):
    assert "tell the form: glass or metal" in page(as_visitor, "/look-up/", "6SN7")


def test_types_here_that_begin_so_are_told_with_their_tubes(capsys, as_visitor, today):
    owned("6SK7", 8)
    owned("6SN7GT")
    TubeFactory(type=None, marked="6S odd")
    answer = lookup(capsys, "6S")
    assert answer["begins_so_here"] == [{"type": "6SK7", "tubes": 8}, {"type": "6SN7GT", "tubes": 1}]
    assert pocket_answer("6s", today).begun_here == (("6SK7", 8), ("6SN7GT", 1))
    assert "(8)" in page(as_visitor, "/look-up/", "6S")
    assert "begins_so_here" not in lookup(capsys, "6SK7")


def test_a_near_relative_says_that_it_is_one(capsys, as_visitor):
    owned("6SN7GT", 4)
    own, near = lookup(capsys, "12SN7GT")["matches"]
    assert (own["type"], near["type"], near["read_as"]) == ("12SN7GT", "6SN7GT", "near") and "read_as" not in own
    words = "What you typed is no plain 6SN7GT: a near relative (12.6 V heater). Counted apart."
    for address in ("/look-up/", "/pocket/"):
        assert words in page(as_visitor, address, "12SN7GT"), address
        assert "What you typed" not in page(as_visitor, address, "VT-231")
    call_command("lookup", "12SN7GT")
    assert words in capsys.readouterr().out


def test_a_lead_says_that_nobody_checked_it():
    told = {match.card.name: match.read_words for match in look_up("CV1932").matches}
    assert told["6J5"] == "That it is 6J5 is a lead that nobody checked."


def test_the_copy_names_good_ones_of_other_forms_of_a_tube_that_is_not_owned(today):
    owned("6SN7GT", 4)
    (line,) = saved_copy(today, with_places=False)["other_forms"]["6SN7WGT"]
    assert line.startswith("with care: 4 good 6SN7GT (")


@pytest.mark.growth
@pytest.mark.parametrize("text", ["STV 280/80", "EL3", "6S", "12SN7GT"])
def test_twice_the_tubes_take_no_more_questions(text):
    def ask():
        for number in range(10):
            owned("80"), owned("6SN7GT"), owned(f"6SZ{number}{TubeFactory(type=None).pk}")
            TubeFactory(type=None, marked="STV 280/80"), TubeFactory(type=None, marked="EL3")
            TubeFactory(type=None, marked="EL3N")
        return cost(lambda: look_up(text))

    assert ask() == ask()
