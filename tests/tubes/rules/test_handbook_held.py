"""Rows of the handbook of types that bear a mark, held against the types that they take figures from.

Rows: AVO Valve Data Manual, 23rd edition (avo-vdm23), read by eye in its table; beside them the figures of its kin in
the tables of types. What the tube really is, no text here settles: so neither stands.
"""

from dataclasses import replace
from functools import cache

import pytest

from tests.tubes.rules.bench import bench, rated, tables
from tubes.rules.figures import Figure, TypeFigures, Word
from tubes.rules.forms import Forms, as_form
from tubes.rules.handbook import BookRow, Handbook, Said, parse_test_pins
from tubes.rules.handbook_figures import figures_alone
from tubes.rules.handbook_held import Held, held, settled
from tubes.rules.judge import judge
from tubes.rules.judge_parts import Conditions
from tubes.rules.lending import Lender
from tubes.rules.relations import Kinship, kinship
from tubes.rules.rows_of_tables import book_rows_of
from tubes.rules.tables import mark_of


@cache
def book() -> Handbook:
    return Handbook(book_rows_of(tables()))


@cache
def kin() -> Kinship:
    marks = [mark_of(row) for name in ("designations.csv", "relations.csv") for row in tables().rows[name]]
    named = {row.cells["type"] for name in ("designations.csv", "ratings.csv") for row in tables().rows[name]}
    return kinship(marks, named | {"6883", "6669", "7581", "6Y6GA", "6F7B"})


def of(name: str, *notes: str) -> Held | None:
    return held(name, book().rows_of(name)[0], notes, book(), rated(), kin(), bench().basings)


@pytest.mark.parametrize(
    ("name", "lender", "fields"),
    [
        # 6=h 8=a and no cap, of 7CK with the plate on its cap
        ("7212", "6146", {"basing", "cap"}),
        # 5=d1 6=d2, of 5CE, a single triode
        ("6664", "6AB4", {"basing", "kind"}),
        # plates and grids exchanged, heater on 7 and 8 alike
        ("6113", "6SL7GT", {"basing"}),
        ("6Y6GA", "6Y6G", {"basing"}),  # 6=h 7=k
        ("6F7B", "6F7", {"basing"}),  # 2=d1
    ],
)  # fmt: skip
def test_pins_cap_and_diodes_that_the_lender_has_otherwise_are_not_settled(name, lender, fields):
    found = of(name)
    assert found is not None and (found.slips, found.unsettled) == (frozenset(), frozenset(fields))
    assert {(one.type, one.of, one.agrees) for one in found.said} == {(name, lender, False)}
    assert all("neither stands" in one.why for one in found.said)


@pytest.mark.parametrize(
    ("name", "lender", "ours", "theirs"),
    [("6669", "6AQ5", "7-pin-miniature", "octal"), ("7581", "6L6GC", "octal", "rimlock")],
)
def test_another_base_on_the_pins_of_the_lender_is_a_slip(name, lender, ours, theirs):
    """6669: 1=g1 2=k 3=h 4=h 5=a 6=g2 7=g1, 4100 micromho, as the 6AQ5's own row; 7581: the pins of 7AC, 6000."""
    found = of(name)
    assert found is not None and (found.slips, found.unsettled) == (frozenset({"base"}), frozenset())
    (one,) = found.said
    assert (one.of, one.ours, one.theirs) == (lender, ours, theirs) and "a slip" in one.why


def test_a_base_that_the_mark_denies_is_a_slip_where_subminiatures_have_its_pins():
    """6111: loctal, on the pins of the CK6111, subminiature in its own row."""
    found = of("6111", "subminiature with leads")
    assert found is not None and found.unsettled == {"base"} and found.said[0].of == "CK6111"
    assert of("6111") is None and of("D1", "subminiature") is None


def test_a_base_of_a_near_type_is_not_settled_where_all_else_is_that_type():
    """6883: noval with the cap, systems, gain and five of eight pins of the octal 6146; 6094 says itself: 9 pins."""
    found = of("6883")
    assert found is not None and found.unsettled == {"base"} and found.said[0].of == "6146"
    assert of("6094") is None and of("6P1P") is None and of("1633") is None


@pytest.mark.parametrize("name", ["6057", "5871", "E188CC", "7320", "6417", "1621"])
def test_rows_that_bear_their_lender_out_say_nothing(name):
    assert of(name) is None


