"""Sixty rows of invented lists and what becomes of each. Set models, serials, people and places are invented.

What is expected: common practice, no source, except the two meanings of VT numbers (U.S. Signal Corps and British
services: bvws.org.uk, 405 Alive, valve numbers).
"""

from dataclasses import dataclass, field

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.lists.rules import fields as f
from inventory.lists.rules.rows import HELD, NOT_AN_ITEM, REFUSED, REMARKED, WRITTEN, RowReading, read_row
from tests.lists.rules.reference import context

HEADINGS = ("what", "how many", "verdict", "gm", "place", "paid", "notes")
SHELF = (f.MARK, f.QUANTITY, f.STATE, f.READING, f.PLACE, f.PRICE, f.NOTE)
SETS = (f.MODEL, f.SERIAL, f.MATE, f.PLACE, f.ACQUIRED_ON, f.NOTE)
SET_HEADINGS = ("set", "number on plate", "goes with", "room", "came", "remarks")


@dataclass(frozen=True)
class Case:
    line: str  # cells between strokes
    outcome: str
    kind: str = ""
    count: int | None = None  # of all groups; None: nothing to write
    state: str = ""
    words: tuple[str, ...] = field(default=())  # each in some remark, or in `why`


T, P, C, U, K, O = f.TUBES, f.PARTS, f.CHASSIS, f.UNITS, f.COMPANIONS, f.OTHERS  # noqa: E741
TUBE_ROWS = [
    Case("6SN7GT|3|good|||| ", WRITTEN, T, 3, "good"),
    Case("JAN-CRC-6SN7GT|2|o.k.||Bin 4||1944 carton", WRITTEN, T, 2, "good"),
    Case("VT-231|1|weak|1500/1200 umho|Bin 4||", REMARKED, T, 1, "weak", ("two readings, or",)),
    Case("807|1 dz|||crate||", WRITTEN, T, 12, "untested"),
    Case("807|2 doz|NOS||crate|€ 5 ea|", WRITTEN, T, 24, "untested"),
    Case("1625|about 20|||under stairs||", REMARKED, T, 20, "untested", ("not a sure count",)),
    Case("1625|~20||||€ 12,50|", REMARKED, T, 20, "untested", ("not a sure count",)),
    Case("5U4G|12-15|||attic||", REMARKED, T, 12, "untested", ("12 taken",)),
    Case("5U4G|a few|||attic||", REMARKED, T, None, "", ("no number",)),
    Case("5U4G|?|good||attic||", REMARKED, T, None, "", ("not known",)),
    Case("5U4G|||||| ", REMARKED, T, None, "", ("no count is given",)),
    Case("6V6GT|3+1|||Bin 2||", REMARKED, T, 4, "untested", ("2 groups",)),
    Case("6V6GT|3+1|good / dud||Bin 2||", REMARKED, T, 4, "", ("2 groups",)),
    Case("6V6GT|2 (1 dud)|||Bin 2||", REMARKED, T, 2, "", ("1 dud among 2",)),
    Case("6V6GT|1 pr|good||Bin 2||", REMARKED, T, 2, "good", ("no measured match",)),
    Case("6V6GT|4|good||Bin 2||one is a dud", REMARKED, T, 4, "untested", ("speak of a dud",)),
    Case("6V6GT|4|dud?||Bin 2||", REMARKED, T, 4, "untested", ("doubted",)),
    Case("6V6GT|4|taub||Schub 2||", WRITTEN, T, 4, "dud"),
    Case("EF80|5|ungeprüft||Schub 2|DM 20|", WRITTEN, T, 5, "untested"),
    Case("EF80|0|||||", NOT_AN_ITEM, T, None, "", ("none there",)),
    Case("EF80|2!|||||", NOT_AN_ITEM, T, None, "", ("a want, not a thing owned",)),
    Case("EF80|need 3|||||", NOT_AN_ITEM, T, None, "", ("a want",)),
    Case("EF80|||||| wanted", NOT_AN_ITEM, T, None, "", ("a want",)),
    Case("EF80||gesucht||||", NOT_AN_ITEM, T, None, "", ("a want",)),
    Case("EF80 wanted||||||", NOT_AN_ITEM, T, None, "", ("a want",)),
    Case("EF80|1|wanted||||", HELD, T, 1, "untested", ("beside a count",)),
    Case("EF80|2|||||need 3 more", WRITTEN, T, 2, "untested"),
    Case("EF80|2|||||needs a new base", WRITTEN, T, 2, "untested"),
    Case("EF80|3 good 2 bad|||||", WRITTEN, T, 5, ""),
    Case("EF80|1/2 dozen|||||", WRITTEN, T, 6, "untested"),
    Case("EF80 (x4)||||||", REMARKED, T, 4, "untested", ("4 read as the count",)),
    Case("x4 EF80||||||", REMARKED, T, 4, "untested", ("4 read as the count",)),
    Case("EF80 x4|3|||||", REMARKED, T, 3, "untested", ("a count of 4 beside the number, not used",)),
    Case("5692/6SN7|2|||||", HELD, T, 2, "untested", ("6SN7 beside 5692 is not in the tables",)),
    Case("807/XYZ-99|2|||||", HELD, T, 2, "untested", ("XYZ-99 beside 807",)),
    Case("6AC7/1852|2|||||", WRITTEN, T, 2, "untested"),
    Case("EF80|-3|||||", REFUSED, T, None, "", ("below zero",)),
    Case("EF80|=2+2|||||", REFUSED, T, None, "", ("formula",)),
    Case("EF80|+3|||||", REFUSED, T, None, "", ("formula or a change",)),
    Case("EF80|1.43E+03|||||", REFUSED, T, None, "", ("rewritten",)),
    Case("2.00E+26|3|good||||", REFUSED, "", None, "", ("likely 2E26",)),
    Case("#REF!|3|good||||", REFUSED, "", None, "", ("spreadsheet error",)),
    Case("=A7|3|good||||", REFUSED, "", None, "", ("formula",)),
    Case("6SN7GT, 6SL7GT|3|||||", REFUSED, T, None, "", ("two types",)),
    Case("6SN7GT 6SL7GT|3|||||", REFUSED, T, None, "", ("two types",)),
    Case("807 or 1619|3|||||", REFUSED, T, None, "", ("two types",)),
    Case("5U4G und 6V6GT|3|||||", REFUSED, T, None, "", ("two types",)),
    Case("VT-231 / 6SN7GT|3|||||", WRITTEN, T, 3, "untested"),
    Case("VT-60|3|good||||", HELD, T, 3, "good", ("more than one meaning",)),
    Case("6S?7|1|||||", REMARKED, T, 1, "untested", ("a figure is lost",)),
    Case("XQ9977-Z|1|||||", REMARKED, T, 1, "untested", ("no known number",)),
    Case("807|2||TV 48/40|||", REMARKED, T, 2, "untested", ("two readings, or",)),
    Case("807|2||92 %|||", REMARKED, T, 2, "untested", ("hundred per cent",)),
    Case("807|2||98/100 tests good|||", REMARKED, T, 2, "untested", ("no other scale",)),
    Case("807|2||||12/6|", REMARKED, T, 2, "untested", ("12 shillings 6 pence",)),
    Case("807|2||||4 for $10|", REMARKED, T, 2, "untested", ("$ means",)),
    Case("807|2||||swap|", REMARKED, T, 2, "untested", ("no price",)),
    Case("807|2||||free|", WRITTEN, T, 2, "untested"),
    Case("866A|2||||| mercury, keep upright", REMARKED, T, 2, "untested", ("mercury proposed",)),
    Case("oil cap 4 mfd 600 V|3|||cage||", REMARKED, P, 3, "", ("PCB proposed", "taken for parts")),
    Case("choke 10 H|1|||cage||", REMARKED, P, 1, "", ("taken for parts",)),
    Case("807 with socket|1|||||", REMARKED, T, 1, "untested", ("number at the head",)),
    Case("box of 6AC7|1|||||", REMARKED, T, 1, "untested", ("count may be of these",)),
    Case("6V6GT pair|1|||||", REMARKED, T, 1, "untested", ("count may be of these",)),
    Case("807 (3)|3|||||", REMARKED, T, 3, "untested", ("may be a count",)),
    Case("807 (x3)|3|||||", WRITTEN, T, 3, "untested"),
    Case("socket for 807|1|||||", REMARKED, P, 1, "", ("taken for parts",)),
    Case("807|4|1 good|||| ", REMARKED, T, 4, "untested", ("some, not of all",)),
    Case("807|4|filament good|||| ", WRITTEN, T, 4, "untested"),
    Case("807|4|believed good|||| ", REMARKED, T, 4, "untested", ("doubted",)),
    Case("||||Bin 9||half a tray, not sorted", REFUSED, "", None, "", ("nothing in the row",)),
    Case("crystal 3885 kc|6|||cigar box||", REMARKED, P, 6, "", ("taken for parts",)),
    Case("thing with wires|1|||||", REMARKED, O, 1, "", ("not clear",)),
    Case("|5|good||Bin 2||", REFUSED, "", None, "", ("nothing in the row",)),
    Case("||||||", NOT_AN_ITEM, words=("blank",)),
    Case("what|how many|verdict|gm|place|paid|notes", NOT_AN_ITEM, words=("heading",)),
    Case("TOTAL|217||||€ 340,00|", NOT_AN_ITEM, words=("total",)),
    Case("||||Summe|12,50|", NOT_AN_ITEM, words=("total",)),
    Case("--- RECEIVING ---||||||", NOT_AN_ITEM, words=("divider",)),
    Case("Shelf 4||||||", NOT_AN_ITEM, words=("divider",)),
    Case("-----|---||||| ", NOT_AN_ITEM, words=("dashes",)),
]
SET_ROWS = [
    Case("Skerry 40 transmitter|01432||Hall|Aug '07|", REMARKED, C, 1, "", ("taken for chassis",)),
    Case("Skerry coil drawer A|01432||Hall||", REMARKED, U, 1, "", ("taken for units",)),
    Case("calibration book|1190|meter is 1109|Attic||", REMARKED, K, 1, "", ("1109, this one 1190",)),
    Case("Petrel Two|D-12, D-14||Hall|1999?|", REFUSED, "", None, "", ("more than one serial",)),
    Case("Lantern Mk 2|2.08E+05||Hall||", REMARKED, C, 1, "", ("without the serial",)),
    Case("Lantern Mk 2|L-208||||radium dial", REMARKED, C, 1, "", ("radium proposed",)),
    Case("6SN7GT|||Hall||", REMARKED, T, 1, "untested", ("number at the head",)),
]


