"""The look-up: what a text means, what is owned of it, where, and who wants it.

What a number means is taken from fixtures/reference/designations.csv, read by eye; VT-231 = 6SN7GT and VT-60 = 850
stand in the U.S. Signal Corps VT list (as compiled there, from memory), VT60 = 807 in the Royal Air Force's.
"""

import pytest
from django.conf import settings
from django.core.management import call_command

from inventory.frontpage.queries import look_up, pieces_for
from inventory.frontpage.wording.look_up import look_up_as_json, match_as_json
from inventory.sets.queries import stock_of
from inventory.sets.queries.sockets import positions_wanting
from tests.factories import (
    FittingFactory,
    PlaceFactory,
    PositionFactory,
    SetModelFactory,
    TubeFactory,
    TubeTypeFactory,
)
from tests.pages import page_text

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


def tubes(count, name, **cells):
    kind = TubeTypeFactory(name=name)
    return [TubeFactory(type=kind, **cells) for _ in range(count)]


def only_match(text):
    (match,) = look_up(text).matches
    return match_as_json(match)


@pytest.fixture
def shelf(today):
    """Seven good 6SN7GT: four free, one lent, one gone, one fitted; and some of other states."""
    first, second = PlaceFactory(code="R1"), PlaceFactory(code="R2")
    tubes(3, "6SN7GT", place=first)
    tubes(1, "6SN7GT")
    tubes(1, "6SN7GT", place=first, lent_to="R. Oddsworth")
    tubes(1, "6SN7GT", place=first, gone_on=today)
    tubes(2, "6SN7GT", place=second, state="untested")
    tubes(1, "6SN7GT", place=second, state="weak")
    tubes(1, "6SN7GT", place=second, state="dud")
    FittingFactory(position=PositionFactory(mark="V3", set_model=SetModelFactory(name="Ostercape TX 5")))
    return first, second


def test_good_excludes_fitted_lent_and_gone(shelf):
    found = only_match("VT-231")
    assert found["type"] == "6SN7GT"
    assert found["owned"] == {"good": 4, "untested": 2, "weak": 1, "dud": 1, "fitted": 1}
    assert found["places"] == [
        {"place": "R1", "good": 3, "untested": 0},
        {"place": "R2", "good": 0, "untested": 2},
        {"place": "without a place", "good": 1, "untested": 0},
    ]
    assert found["positions"] == [{"set_model": "Ostercape TX 5", "position": "V3"}]


def test_a_fitted_tube_counts_once_whatever_its_state(shelf):
    FittingFactory(tube=TubeFactory(state="weak"))
    assert stock_of(["6SN7GT"]).as_dict() == {"good": 4, "untested": 2, "weak": 1, "dud": 1, "fitted": 2}


def test_a_tube_taken_out_is_a_spare_again(shelf, today):
    before = stock_of(["6SN7GT"])
    FittingFactory(tube=TubeFactory(type=TubeTypeFactory()), until=today)
    assert stock_of(["6SN7GT"]).good == before.good + 1


def test_every_number_of_a_tube_finds_the_same_tubes(shelf):
    owned = only_match("VT-231")["owned"]
    for text in ("6SN7GT", "CV1988", "6Н8С", "vt 231", "JAN-CHS-6SN7GT"):
        assert only_match(text)["owned"] == owned, text
        assert only_match(text)["type"] == "6SN7GT", text


def test_a_match_has_the_promised_shape(shelf):
    found = look_up_as_json(look_up("VT-231"))
    assert list(found) == ["query", "matches"] and found["query"] == "VT-231"
    (match,) = found["matches"]
    assert list(match) == ["type", "designations", "relatives", "owned", "places", "positions", "figures"]
    graded = {one["figure"]: (one["value"], one["grade"]) for one in match["figures"]}
    assert graded["heater_v"] == (6.3, "handbook") and graded["basing"][0] == "8BD"
    assert {tuple(d) for d in match["designations"]} == {("scheme", "designation", "relation", "note", "source")}
    assert {tuple(d) for d in match["relatives"]} == {("type", "relation", "note")}
    marks = {(d["scheme"], d["designation"], d["relation"]) for d in match["designations"]}
    assert {
        ("us-signal-corps-vt", "VT-231", "same"),
        ("uk-cv", "CV1988", "same"),
        ("maker", "6SN7WGT", "ruggedized"),
        ("uk-cv", "CV181", "near"),  # in truth the ECC32, whose heater draws more
    } <= marks


def test_one_tube_under_two_names_is_one_match():
    """EL34 and 6CA7 share a number in the tables: their tubes are counted together, however each was entered."""
    tubes(2, "EL34")
    tubes(3, "6CA7")
    for text in ("EL34", "6CA7"):
        found = only_match(text)
        assert {found["type"], *(r["type"] for r in found["relatives"] if r["relation"] == "same")} >= {"EL34", "6CA7"}
        assert found["owned"]["good"] == 5


def test_a_ruggedized_tube_is_counted_by_itself():
    """6SN7WGT may stand in for 6SN7GT, a plain 6SN7GT not for it: two matches, its own first."""
    tubes(2, "6SN7GT")
    tubes(1, "6SN7WGT")
    own, plain = look_up("6SN7WGT").matches
    assert (own.card.name, own.stock.good) == ("6SN7WGT", 1)
    assert (plain.card.name, plain.stock.good) == ("6SN7GT", 2)
    assert ("6SN7GT", "plain form") in {(r.type, r.relation) for r in own.card.relatives}
    assert ("6SN7WGT", "ruggedized") in {(r.type, r.relation) for r in plain.card.relatives}