def test_what_is_not_settled_is_neither_the_rows_nor_the_lenders():
    lent = Forms({}, {}, lenders={"7212": (Lender("6146", "ruggedized", ""),)})
    own = TypeFigures("7212", *figures_alone(book().rows_of("7212")[0]), lends=False)
    taken = as_form(settled(own, of("7212")), lent, {"6146": rated()["6146"]})
    assert (taken.word("cap"), taken.word("basing"), taken.words["kind"].via) == ("", "", "6146")
    assert "cap none in its row of the handbook, plate by the 6146" in taken.disputes
    assert taken.number("heater_v") == 6.3 and taken.words["base"].via == ""


def test_a_slip_gives_way_to_the_lender_and_the_keepers_own_word_to_nobody():
    own = TypeFigures("6669", *figures_alone(book().rows_of("6669")[0]), lends=False)
    lent = Forms({}, {}, lenders={"6669": (Lender("6AQ5", "ruggedized", ""),)})
    taken = as_form(settled(own, of("6669")), lent, {"6AQ5": rated()["6AQ5"]})
    assert (taken.words["base"].value, taken.words["base"].via, taken.word("basing")) == (
        "7-pin-miniature",
        "6AQ5",
        "7BZ",
    )
    his = TypeFigures("7212", {}, {"cap": Word("plate", "own", "his sheet")}, lends=False)
    kept = settled(his, of("7212"))
    assert kept.word("cap") == "plate" and kept.unsettled == {"basing"}


def test_a_row_of_another_gain_on_the_pins_of_the_lender_is_no_slip():
    """Made up: pins of the 6AQ5, twice its transconductance, octal."""
    pins = parse_test_pins("1=g1 2=k 3=h 4=h 5=a 6=g2 7=g1")
    row = BookRow("6669", 1, "P", "octal", pins, (), 6.3, gm_umho=8200)
    assert held("6669", [row], (), Handbook([row]), rated(), kin(), bench().basings) is None


def test_two_gains_unknown_do_not_make_a_near_type_the_same():
    row = BookRow("6883", 1, "P", "noval", parse_test_pins("1=k 2=h 3=g2"), ("a",), 12.0)
    assert held("6883", [row], (), book(), rated(), kin(), bench().basings) is None


def test_nothing_held_changes_nothing():
    own = TypeFigures("6057", {"heater_v": Figure(6.3)}, {})
    assert settled(own, None) is own
    said = Said("6057", "cap", "grid", "none", False, "6057", "avo-vdm23", of="12AX7")
    assert settled(own, Held((said,), unsettled=frozenset({"cap"}))).numbers == own.numbers


@pytest.mark.parametrize(
    ("name", "mark", "kind"),
    [("6AN7", "ECH80", "triode-hexode"), ("UCH81", "UCH81", "triode-hexode"), ("ECL81", "ECL81", "triode-pentode")],
)
def test_european_letters_that_deny_the_two_systems_of_a_row_leave_the_kind_open(name, mark, kind):
    """Pro Electron letters (liqui-vt, tcuk-tx): C triode, H hexode or heptode, L power pentode."""
    found = held(name, book().rows_of(name)[0], (), book(), rated(), kin(), bench().basings, [mark])
    assert found is not None and found.unsettled == {"kind"}
    assert {(one.of, one.ours) for one in found.said} == {(mark, kind)}


@pytest.mark.parametrize("name", ["ECH42", "ECL84", "ECF201"])
def test_european_letters_that_bear_a_row_out(name):
    assert of(name) is None


def test_what_a_tubes_own_row_contradicts_is_asked_of_its_kin_too():
    """The plain 6146 in the place of a 7212: its row has other pins and no cap, so that is not left out as unasked."""
    lent = Forms({}, {}, lenders={"7212": (Lender("6146", "ruggedized", ""),)})
    own = TypeFigures("7212", *figures_alone(book().rows_of("7212")[0]), lends=False)
    place = as_form(settled(own, of("7212")), lent, {"6146": rated()["6146"]})
    told = judge(place, rated()["6146"], Conditions(), replace(bench(), kin=kin()))
    assert told.verdict == "not known" and set(told.unknown) == {"base", "top cap"}
    assert any(one.startswith("look: not settled of 7212: basing 1=k") for one in told.consequences)
    assert judge(place, place, Conditions(), replace(bench(), kin=kin())).verdict == "fits"
