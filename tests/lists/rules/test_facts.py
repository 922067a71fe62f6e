"""Facts of a row and of an entry: kept as found, each figure on its own scale, nothing converted.

Reading/minimum and the other ways of writing are common practice, no source; currency codes are those of ISO 4217; a
minimum is set beside a reading of its own instrument only, since two testers do not compare (tube-tester notes of
several clubs; common practice, no source). Testers and serials are invented.
"""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.holdings.rules.fact_words import in_a_word, plain_number, read_as, reading_on_label
from inventory.holdings.rules.facts import (
    ABOUT,
    ACQUIRED,
    ASKED,
    DATED,
    INSURED,
    MADE,
    MINIMUM,
    PAID,
    READING,
    SERIAL,
    TESTED,
    FoundFact,
    read_fact,
)
from inventory.lists.rules import fields as f
from inventory.lists.rules.row_facts import facts_of_row
from inventory.lists.rules.rows import REMARKED, read_row
from tests.lists.rules.reference import TODAY, context
from tests.lists.rules.test_readers_properties import CELL

HEADED = {
    "Tube": f.MARK, "Qty": f.QUANTITY, "Gm": f.READING, "Min": f.MINIMUM, "Tester": f.INSTRUMENT,
    "Tested": f.TESTED_ON, "Pd": f.PRICE, "Ask": f.ASKED, "Ins": f.INSURED, "Date": f.DATED, "Got": f.ACQUIRED_ON,
    "Ser": f.SERIAL, "Made": f.DATE_CODE, "What": f.MODEL, "Kind": f.KIND,
}  # fmt: skip


def row(**cells):
    """A row of the columns named, read; the heading stands for the field."""
    headings = list(cells)
    return read_row(list(cells.values()), [HEADED[name] for name in headings], context(headings=headings))


def facts(**cells):
    by_field = {field: heading for heading, field in HEADED.items()}
    return facts_of_row(row(**cells), lambda field: by_field.get(field, field))


def told(**cells):
    """(about, read as, column) of each fact of a row."""
    return [(fact.about, read_as(fact), fact.column) for fact in facts(**cells)]


@pytest.mark.parametrize(
    ("cells", "wanted"),
    [
        ({"Gm": "2250/1200 umho"}, [(READING, "2250 micromho", "Gm"), (MINIMUM, "1200 micromho", "Gm")]),
        (
            {"Gm": "2250", "Min": "1200", "Tester": "Prover 3"},
            [(READING, "2250 on its scale, Prover 3", "Gm"), (MINIMUM, "1200 on its scale, Prover 3", "Min")],
        ),
        (
            {"Gm": "2250 umho", "Min": "1.1 mA/V"},  # two scales stay two
            [(READING, "2250 micromho", "Gm"), (MINIMUM, "1.1 mA/V", "Min")],
        ),
        ({"Min": "1200"}, [(MINIMUM, "1200 (scale not said)", "Min")]),
        ({"Gm": "2,10 mA/V"}, [(READING, "2,10 mA/V", "Gm")]),  # digit for digit
        ({"Gm": "48/46/40"}, [(READING, "", "Gm")]),
        ({"Gm": "?"}, []),
        ({"Tester": "Prover 3"}, [(TESTED, "", "Tester")]),
        ({"Tester": "Prover 3", "Tested": "12.06.09"}, [(TESTED, "2009-06-12", "Tested")]),
        ({"Pd": "$5 ea"}, [(PAID, "5 (currency not said) each", "Pd")]),
        ({"Pd": "4 for € 10"}, [(PAID, "10 EUR for a lot of 4", "Pd")]),
        ({"Pd": "DM 20 VB"}, [(ASKED, "20 DEM", "Pd")]),
        ({"Pd": "12/6"}, [(PAID, "0.625 GBP", "Pd")]),
        ({"Pd": "free"}, [(PAID, "nothing", "Pd")]),
        ({"Pd": "swap for a key"}, [(PAID, "", "Pd")]),
        ({"Ask": "£ 6"}, [(ASKED, "6 GBP", "Ask")]),
        ({"Ins": "1.200,00 EUR"}, [(INSURED, "1200 EUR", "Ins")]),
        ({"Got": "1/82"}, [(ACQUIRED, "1982-01", "Got")]),
        ({"Date": "Spring 1998"}, [(DATED, "1998-03 to 1998-05", "Date")]),
        ({"Date": "about 1960"}, [(DATED, "about 1960", "Date")]),
        ({"Date": "vor 1995"}, [(DATED, "before 1995-01-01", "Date")]),
        ({"Date": "after 1980"}, [(DATED, "1981-01-01 or after", "Date")]),
        ({"Date": "04/05/06"}, [(DATED, "", "Date")]),
        ({"Ser": "W 4471"}, [(SERIAL, "", "Ser")]),
    ],
)
def test_the_facts_of_a_tube(cells, wanted):
    assert told(Tube="807", **cells) == wanted