def total(found: RowReading) -> int | None:
    return sum(group.count for group in found.groups) or None


def check(case: Case, found: RowReading) -> None:
    assert (found.outcome, found.kind) == (case.outcome, case.kind), found
    assert (total(found), found.state) == (case.count, case.state)
    said = " | ".join([found.why, *(remark.reason for remark in found.remarks)])
    assert all(word in said for word in case.words), said
    if case.outcome == WRITTEN:
        assert not found.remarks
    if case.outcome in (REFUSED, REMARKED):
        assert found.remarks and all(remark.reason and remark.action for remark in found.remarks)


@pytest.mark.parametrize("case", TUBE_ROWS, ids=lambda case: case.line)
def test_a_row_of_a_mixed_shelf(case: Case) -> None:
    check(case, read_row(case.line.split("|"), SHELF, context(headings=HEADINGS)))


@pytest.mark.parametrize("case", SET_ROWS, ids=lambda case: case.line)
def test_a_row_of_a_list_of_sets(case: Case) -> None:
    check(case, read_row(case.line.split("|"), SETS, context(headings=SET_HEADINGS)))


def test_there_are_sixty() -> None:
    assert len(TUBE_ROWS) + len(SET_ROWS) >= 60


def test_a_held_row_offers_every_meaning() -> None:
    found = read_row(["VT-60", "1"], [f.MARK, f.QUANTITY], context())
    # U.S. Signal Corps VT-60 is the 850, the British VT60 the 807 (bvws.org.uk, 405 Alive, valve numbers)
    assert {choice.type for choice in found.choices} == {"850", "807"}
    assert found.groups[0].count == 1


