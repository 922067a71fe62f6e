"""Columns that are told by what stands beside them. Common practice, no source; numbers of the tables are facts."""

import pytest

from inventory.lists.rules import fields as f
from inventory.lists.rules.heading_text import fold_heading
from inventory.lists.rules.heading_words import all_words
from inventory.lists.rules.headings import propose
from inventory.lists.rules.rows import REFUSED, RowReading, read_row
from tests.lists.rules.reference import context

#: Words that tell of two things by what stands beside and below them.
BY_WHAT_STANDS_BESIDE = {"pezzi": {f.MODEL, f.QUANTITY}}


def test_no_heading_stands_for_two_fields_but_those_that_are_decided_by_their_cells() -> None:
    told: dict[str, set[str]] = {}
    for word, field in all_words():
        told.setdefault(fold_heading(word), set()).add(field)
    assert {word: fields for word, fields in told.items() if len(fields) > 1} == BY_WHAT_STANDS_BESIDE


def fields(headings: tuple[str, ...], *rows: tuple[str, ...]) -> list[str]:
    return [one.field for one in propose(headings, rows)]


@pytest.mark.parametrize("heading", ["Pezzi", "Pezzi:", "Pièces", "Teile", "Piezas", "Stücke"])
def test_pieces_beside_a_column_of_tubes_are_a_count(heading: str) -> None:
    rows = (("6SN7GT", "4", "A1"), ("EL84", "2", "A2"), ("5U4G", "1", "B7"))
    found = propose(("Valvola", heading, "Scatola"), rows)
    assert [one.field for one in found] == [f.MARK, f.QUANTITY, f.PLACE]
    assert found[1].sure


def test_pieces_are_parts_where_words_stand_below_or_no_tubes_beside() -> None:
    parts = (("capacitor .01 mfd", "4"), ("10 k resistor", "2"), ("choke 5 H", "1"))
    assert fields(("Pezzi", "Quantità"), *parts) == [f.MODEL, f.QUANTITY]


@pytest.mark.parametrize("headings", [("VT", "Type", "Qty"), ("CV No.", "Type", "Qty"), ("Vt #", "Valve", "Qty")])
def test_a_number_of_a_service_beside_the_type_is_a_second_name(headings: tuple[str, ...]) -> None:
    found = propose(headings, (("", "807", "2"), ("", "6146", "1"), ("", "811", "1")))
    assert [one.field for one in found] == [f.MARK, f.MARK, f.QUANTITY]
    assert "second number" in found[0].reason and "second number" not in found[1].reason


def test_alone_it_names_the_tube() -> None:
    assert fields(("VT", "Qty"), ("VT-231", "2")) == [f.MARK, f.QUANTITY]


def row(*cells: str, headings: tuple[str, ...] = ("VT", "Type", "Qty")) -> RowReading:
    return read_row(cells, (f.MARK, f.MARK, f.QUANTITY), context(headings=headings))


def types(found: RowReading) -> set[str | None]:
    return {reading.type for reading in found.stamp.readings} if found.stamp else set()


def test_the_first_filled_of_the_row_names_the_tube() -> None:
    """VT-231 is the 6SN7GT (U.S. Signal Corps VT numbers, reference table of designations)."""
    both = row("VT-231", "6SN7GTB", "3")
    assert both.mark == "6SN7GTB" and ("VT", "VT-231") in both.kept
    assert types(row("VT-231", "", "3")) == {"6SN7GT"}
    assert row("", "EL84", "3").mark == "EL84"
    assert row("", "", "3").outcome == REFUSED


def test_a_bare_number_gets_the_letters_of_its_heading_and_says_so() -> None:
    bare = row("231", "", "1")
    assert (bare.mark, types(bare)) == ("VT-231", {"6SN7GT"})
    assert any("read as VT-231 by the heading VT" in remark.reason for remark in bare.remarks)
    assert row("807", "", "1", headings=("VT", "Type", "Qty")).mark == "807"  # there is no VT-807


def test_two_numbers_that_name_two_tubes_are_told_apart_and_the_type_is_taken() -> None:
    """VT-99 is the 6F8G (same table)."""
    found = row("VT-99", "6SN7GT", "1")
    assert found.mark == "6SN7GT"
    assert any("VT-99 is 6F8G, the mark 6SN7GT" in remark.reason for remark in found.remarks)


@pytest.mark.parametrize("heading", ["Lot 7", "Inv 2019", "Row 3", "No. 12", "Val 2020", "EK 2019", "Cat 2018", "Nr-4"])
@pytest.mark.parametrize("beside", ["Gm", "Place"])
def test_a_running_number_is_no_tester(heading: str, beside: str) -> None:
    rows = (("6SN7GT", "12", "70"), ("EL84", "13", "80"), ("5U4G", "14", "60"))
    found = propose(("Tube", heading, beside), rows)[1]
    assert (found.field != f.READING, found.sure) == (True, False) or found.field in (f.NUMBER,)


def test_letters_and_figures_are_readings_beside_tests_and_else_asked_about() -> None:
    rows = (("6SN7GT", "62", "70"), ("EL84", "70", "80"), ("5U4G", "44", "60"))
    assert propose(("Tube", "QX 7", "Gm"), rows)[1].field == f.READING
    asked = propose(("Tube", "QX 7", "Place"), rows)[1]
    assert (asked.field, asked.sure) == (f.OTHER, False) and "tester of that name?" in asked.reason
    assert propose(("Tube", "QX-7", "Place"), rows)[1].field == f.READING
