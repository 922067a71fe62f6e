"""Types that a handbook of tests alone names, and how stamps tell them.

Numbers and letters are those of the handbook (avo-vdm23) as its table has them, copied by eye; that 6SN7 stands there
for the 6SN7GT is told by the table's own notes. What else may bear a short name is common practice, no source.
"""

import pytest

from tubes.rules.handbook_names import (
    HandbookNames,
    another_tube,
    left_out,
    named_alone,
    reads_anywhere,
    scheme_of,
    soviet_of,
    two_tubes,
)
from tubes.rules.stamp import DesignationRow, StampTables, read_stamp
from tubes.rules.this_tube import this_tube

KNOWN = ["6SN7GT", "45", "6N9S", "VT-2", "EF50", "E88CC"]
PRINTED = ["EL33", "6SN7", "45", "VT2", "6H9C", "Pen45", "C9", "12", "DL", "6AH7", "B609", "E88CC/01", "DDT4IS)", "0"]


def names() -> HandbookNames:
    alone = {"".join(name.split()).upper(): name for name in named_alone(PRINTED, KNOWN).values()}
    row = {**alone, "6H9C": "6H9C"}
    return HandbookNames(alone, {"6H9C": "6N9S"}, {"45": "the handbook has another tube of this number (T)"}, row)


ROWS = [
    DesignationRow("6SL7GT", "soviet", "6N9S", "same"),
    DesignationRow("6SN7GT", "us-signal-corps-vt", "VT-231", "same"),
]
WIDE = StampTables.build(ROWS, {"CRC": "a maker"}, ["6SN7GT", "45", "EF50"], names())


def settled(text: str) -> str | None:
    return this_tube(read_stamp(text, WIDE), lambda name: frozenset({name}), frozenset(["6SN7GT", "45", "EF50"])).type


def test_a_number_of_the_tables_or_of_their_forms_is_no_type_of_its_own():
    assert set(named_alone(PRINTED, KNOWN)) == {"EL33", "Pen45", "C9", "12", "DL", "6AH7", "B609"}


def test_two_spellings_of_one_number_are_one_type():
    assert named_alone(["ACP", "AC/P", "O1AA", "01AA"], []) == {
        "AC/P": "AC/P", "ACP": "AC/P", "01AA": "01AA", "O1AA": "01AA",
    }  # fmt: skip
    assert named_alone(["6Y6-GA"], ["6Y6G"]) == {"6Y6-GA": "6Y6GA"}


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("EL33", "EL33"), ("EL 33 MULLARD", "EL33"), ("el-33", "EL33"), ("PEN 45", "Pen45"), ("Pen45", "Pen45"),
        ("C9", "C9"), ("12", "12"), ("DL", "DL"), ("6AH7GT", "6AH7"), ("JAN-CRC-6AH7", "6AH7"), ("B609", "B609"),
        ("6SN7GT", "6SN7GT"), ("VT-231", "6SN7GT"), ("45", "45"), ("6H9C", "6SL7GT"),
        ("BOX C9", None), ("QTY 12", None), ("DRAWER B609", None), ("6AH7W", None), ("6SN7", None), ("EL34", None),
        ("6SN7GT EL33", None), ("EF50 DRAWER B609", "EF50"),
    ],
)  # fmt: skip
def test_stamps_settle_such_a_type(text, kind):
    assert settled(text) == kind


def test_a_reading_says_which_row_names_it():
    (found,) = read_stamp("EL33", WIDE).as_dict()["readings"]
    assert found["scheme"] == "pro-electron" and found["relation"] == "same"
    assert found["grade"] == "handbook" and found["note"] == "named by the handbook row EL33"
    (shared,) = read_stamp("6AH7GT", WIDE).readings
    assert shared.note == "named by the handbook row 6AH7, which leaves out the letters of the form (GT)"
    (ruggedized,) = read_stamp("6AH7W", WIDE).readings
    assert (ruggedized.type, ruggedized.relation) == ("6AH7", "ruggedized")


def test_another_tube_of_the_number_is_told_and_not_merged():
    (found,) = read_stamp("45", WIDE).as_dict()["readings"]
    assert found["type"] == "45" and "another tube of this number" in found["note"] and "grade" not in found


def test_what_the_tables_have_is_read_as_without_the_handbook():
    narrow = StampTables.build(ROWS, {"CRC": "a maker"}, ["6SN7GT", "45", "EF50"])
    for text in ("6SN7GT EL33", "VT-231", "EF50 DRAWER B609", "JAN-CRC-6SN7GT", "EF50"):
        assert read_stamp(text, WIDE) == read_stamp(text, narrow)


def test_letters_that_the_handbook_leaves_out():
    assert left_out("6AH7GT") == ("6AH7", "GT", "same")
    assert left_out("6AH7WA") == ("6AH7", "WA", "ruggedized")
    assert left_out("6AH7GTB") == ("6AH7", "GTB", "variant")
    assert left_out("EL33") is None