def test_every_text_stands_as_found():
    found = facts(Tube="807", Gm="48/46/40", Pd="a song", Date="when father died", Ser="0071")
    assert {fact.text for fact in found} == {"48/46/40", "a song", "when father died", "0071"}
    assert all(fact.value is None and fact.first is None for fact in found)


@pytest.mark.parametrize("cells", [{"Date": "1/82"}, {"Date": "Spring 1998"}, {"Date": "7-Aug"}, {"Pd": "a song"},
                                   {"Gm": "about 40?"}, {"Ask": "5 $ 6 €"}, {"Min": "low"}])  # fmt: skip
def test_nothing_vanishes_without_a_word(cells):
    found = row(Tube="807", **cells)
    (column,) = cells
    assert found.outcome == REMARKED
    assert any(one.column == column and "kept as found" in one.reason for one in found.remarks), found.remarks
    assert len(facts(Tube="807", **cells)) == 1


def test_what_is_said_of_a_row_of_several_is_nobodys_own():
    found = facts(Tube="807", Qty="3", Gm="2250/1200 umho", Ser="4471", Pd="$5 ea")
    assert [(fact.about, fact.per, fact.of_count) for fact in found] == [
        (PAID, "each", None), (READING, "row", 3), (MINIMUM, "row", 3), (SERIAL, "row", 3),
    ]  # fmt: skip
    assert reading_on_label(found) == ""
    assert read_as(found[1]).endswith("said of a row of 3")
    assert any("one reading for 3 things" in one.reason for one in row(Tube="807", Qty="3", Gm="2250 umho").remarks)


def test_things_with_a_plate_keep_their_serial_there():
    found = facts(What="Skerry 40", Kind="chassis", Ser="01432", Made="1943", Pd="£ 6")
    assert [(fact.about, read_as(fact)) for fact in found] == [(PAID, "6 GBP"), (MADE, "1943")]


def test_two_figures_are_no_minimum():
    """Which of them is the minimum nobody can know: the text stands alone, on its scale."""
    for more in ({}, {"Gm": "2300 umho"}):
        cells = {"Tube": "807", "Min": "2250/1200 umho", "Tester": "Prover 3", **more}
        found = row(**cells)
        least = [fact for fact in facts(**cells) if fact.about == MINIMUM]
        assert [(fact.text, fact.figure, fact.value) for fact in least] == [("2250/1200 umho", "", None)]
        assert (least[0].unit, least[0].instrument, least[0].column) == ("micromho", "Prover 3", "Min")
        assert any("kept as found" in remark.reason for remark in found.remarks)


# --- what somebody enters --------------------------------------------------------------------------------------------


def test_an_entry_is_read_as_a_cell_is():
    (reading, least), remark = read_fact(READING, "2250/1200", today=TODAY, instrument="Prover 3", unit="micromho")
    assert remark is None
    assert (reading.figure, reading.value, least.value) == ("2250", Decimal("2250"), Decimal("1200"))
    assert {(fact.unit, fact.instrument) for fact in (reading, least)} == {("micromho", "Prover 3")}
    (price,), _ = read_fact(PAID, "12,50", today=TODAY, currency="EUR")
    assert (price.value, price.currency) == (Decimal("12.50"), "EUR")
    (price,), _ = read_fact(PAID, "$5", today=TODAY, currency="CAD")
    assert price.currency == "CAD"
    (day,), _ = read_fact(DATED, "04/05/06", today=TODAY, order="day")
    assert day.first == day.last == date(2006, 5, 4)