def test_duds_are_never_among_the_good() -> None:
    found = read_row(["6V6GT", "5 (2 dud)", "good"], SHELF, context())
    assert [(g.count, g.state) for g in found.groups] == [(3, "good"), (2, "dud")]


def test_unmapped_cells_are_kept_by_their_heading() -> None:
    found = read_row(["807", "1", "green", "5"], [f.MARK, f.QUANTITY, f.OTHER], context(headings=["t", "n", "colour"]))
    assert found.kept == (("colour", "green"), ("column 4", "5"))


def test_a_fixed_kind_is_not_argued_with() -> None:
    found = read_row(["choke 10 H", "1"], [f.MARK, f.QUANTITY], context(kind=f.TUBES))
    assert found.kind == f.TUBES
    assert read_row(["Skerry 40", "1877"], [f.MODEL, f.SERIAL], context(kind=f.CHASSIS)).outcome == WRITTEN


def test_a_kind_column_names_the_kind() -> None:
    mapping = [f.KIND, f.MODEL, f.SERIAL]
    assert read_row(["Gerät", "Halyard III", "0007"], mapping, context()).kind == f.CHASSIS
    found = read_row(["unit", "Skerry coil drawer B", "0007"], mapping, context())
    assert (found.kind, found.serial, found.outcome) == (f.UNITS, "0007", WRITTEN)


