"""Readings of a row: two instruments stay two, and of two figures the second is a minimum only where that is told.

A tester's reading and its reject limit as reading/minimum, a pair and the sections of a double tube as one/other, and
that two testers do not compare: common practice, no source. Testers are invented.
"""

import pytest

from inventory.lists.rules import fields as f
from inventory.lists.rules.headings import propose
from inventory.lists.rules.row_facts import facts_of_row
from inventory.lists.rules.row_readings import instrument_of_heading
from inventory.lists.rules.rows import read_row
from tests.lists.rules.reference import context


def told(headings, cells, **more):
    """(what, figure, instrument, column) of each fact of readings; and the reasons of the remarks."""
    fields = [one.field for one in propose(headings, [cells])]
    row = read_row(cells, fields, context(headings=headings, **more))
    facts = [fact for fact in facts_of_row(row, lambda name: name) if fact.about in ("reading", "minimum")]
    said = " | ".join(remark.reason for remark in row.remarks)
    return [(fact.about, fact.figure, fact.instrument, fact.column) for fact in facts], said


@pytest.mark.parametrize(
    ("headings", "instruments"),
    [
        (("Reading Prover 3", "Reading Skala B"), ("Prover 3", "Skala B")),
        (("Prover 3 gm", "Skala B gm"), ("Prover 3", "Skala B")),
        (("Gm (Prover 3)", "Gm (Skala B)"), ("Prover 3", "Skala B")),
        (("Prover 3 (umho)", "Skala B (%)"), ("Prover 3", "Skala B")),
        (("Messwert Prüfer 4", "Steilheit am Pult"), ("Prüfer 4", "am Pult")),
        (("Reading 1", "Reading 2"), ("Reading 1", "Reading 2")),
        (("Gm", "Gm"), ("Gm", "Gm #2")),
    ],
)
def test_two_columns_are_two_instruments(headings, instruments):
    found, said = told(["Tube", "Qty", *headings], ["807", "1", "55", "2250"])
    names = dict.fromkeys(headings) if headings[0] != headings[1] else {"Gm": 0, "Gm #2": 0}
    assert found == [
        ("reading", figure, name, column)
        for figure, name, column in zip(("55", "2250"), instruments, names, strict=True)
    ]
    assert "kept as text" not in said


def test_each_reading_has_its_own_tester_and_minimum():
    headings = ["Tube", "Tester", "Gm", "Min", "Tester", "Gm", "Min"]
    found, _ = told(headings, ["807", "Prover 3", "55", "40", "Skala B", "2250", "1600"])
    assert found == [
        ("reading", "55", "Prover 3", "Gm"), ("minimum", "40", "Prover 3", "Min"),
        ("reading", "2250", "Skala B", "Gm #2"), ("minimum", "1600", "Skala B", "Min #2"),
    ]  # fmt: skip
    behind, _ = told(["Tube", "Gm", "Tester", "Gm", "Tester"], ["807", "55", "Prover 3", "2250", "Skala B"])
    assert [row[1:3] for row in behind] == [("55", "Prover 3"), ("2250", "Skala B")]
    alone, _ = told(["Tube", "Gm", "Gm 2", "Tester"], ["807", "55", "57", "Prover 3"])
    assert [row[2] for row in alone] == ["Prover 3", "Prover 3"]


def test_a_column_that_was_not_filled_says_nothing():
    found, said = told(["Tube", "Gm Prover 3", "Gm Skala B"], ["807", "", "2250"])
    assert found == [("reading", "2250", "Skala B", "Gm Skala B")] and not said


R, M = "reading", "minimum"


@pytest.mark.parametrize(
    ("heading", "mark", "count", "cell", "wanted", "word"),
    [
        ("Gm", "807", "1", "5600/3900", [(R, "5600"), (M, "3900")], ""),
        ("Gm", "807", "1", "5600/5400", [(R, "5600"), (M, "5400")], ""),
        ("Gm", "807", "2", "5600/5400", [(R, "5600"), (R, "5400")], "two tubes"),
        ("Gm", "807", "2", "55/57", [(R, "55"), (R, "57")], "two tubes"),
        ("Gm", "807", "2", "5600/3900", [(R, "")], "two readings, or"),
        ("Gm", "807", "1", "55/57", [(R, "")], "two readings, or"),
        ("Gm", "6SN7GT", "1", "55/57", [(R, "55"), (R, "57")], "two sections"),
        ("Gm", "6SN7GT", "1", "2450/2500 umho", [(R, "2450"), (R, "2500")], "two sections"),
        ("Gm", "832A", "1", "55/57", [(R, "55"), (R, "57")], "two sections"),  # a twin beam tetrode (ratings.csv)
        ("Gm", "12AX7", "1", "1500/900", [(R, "")], "two readings, or"),
        ("Gm/min", "6SN7GT", "1", "2450/2500", [(R, "2450"), (M, "2500")], ""),
        ("Reading / reject", "807", "2", "55/57", [(R, "55"), (M, "57")], ""),
        ("Gm", "807", "3", "5600/3900", [(R, "5600"), (M, "3900")], ""),
        ("Gm", "807", "1", "55/70 good", [(R, "55")], ""),
    ],
)
def test_two_figures_of_one_cell(heading, mark, count, cell, wanted, word):
    found, said = told(["Tube", "Qty", heading], [mark, count, cell])
    assert [row[:2] for row in found] == wanted
    assert word in said and (word == "two readings, or") == ("kept as found" in said)