@pytest.mark.parametrize(
    ("about", "text", "words"),
    [
        (PAID, "a song", "cannot be read as a price"),
        (DATED, "2031", "future"),
        (READING, "tests good", "a word"),
        (READING, "1.9E+03", "rewritten"),
        (INSURED, "-", "nothing is said"),
        (MINIMUM, "2250/1200", "two figures are no minimum"),
    ],
)
def test_an_entry_that_is_not_read_says_why(about, text, words):
    (fact,), remark = read_fact(about, text, today=TODAY)
    assert fact.text == text and remark is not None and words in remark.reason


# --- words -----------------------------------------------------------------------------------------------------------


def fact(about, text="", figure="", unit="", instrument="", per="", column=""):
    return FoundFact(about, text, figure, unit=unit, instrument=instrument, per=per, column=column)


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ([fact(READING, "2250/1200", "2250", "micromho"), fact(MINIMUM, "2250/1200", "1200", "micromho")],
         "2250/1200 micromho"),
        ([fact(READING, "48", "48", "", "Prover 3"), fact(MINIMUM, "40", "40", "", "Prover 3")], "48/40, Prover 3"),
        # a minimum of another tester, or of another unit, is none of this reading
        ([fact(READING, "48", "48", "", "Prover 3"), fact(MINIMUM, "40", "40", "", "Quay bridge")], "48, Prover 3"),
        ([fact(READING, "48", "48", "%"), fact(MINIMUM, "40", "40", "mA")], "48 %"),
        # with no scale said, only the same text or the same row sets them side by side
        ([fact(READING, "48", "48"), fact(MINIMUM, "40", "40")], "48"),
        ([fact(READING, "48", "48", column="Gm"), fact(MINIMUM, "40", "40", column="Min")], "48/40"),
        ([fact(READING, "48", "48", "%"), fact(READING, "52", "52", "%")], "52 %"),
        ([fact(READING, "good")], ""),
        ([], ""),
    ],
)  # fmt: skip
def test_the_reading_on_a_label(said, words):
    assert reading_on_label(said) == words


@pytest.mark.parametrize(
    ("number", "least", "text"),
    [("12.500000", 2, "12.50"), ("5.000000", 2, "5"), ("0.625000", 2, "0.625"), ("120", 0, "120"), ("1E+3", 0, "1000")],
)
def test_plain_numbers(number, least, text):
    assert plain_number(Decimal(number), least) == text


@given(about=st.sampled_from([about for about, _ in ABOUT]), text=CELL, unit=st.sampled_from(["", "%", "mA/V"]))
def test_no_entry_raises_and_every_text_is_kept(about, text, unit):
    found, _ = read_fact(about, text, today=TODAY, unit=unit, instrument="Prover 3", currency="USD")
    assert found and all(fact.text == text.strip() or fact.text == "Prover 3" for fact in found)
    for one in found:
        assert isinstance(in_a_word(one), str)
        assert one.value is None or (abs(one.value) < 10**10 and -one.value.as_tuple().exponent <= 6)
        assert len(one.figure) <= 20 and len(one.unit) <= 40 and len(one.currency) in (0, 3)


@given(st.lists(st.tuples(st.sampled_from(sorted(HEADED)), CELL), max_size=8, unique_by=lambda pair: pair[0]))
def test_no_row_raises_and_no_filled_cell_of_such_a_column_vanishes(cells):
    found = row(Tube="807", **{name: cell for name, cell in cells if name != "Tube"})
    kept = facts_of_row(found, str)
    said = " | ".join(remark.column for remark in found.remarks)
    for name, cell in cells:
        if HEADED[name] in (f.PRICE, f.ASKED, f.INSURED, f.DATED, f.ACQUIRED_ON) and found.groups:
            read = {f.PRICE: found.price, f.ASKED: found.asked, f.INSURED: found.insured, f.DATED: found.dated,
                    f.ACQUIRED_ON: found.acquired_on}[HEADED[name]]  # fmt: skip
            if read is not None and getattr(read, "kind", getattr(read, "precision", "")) != "unknown":
                assert any(one.text == cell.strip() for one in kept) or name in said