def test_reading_and_minimum_in_two_columns() -> None:
    mapping = [f.MARK, f.READING, f.MINIMUM]
    headings = ["Tube", "Gm (umho)", "min"]
    found = read_row(["807", "5200", "3900"], mapping, context(headings=headings))
    (one,) = found.readings
    assert (one.readings[0].value, one.minimum.value, one.minimum.unit) == ("5200", "3900", "micromho")
    other = read_row(["807", "5200", "2.1 mA/V"], mapping, context(headings=headings))
    assert other.readings[0].readings[0].minimum == "" and other.readings[0].minimum.unit == "mA/V"
    assert any("another scale" in remark.reason for remark in other.remarks)


def test_a_remark_names_the_column_and_the_text_as_found() -> None:
    found = read_row(["807", "about 20", "", "", "", "", ""], SHELF, context(headings=HEADINGS))
    (remark,) = found.remarks
    assert (remark.column, remark.found) == ("how many", "about 20")


def test_a_state_that_is_not_read_is_said() -> None:
    said = {}
    mapping = [f.MARK, f.QUANTITY, f.STATE]
    for cell in ("H-K leakage", "tests 80%", "NOS", "reject"):
        found = read_row(["6V6GT", "2", cell], mapping, context(headings=["Tube", "Qty", "State"]))
        said[cell] = [group.state for group in found.groups], [(one.found, one.reason) for one in found.remarks]
    unread = "not read: counted as untested"
    assert said == {
        "H-K leakage": (["untested"], [("H-K leakage", unread)]),
        "tests 80%": (["untested"], [("tests 80%", unread)]),
        "NOS": (["untested"], []),
        "reject": (["dud"], []),
    }


def test_a_serial_makes_an_empty_count_one() -> None:
    mapping = [f.MARK, f.QUANTITY, f.SERIAL]
    found = read_row(["807", "", "4711"], mapping, context())
    assert found.quantity is not None and found.quantity.figure == 1 and not found.quantity.to_count


# --- columns of bounds, and lists of a register's own ----------------------------------------------------------------

BOUNDS = (f.MARK, f.QUANTITY, f.LEAST, f.MOST, f.DUDS)


@pytest.mark.parametrize(
    ("line", "kind", "count", "asks", "words"),
    [
        ("6SN7GT|7|||", "counted", 7, False, ()),
        ("6SN7GT|7|5||2", "counted", 7, False, ("stands beside a count",) * 2),
        ("6SN7GT||5|7|", "range", 5, True, ()),
        ("6SN7GT||5|5|1", "counted", 6, False, ()),
        ("6SN7GT||5||", "at least", 5, True, ()),
        ("6SN7GT|||9|", "at most", None, True, ()),
        ("6SN7GT||||", "unknown", None, True, ("no count is given",)),
        ("6SN7GT||some||", "unknown", None, True, ("no whole number",)),
    ],
)
def test_bounds_of_somebody_elses_list(line: str, kind: str, count: int | None, asks: bool, words: tuple[str, ...]):
    """Bounds stand in for a count, and never go before one; what is not sure wants counting."""
    found = read_row(line.split("|"), BOUNDS, context())
    assert found.quantity is not None and (found.quantity.kind, found.quantity.to_count) == (kind, asks)
    assert total(found) == count
    assert len(found.remarks) == len(words)
    assert all(word in remark.reason for word, remark in zip(words, found.remarks, strict=True))


@given(st.sampled_from([case.line for case in TUBE_ROWS]))
def test_empty_columns_of_bounds_change_nothing(line: str) -> None:
    cells = line.split("|")
    plain = read_row(cells, SHELF, context(headings=HEADINGS))
    wide = read_row([*cells, "", "", ""], [*SHELF, f.LEAST, f.MOST, f.DUDS], context(headings=HEADINGS))
    assert wide == plain


def test_what_was_counted_goes_before_every_cell() -> None:
    for line in ("807|a few|||", "807||some||", "807||2||1", "807|about 3|5||"):
        for own in (False, True):
            found = read_row(line.split("|"), BOUNDS, context(own=own), counted=4)
            assert found.quantity is not None and (found.quantity.figure, found.quantity.to_count) == (4, False)
            assert total(found) == 4 and not found.remarks


@pytest.mark.parametrize(
    ("cell", "state", "words"),
    [
        ("", "untested", ""), ("weak", "weak", ""), ("Good", "good", ""), ("gut", "good", ""),
        ("tested good", "good", ""), ("good?", "untested", "doubted"), ("not good", "untested", "what it is not"),
        ("shiny", "untested", "names no state"),
    ],
)  # fmt: skip
def test_states_of_a_registers_own_list(cell: str, state: str, words: str) -> None:
    """Somebody has worked on the list since: what is no state of the register is read or remarked, never dropped."""
    found = read_row(["807", cell], [f.MARK, f.STATE], context(own=True, kind=f.TUBES))
    assert found.state == state
    assert [words in remark.reason for remark in found.remarks] == ([True] if words else [])