@pytest.mark.parametrize("mark", ["ABL1G", "MHL4G", "10BM8M", "ECH3G", "PM24M"])
def test_letters_behind_other_numbers_than_american_ones_tell_of_another_build(mark):
    """ECH3G is octal where ECH3 has side contacts, PM24M has no cap where PM24 has one (avo-vdm23)."""
    parts = left_out(mark)
    assert parts is not None and parts[2] == "variant"


@pytest.mark.parametrize("text", ["10 MHL4", "45 MHL4 1942", "45 PenA4"])
def test_figures_beside_a_name_of_the_handbook_are_no_type_in_silence(text):
    """10, 20 and 45 are types, and as often a count."""
    book = HandbookNames({"MHL4": "MHL4", "PENA4": "PenA4"}, row={"MHL4": "MHL4", "PENA4": "PenA4"})
    answer = read_stamp(text, StampTables.build(ROWS, {}, ["10", "20", "45"], book))
    assert answer.ambiguous and {one.type for one in answer.readings} == {text[:2], text.split()[1]}


def test_two_tubes_of_one_number_but_for_a_stroke_are_told_and_settle_nothing():
    """AC/P on british-5, ACP on british-4; 01AA and O1AA are one tube in two spellings (avo-vdm23)."""
    rows = [("AC/P", "T", 4.0, "british-5"), ("ACP", "T", 4.0, "british-4")]
    rows += [("01AA", "T", 5.0, "UX4"), ("O1AA", "T", 5.0, "UX4")]
    twice = two_tubes(rows)
    assert twice == {
        "ACP": "the handbook has two tubes so spelt, AC/P (triode, 4 V, british-5) and ACP (triode, 4 V, british-4)"
    }
    names = {"ACP": "AC/P", "01AA": "01AA"}
    tables = StampTables.build(ROWS, {}, [], HandbookNames(names, row=names, twice=twice))
    for text in ("ACP", "AC/P"):
        answer = read_stamp(text, tables)
        assert answer.ambiguous and twice["ACP"] in answer.readings[0].note
    assert not read_stamp("01AA", tables).ambiguous


def marked_another(text: str, scheme: str, mark: str, kind: str):
    book = HandbookNames(another={mark.replace("-", ""): another_tube("P", 13, "british-7")})
    tables = StampTables.build([DesignationRow(kind, scheme, mark, "same")], {"CRC": "a maker"}, [kind], book)
    return read_stamp(text, tables)


@pytest.mark.parametrize(
    ("text", "scheme", "mark", "ambiguous"),
    [
        ("7D9", "maker", "7D9", True), ("7D9 BRIMAR", "maker", "7D9", True),
        ("VT1", "us-signal-corps-vt", "VT-1", True), ("VT-1", "us-signal-corps-vt", "VT-1", False),
        ("6P9", "soviet", "6P9", True), ("6П9", "soviet", "6P9", False),
        ("CRC-6156", "eia-industrial", "6156", False), ("6156 RCA", "eia-industrial", "6156", False),
        ("6156 MULLARD", "eia-industrial", "6156", True), ("VT1 ENGLAND", "us-signal-corps-vt", "VT-1", True),
    ],
)  # fmt: skip
def test_a_mark_under_which_the_handbook_has_another_tube(text, scheme, mark, ambiguous):
    """7D9: a miniature and a 13 V tube on a British base; VT1, 6P9: see the rows of avo-vdm23."""
    answer = marked_another(text, scheme, mark, "6AM5")
    assert answer.ambiguous is ambiguous and [one.type for one in answer.readings] == ["6AM5"]
    said = "the handbook has another tube of this number (pentode or tetrode, heater 13 V, british-7)"
    assert (said in answer.readings[0].note) is text.isascii() and "not in the tables" not in answer.readings[0].note


def test_soviet_numbers_in_latin_letters():
    assert soviet_of("6H9C") == "6N9S" and soviet_of("6C2C") == "6S2S"
    assert soviet_of("1C5") == soviet_of("12E1C") == ""


def test_short_names_and_schemes():
    assert reads_anywhere("EL33") and reads_anywhere("6158") and reads_anywhere("B609")
    assert not any(map(reads_anywhere, ("12", "244", "DL", "AMOE", "C9")))
    assert (scheme_of("EL33"), scheme_of("6158"), scheme_of("B609")) == ("pro-electron", "eia-industrial", "plain")


@pytest.mark.parametrize(
    ("name", "scheme"),
    [("AC/P1", "maker"), ("ACP1", "maker"), ("ACH1", "pro-electron"), ("EL33", "pro-electron"), ("AC/TP", "plain")],
)
def test_a_british_ac_number_is_no_european_one(name, scheme):
    """AC/P1 is a British Mazda output triode, ACH1 a European triode-hexode (from memory)."""
    assert scheme_of(name) == scheme