def test_beside_a_column_of_minima_two_figures_are_two_readings():
    found, _ = told(["Tube", "Gm", "Min"], ["6SN7GT", "55/57", "40"])
    assert [row[:2] for row in found] == [(R, "55"), (R, "57"), (M, "40")]


@pytest.mark.parametrize(
    ("heading", "name"),
    [("Gm", ""), ("Reading 2", ""), ("S (mA/V)", ""), ("Gm section 1", ""), ("Prover 3", "Prover 3"), ("", ""),
     ("Skala B", "Skala B"), ("Emission Prover 3 %", "Prover 3"), ("tested on Prover", "Prover"), ("%", "")],
)  # fmt: skip
def test_the_instrument_of_a_heading(heading, name):
    assert instrument_of_heading(heading) == name


def test_columns_that_only_bear_a_unit_are_no_more_readings():
    fields = [one.field for one in propose(["Tube", "Reading", "Ua (V)", "Ia (mA)"], [["807", "55", "300", "40"]])]
    assert fields.count(f.READING) == 1


SHARED = "which reading this is the minimum of is not said"


@pytest.mark.parametrize(
    ("headings", "cells", "of", "asked"),
    [
        (("Prover 3 gm", "Skala B gm", "min"), ("2600", "2550", "2500"), "Skala B", True),
        (("min", "Prover 3 gm", "Skala B gm"), ("2500", "2600", "2550"), "Prover 3", True),
        (("Prover 3 gm", "min", "Skala B gm"), ("2600", "2500", "2550"), "Prover 3", False),
        (("Prover 3 gm", "Skala B gm", "min Prover 3"), ("2600", "2550", "2500"), "Prover 3", False),
        (("Prover 3 gm", "min", "Skala B gm", "min"), ("2600", "", "2550", "2500"), "Skala B", False),
    ],
)
def test_one_minimum_beside_two_instruments_is_remarked(headings, cells, of, asked):
    found, said = told(["Tube", *headings], ["807", *cells])
    assert [row[2] for row in found if row[0] == "minimum"] == [of]
    assert (SHARED in said) == asked and (f"taken as that of {of} gm" in said) == asked


@pytest.mark.parametrize(
    ("headings", "cells", "minima"),
    [
        (("Gm Orrin", "Gm Vale", "Min Vale", "Min"), ("2500", "88", "60", "1800"), {"Orrin": "1800", "Vale": "60"}),
        (("Gm Orrin", "Gm Vale", "Min Vale", "Min"), ("2500", "", "", "1800"), {"Orrin": "1800"}),
        (("Gm Orrin", "Gm Vale", "Min", "Min Vale"), ("2500", "88", "1800", "60"), {"Orrin": "1800", "Vale": "60"}),
        (("Gm Orrin", "Gm Vale", "Min", "Min"), ("2500", "88", "1800", "60"), {"Orrin": "1800", "Vale": "60"}),
        (("Min", "Gm Orrin", "Min", "Gm Vale"), ("1800", "2500", "60", "88"), {"Orrin": "1800", "Vale": "60"}),
    ],
)
def test_each_minimum_finds_a_reading_that_has_none(headings, cells, minima):
    found, said = told(["Tube", *headings], ["807", *cells])
    assert {row[2]: row[1] for row in found if row[0] == "minimum"} == minima
    assert (SHARED in said) == (headings[2:] == ("Min", "Min"))


def test_a_minimum_too_many_is_kept_and_said():
    headings = ["Tube", "Gm Orrin", "Min Orrin", "Gm Vale", "Min Vale", "Min"]
    cells = ["807", "2500", "1800", "88", "60", "55"]
    row = read_row(cells, [one.field for one in propose(headings, [cells])], context(headings=headings))
    assert [said.column for said in row.remarks if "kept as text" in said.reason] == ["Min"]
    assert ("Min", "55") in row.kept


def test_every_column_says_that_one_reading_stands_for_many():
    row = ["807", "3", "2600", "2550"]
    _, said = told(["Tube", "Qty", "Prover 3 gm", "Skala B gm"], row)
    assert said.count("one reading for 3 things") == 2
    _, said = told(["Tube", "Qty", "Prover 3 gm", "Skala B gm"], ["807", "2", "55/57", "2550"])
    assert said.count("one reading for 2 things") == 1


def test_a_single_column_may_name_its_instrument_too():
    """By figures and letters in one word, as testers are called: common practice, no source."""
    assert [row[2] for row in told(["Tube", "Pruefung XY-7"], ["807", "55"])[0]] == ["XY-7"]
    assert [row[2] for row in told(["Tube", "Gm at 250V"], ["807", "55"])[0]] == [""]
    assert [row[2] for row in told(["Tube", "Gm XY-7", "Tester"], ["807", "55", "Skala B"])[0]] == ["Skala B"]
