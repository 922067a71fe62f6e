"""Rows of the handbook under marks, and of types that bear a mark and have no row of figures.

Rows: AVO Valve Data Manual, 23rd edition (avo-vdm23), read by eye in its table. That the 6111 is a subminiature, the D1
a diode, the 7581 an octal tube and the 12AX7 of 12.6 V or 6.3 V stands in the tables of types and marks.
"""

from functools import cache

import pytest

from tests.tubes.rules.bench import bench, rated, tables
from tubes.rules.figures import Figure, TypeFigures, Word
from tubes.rules.forms import Forms, as_form
from tubes.rules.handbook import BookRow, Handbook, parse_test_pins
from tubes.rules.handbook_figures import cap_of, figures_alone, pins_of_one
from tubes.rules.handbook_marked import Marked, denials, denied_by, told_under_marks
from tubes.rules.lending import Lender
from tubes.rules.relations import own_type_marks
from tubes.rules.rows_of_tables import book_rows_of, marked_in_tables
from tubes.rules.tables import mark_of


@cache
def marked() -> Marked:
    marks = [mark_of(row) for name in ("designations.csv", "relations.csv") for row in tables().rows[name]]
    named = {row.cells["type"] for name in ("designations.csv", "ratings.csv") for row in tables().rows[name]}
    return marked_in_tables(tables(), marks, named, own_type_marks(marks, named))


@cache
def book() -> Handbook:
    return Handbook(book_rows_of(tables()))


def alone(name: str) -> tuple[dict[str, float], dict[str, str]]:
    numbers, words = figures_alone(book().rows_of(name)[0])
    return {key: one.value for key, one in numbers.items()}, {key: one.value for key, one in words.items()}


@pytest.mark.parametrize(
    ("name", "numbers", "words"),
    [
        ("KT8", {"heater_v": 6.3, "gm_umho": 6000}, {"base": "british-5", "cap": "plate"}),
        ("407A", {"heater_v": 20, "gm_umho": 5500}, {"kind": "duotriode", "base": "noval", "cap": "none"}),
        ("55", {"heater_v": 2.5, "gm_umho": 1100}, {"kind": "duodiode-triode", "base": "UX6", "cap": "grid"}),
        ("EL36", {"heater_v": 6.3, "gm_umho": 14000}, {"base": "octal", "cap": "plate"}),
        ("5703", {"heater_v": 6.3, "gm_umho": 5000}, {"kind": "triode", "base": "subminiature-5", "cap": "none"}),
        # heater 4=h 5=h 8=h: halves side by side at 6.3 V, 12.6 V in series
        ("5687", {"heater_v": 12.6, "alt_heater_v": 6.3, "gm_umho": 5000},
         {"kind": "duotriode", "base": "noval", "cap": "none"}),
        # a T with a screen, 4=g2: no triode, and no gain of one
        ("12E1", {"heater_v": 6.3}, {"base": "octal", "cap": "plate"}),
        # a T with two plates, grids and cathodes; 9=h is its screen, its number promises 6 V
        ("6N2P", {"heater_v": 6.3}, {"base": "noval", "cap": "none"}),
        # neither plate nor cap in its row: where the plate is led out is not told
        ("6CM5", {"heater_v": 6.3, "gm_umho": 14000}, {"base": "octal"}),
    ],
)  # fmt: skip
def test_a_marked_type_without_a_row_of_figures_gets_those_of_its_clean_row(name, numbers, words):
    assert marked().figures[name] == name and name not in rated()
    assert alone(name) == (numbers, words)


def test_a_row_that_the_tables_deny_is_of_another_tube():
    """D1: a triode, and its mark says a diode."""
    assert "D1" not in marked().figures and ("D1", 1) in marked().others


@pytest.mark.parametrize("number", ["6111", "6112", "5902", "7581", "6669"])
def test_a_row_of_which_the_base_alone_is_a_slip_is_of_this_tube(number):
    """Loctal, octal and rimlock on pins of subminiatures, as their marks say; rimlock on those of the 6L6GC, octal on
    those of the 6AQ5, of which they are ruggedized builds."""
    assert marked().figures[number] == number and (number, 1) not in marked().others


def test_no_figures_where_rows_of_one_tube_disagree_or_its_number_is_shared():
    """6FY5 on noval and its other name EC97 on miniature; 5687WA stands under 5687; 6SN7GT is rated; the row of the 578
    is that of a 5T8, by its pins and test, and bears the remark."""
    assert not {"578", "6FY5", "5687WA", "6SN7GT", "6SN7", "12AX7"} & set(marked().figures)


def test_rows_under_marks_that_are_of_another_tube():
    """7D9: 6.3 V miniature as the 6AM5, and 13 V on a British base; 6156: as a 6AM5, and the mark of a 4-250A;
    6P9: noval; VT1, VT2: 4 V on a British base, and the U.S. numbers of Western Electric tubes."""
    expected = {("7D9", 2), ("6156", 1), ("6P9", 1), ("VT1", 1), ("VT2", 1)}
    assert expected <= marked().others
    assert not marked().others & {("7D9", 1), ("HK90", 1), ("1291", 1), ("EL38", 1), ("VT121", 1)}


