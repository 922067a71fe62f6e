"""Fifteen rows in the style of keepers' lists, under three headings, and what becomes of each.

Tube designations are real; set models, serials and places are invented. Some models begin with the letters of the
set component indicators (BC, TU, DM); no equipment has the numbers behind them. What is expected of the rows: common
practice, no source.
"""

import csv
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

import pytest

from inventory.lists.rules.headings import propose
from inventory.lists.rules.rows import NOT_AN_ITEM, REMARKED, RowReading, read_row
from tests.lists.rules.reference import context

SHORT = "TUBE,HAVE,USED,NEED,BOX,$,REMARKS"
GERMAN = "Röhre;Anz.;Zust.;S (mA/V);gepr. am;Lager;Preis;für Gerät;Bem."
LONG = (
    "Item #,Nomenclature,Order/Contract,Ser No,Mod?,Mate / chart,Got from,Date,Pd,Ins. val,Loc (bldg-room-shelf),Photo,"
)


@dataclass(frozen=True)
class Case:
    heading: str
    line: str
    outcome: str
    kind: str = ""
    groups: tuple[tuple[int, str], ...] = ()
    words: tuple[str, ...] = ()  # each in some remark


CASES = [
    Case(
        SHORT, "6AC7/1852,11,4,,B-3,.50,metal - 2 rusty", REMARKED, "tubes", ((11, "untested"),), ("USED: 4", "$ means")
    ),
    Case(SHORT, '6ac7,6,?,,"B-3, B-4",,see also VT-112', REMARKED, "tubes", ((6, "untested"),), ("2 places in one",)),
    Case(
        SHORT, "12A6,0,0,2!,,,for Petrel Two", NOT_AN_ITEM, "tubes", (), ("none here, 2! wanted", "not a thing owned"),
    ),
    Case(
        SHORT, 'VR-150/30 (OD3),8 or 9,,,"coffee can, red",1.00,glow checked', REMARKED, "tubes", ((8, "untested"),),
        ("not a sure count",),
    ),
    Case(
        SHORT, "1619 ,25+,,,crate 2,,sealed case do not open", REMARKED, "tubes", ((25, "untested"),),
        ("not a sure count",),
    ),
    Case(GERMAN, "EF 80;12;neu;;;Schub 4;2,50;;", REMARKED, "tubes", ((12, "untested"),), ("no currency",)),
    Case(
        GERMAN, "RX12P35;3;gebr.;2,1;12.06.09;Schub 9;DM 45,-;Alk 39 K;1x Glas lose", REMARKED, "tubes",
        ((3, "untested"),), ("no known number", "day first"),
    ),
    Case(
        GERMAN, "CV 138 (=EF91);7;o.k.;;vor 1995;Schub 4;;;Karton passt nicht", REMARKED, "tubes", ((7, "good"),),
        ("no sure day", "up to 1994-12-31"),
    ),
    Case(
        GERMAN, '"LS50";2+2;neu / taub?;;Nov. 17;oben;VB;Kiebitz 10;"Paar, nicht trennen"', REMARKED, "tubes",
        ((2, "untested"), (2, "untested")),
        ("in 2 groups", "doubted", "day 17", "bargaining", "no measured match"),
    ),
    Case(GERMAN, ";;;;;Schub 5 leer;;;", NOT_AN_ITEM),
    Case(
        LONG, "101,BC-9012-N,13-F? KYLE-44,n/a,AC supply added,,estate lot,1/82,$75,350,1-2-C,yes,", REMARKED,
        "chassis",
        ((1, ""),), ("taken for chassis", "$ means", "no currency"),
    ),
    Case(
        LONG, '102,TU-917,,#612,no,"mates BC-9023 #612, chart glued",same,,,,1-2-C,,', REMARKED, "units", ((1, ""),),
        ("taken for units", "row above"),
    ),
    Case(
        LONG, "103,Kelvane 18,NXsr-?,1190,,book is 1109 !!,hamfest,May 04,40 + gas,60,1-bench,DSC0042,", REMARKED,
        "chassis", ((1, ""),), ("1109, this one 1190", "May 2004", "gas was given"),
    ),
    Case(
        LONG, "102,TU-918,,612,,see above,,,,,1-2-C,,number used twice", REMARKED, "units", ((1, ""),),
        ("another row",),
    ),
    Case(
        LONG, '104,"DM-935, spare",,,,"xmtr type?",trade,04/05/06,0,,barn,,"brushes gone; ""as is"""', REMARKED,
        "parts", ((1, ""),), ("taken for parts", "2006-05-04 or 2006-04-05", "given or not known"),
    ),
]  # fmt: skip


def read(heading: str, line: str) -> RowReading:
    delimiter = ";" if heading == GERMAN else ","
    headings = heading.split(delimiter)
    mapping = [one.field for one in propose(headings)]
    return read_row(next(csv.reader([line], delimiter=delimiter)), mapping, context(headings=headings))


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.line)
def test_a_row_of_a_keeper(case: Case) -> None:
    found = read(case.heading, case.line)
    assert (found.outcome, found.kind) == (case.outcome, case.kind)
    assert tuple((group.count, group.state) for group in found.groups) == case.groups
    said = " | ".join(remark.reason for remark in found.remarks)
    assert all(word.lower() in said.lower() for word in case.words), said
    assert bool(found.remarks) == bool(case.words)
    assert all(remark.column and remark.reason and remark.action for remark in found.remarks)


def test_the_dual_mark_is_one_type() -> None:
    found = read(SHORT, CASES[0].line)
    assert found.stamp is not None and {r.type for r in found.stamp.readings} - {None} == {"6AC7"}
    assert found.condition == "USED: 4" and found.note == "metal - 2 rusty"
    assert found.price is not None and (found.price.amount, found.price.currency) == (Decimal("0.50"), "$")


def test_a_wish_without_stock_is_kept() -> None:
    found = read(SHORT, CASES[2].line)
    assert found.quantity is not None and found.quantity.figure == 0
    assert found.wanted is not None and found.wanted.figure == 2


def test_the_german_row_keeps_its_figures() -> None:
    found = read(GERMAN, CASES[6].line)
    (one,) = found.readings
    assert (one.readings[0].value, one.readings[0].scale) == ("2,1", "mA/V")
    assert found.tested_on is not None and found.tested_on.first == date(2009, 6, 12)
    assert found.price is not None and (found.price.amount, found.price.currency) == (Decimal(45), "DEM")
    assert (found.for_set, found.note, found.condition) == ("Alk 39 K", "1x Glas lose", "gebr.")


def test_tested_before_a_year() -> None:
    found = read(GERMAN, CASES[7].line)
    assert found.tested_on is not None and found.tested_on.last == date(1994, 12, 31)


def test_serials_and_mates_are_text() -> None:
    found = read(LONG, CASES[11].line)
    assert (found.serial, found.mate_serial, found.number) == ("612", "612", "102")
    assert found.mate_text == "mates BC-9023 #612, chart glued"
    assert read(LONG, CASES[10].line).serial == ""
    assert ("Order/Contract", "13-F? KYLE-44") in read(LONG, CASES[10].line).kept


def test_the_keepers_word_on_dollars_and_order() -> None:
    headings = LONG.split(",")
    mapping = [one.field for one in propose(headings)]
    cells = next(csv.reader([CASES[14].line]))
    found = read_row(cells, mapping, context(headings=headings, order="day", dollar="USD"))
    assert found.acquired_on is not None and found.acquired_on.first == date(2006, 5, 4)