def test_two_services_one_number_both_meanings_none_chosen():
    """VT-60: an 850 in the U.S. list, an 807 in the Royal Air Force's."""
    found = look_up("VT-60")
    assert found.stamp.ambiguous
    assert [match.card.name for match in found.matches] == ["850", "807"]
    assert {(r.scheme, r.type) for r in found.stamp.readings} == {("us-signal-corps-vt", "850"), ("uk-services", "807")}


def test_a_number_that_a_spreadsheet_spoilt_is_refused():
    """A cell 2E26 shown in scientific notation reads 2.00E+26: 2 x 10^26 (arithmetic)."""
    found = look_up("2.00E+26")
    assert found.matches == () and "spreadsheet" in found.stamp.refused and "2E26" in found.stamp.refused


def test_an_unknown_number_has_no_match_and_hints():
    assert look_up_as_json(look_up("QQQ99")) == {"query": "QQQ99", "matches": []}
    assert not look_up("QQQ99").stamp.refused
    assert "6SN7GT" in look_up("6SN7XYZ").like


def test_an_unchecked_number_joins_nothing(as_helper):
    """CV1932 = 6J5 is only a lead in the tables ('unchecked:'): a tube marked so is no 6J5."""
    rows = (settings.REFERENCE_DIR / "designations.csv").read_text(encoding="utf-8").splitlines()
    (row,) = [row for row in rows if ",CV1932," in row]
    assert row.startswith("6J5,uk-cv,CV1932,same,") and "unchecked:" in row
    answer = as_helper.post("/tubes/add/", {"marked": "CV1932", "state": "good", "count": "1"})
    assert answer.status_code == 302
    tubes(1, "6J5")
    own = only_match("6J5")
    assert own["owned"]["good"] == 1
    assert ("CV1932", "same") in {(r["type"], r["relation"]) for r in own["relatives"]}
    assert stock_of(["CV1932"]).good == 1


def test_tubes_without_a_type_are_shown_by_their_mark():
    untyped = TubeFactory(type=None, marked="VT-60")
    typed = TubeFactory(type=TubeTypeFactory(name="850"), marked="850")
    TubeFactory(type=None, marked="VT-61")
    assert set(pieces_for(look_up("VT-60"))) == {untyped, typed}


def test_type_page_and_look_up_say_of_which_of_the_two_a_note_tells(as_visitor, capsys):
    """designations.csv: the 1625 is near to the 807, with a 12.6 V heater and a 7-pin base."""
    said = "of 1625 itself is said: 12.6 V heater, 7-pin base"
    for page in (as_visitor.get("/types/1625/"), as_visitor.get("/look-up/", {"q": "1625"})):
        assert f"<span>{said}</span>" in page_text(page)
    plain = page_text(as_visitor.get("/types/807/"))
    assert "<span>12.6 V heater, 7-pin base</span>" in plain and said not in plain
    call_command("lookup", "1625")
    assert f"related: 807: near ({said})" in capsys.readouterr().out
    told = {row["type"]: row for row in look_up_as_json(look_up("1625"))["matches"][0]["relatives"]}
    assert (told["807"]["note"], told["807"]["note_of"]) == ("12.6 V heater, 7-pin base", "1625")
    back = {row["type"]: row for row in look_up_as_json(look_up("807"))["matches"][0]["relatives"]}
    assert "note_of" not in back["1625"]


def test_positions_that_want_any_of_the_names():
    position = PositionFactory(type=TubeTypeFactory(name="6CA7"), mark="V9")
    assert positions_wanting(["EL34", "6CA7"]) == [position]
    assert only_match("EL34")["positions"] == [{"set_model": position.set_model.name, "position": "V9"}]


def test_the_page_says_what_is_ambiguous_refused_or_unknown(as_visitor, shelf):
    assert "More than one meaning" in as_visitor.get("/look-up/", {"q": "VT-60"}).content.decode()
    assert "rewritten by a spreadsheet" in as_visitor.get("/look-up/", {"q": "2.00E+26"}).content.decode()
    assert "Nothing in the tables bears this number" in as_visitor.get("/look-up/", {"q": "QQQ99"}).content.decode()
    page = as_visitor.get("/look-up/", {"q": "VT-231"})
    assert look_up_as_json(page.context["found"]) == look_up_as_json(look_up("VT-231"))


def test_the_api_gives_the_same_answer_or_says_why_not(as_visitor, shelf):
    assert as_visitor.get("/api/lookup", {"text": "VT-231"}).json() == look_up_as_json(look_up("VT-231"))
    for text in ("2.00E+26", ""):
        refusal = as_visitor.get("/api/lookup", {"text": text})
        assert refusal.status_code == 400 and list(refusal.json()["errors"]) == ["text"]


@pytest.mark.parametrize(
    "text",
    [
        "\x00",
        "6SN7\x00GT",
        "\ud7ff",
        "%",
        "'\"",
        "x" * 5000,
        "🙂",
    ],
)
def test_no_text_breaks_the_look_up(as_visitor, text):
    assert as_visitor.get("/look-up/", {"q": text}).status_code == 200
    assert as_visitor.get("/api/lookup", {"text": text}).status_code in (200, 400)
    assert as_visitor.get("/tubes/", {"text": text, "type": text}).status_code == 200