def test_what_rows_under_marks_say_otherwise_is_told():
    """1291: octal, on the pins of the loctal 3B7's own row; HK90: 6.3 V, on the pins of the 12BE6."""
    marks = [mark_of(row) for row in tables().rows["designations.csv"]]
    held = told_under_marks(book(), marks, rated(), rated(), bench().basings)
    against = {(mark.designation, one.field) for mark, told in held for one in told.said if not one.agrees}
    assert {("1291", "base"), ("HK90", "heater_v"), ("7D9", "heater_v"), ("6P9", "base"), ("VT-1", "base")} <= against


@pytest.mark.parametrize("name", ["20", "2E30", "12AT6"])
def test_the_same_tube_wired_otherwise_keeps_its_test_point(name):
    """3 V for 3.3 V; 3 V, one half of a 6 V filament; the 6.3 V of its kin: base and pins are the type's own."""
    figures = rated()[name]
    told = book().told(figures, bench().basings.get(figures.word("basing")))
    assert told.rows and not told.others
    assert [one.field for one in told.said if not one.agrees] == ["heater_v"] and "heater_v" not in told.agreed


def row(**cells: object) -> BookRow:
    pins = parse_test_pins("1=a 2=g1 3=k 4=h 5=h 6=a 7=g1b 8=k 9=h")
    return BookRow(**{"type": "12Q9", "system": 1, "electrodes": "TT", "base": "noval", "pins": pins, **cells})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("note", "cells", "denied"),
    [
        ("subminiature with leads", {}, "base"), ("subminiature", {"base": "subminiature-8"}, ""),
        ("small 4 V diode", {}, "kind"), ("diode-triode", {}, ""), ("duodiode triode", {}, ""),
        ("25 V heater", {"heater_v": 6.3}, "heater_v"), ("20/40 V heater", {"heater_v": 20.0}, ""), ("", {}, ""),
    ],
)  # fmt: skip
def test_words_of_a_mark_that_deny_a_row(note, cells, denied):
    told = row(**cells)
    assert denied_by(note, told) == denied
    assert [one.field for one in denials("12Q9", [told], [note, note])] == ([denied] if denied else [])


def test_pins_tell_of_halves_systems_and_caps():
    assert row(heater_v=6.3).halved and not row(heater_v=12.6).halved
    assert not row(heater_v=6.3, type="Q9").halved and not row(heater_v=6.3, pins=()).halved
    assert pins_of_one(row()) and not pins_of_one(row(electrodes="T"))
    two_leads = parse_test_pins("1=a 2=g1 3=h 4=h 5=k 6=g1 7=a")  # 6AF4: a triode of high frequency
    assert pins_of_one(row(electrodes="T", pins=two_leads))
    assert cap_of(row()) == "none" and cap_of(row(pins=parse_test_pins("1=g1 4=h 5=h"))) == ""


@pytest.mark.parametrize("name", ["CCa", "EL183"])
def test_a_screen_on_the_third_pin_is_no_half_of_a_heater(name):
    """From memory: both have one heater, for 6.3 V, on pins 4 and 5; avo-vdm23 writes a heater on pin 9, too."""
    numbers, _ = figures_alone(book().rows_of(name)[0])
    assert (numbers["heater_v"].value, numbers["heater_v"].grade) == (6.3, "handbook") and "alt_heater_v" not in numbers


def test_heaters_with_a_middle_rated_by_texts_are_halved_in_the_handbook_too():
    """The rule of the three heater pins against every rated type: 12.6 V in series wherever it holds."""
    found = {
        name: one.number("heater_v") for name, one in rated().items()
        if any(row.usable and row.halved for row in book().rows_of(name)[0])
    }  # fmt: skip
    assert len(found) > 12 and set(found.values()) == {12.6}


def test_a_connection_of_the_lenders_heater_comes_from_there_with_its_amperes():
    """6057, a ruggedized 12AX7: 6.3 V in the handbook; 12.6 V 0.15 A or 6.3 V 0.3 A in the tables."""
    base = rated()["12AX7"]
    lent = Forms({}, {}, lenders={"6057": (Lender("12AX7", "ruggedized", ""),)})
    own = TypeFigures(
        "6057", {"heater_v": Figure(6.3, "handbook", "avo-vdm23")},
        {"base": Word("noval", "handbook", "avo-vdm23")}, lends=False,
    )  # fmt: skip
    taken = as_form(own, lent, {"12AX7": base})
    heater = {name: taken.number(name) for name in ("heater_v", "heater_a", "alt_heater_v", "alt_heater_a")}
    assert heater == {name: base.number(name) for name in heater} and heater["alt_heater_a"] == 0.3
    assert taken.words["base"].via == "" and taken.words["basing"].via == "12AX7"
