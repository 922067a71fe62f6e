"""More words of lists: totals, headings, counts, dates and prices in more languages. Common practice, no source."""

from datetime import date
from decimal import Decimal

import pytest

from inventory.holdings.rules.dates import read_date
from inventory.holdings.rules.prices import read_price
from inventory.lists.rules import fields as f
from inventory.lists.rules.headings import propose
from inventory.lists.rules.not_items import not_an_item
from inventory.lists.rules.quantities import APPROXIMATE, COUNTED, UNKNOWN, read_quantity
from inventory.lists.rules.rows import HELD, NOT_AN_ITEM, REFUSED, REMARKED, WRITTEN, Group, read_row
from tests.lists.rules.reference import TODAY, context

SHELF = (f.MARK, f.QUANTITY, f.STATE, f.NOTE)


# --- lines that are no item: common practice, no source --------------------------------------------------------------

TOTALS = [
    "sous-total", "Sous total", "total général", "TOTAL GENERAL", "totale", "Subtotale", "suma", "Summa", "итого",
    "ВСЕГО", "celkem", "razem", "Yhteensä", "YHTEENSÄ", "i alt",
]  # fmt: skip


@pytest.mark.parametrize("word", TOTALS)
def test_a_total_in_more_languages_is_no_item(word: str) -> None:
    for cells in ([word], [word, "55"], [f"{word}: 55", ""], ["", word, "55"], [f"{word} 55,00 €", "", "12"]):
        assert not_an_item(cells, SHELF) == "a total line"


def test_a_total_whose_accents_stand_apart_is_no_item() -> None:
    assert not_an_item(["yhteensa\u0308", "55"], SHELF) == "a total line"


@pytest.mark.parametrize(
    "cells",
    [
        ["6SN7GT", "3", "", "всего"],
        ["807", "12", "", "zusammen"],  # a mark of figures, with a word beside its count
        ["SUMMA6", "3"],
        ["итого: 6Н8С", "3"],
        ["summary sheet", "3"],
        ["Sumatra receiver", "1"],
    ],
)
def test_a_mark_is_never_a_total(cells: list[str]) -> None:
    assert not_an_item(cells, SHELF) is None


# --- wants: common practice, no source -------------------------------------------------------------------------------


def test_a_want_names_the_column_that_holds_its_word() -> None:
    headings = ("Type", "Anzahl", "Zustand", "Bemerkung")
    held = read_row(["wanted: 814", "2", "", ""], SHELF, context(headings=headings))
    assert (held.outcome, held.beside_in) == (HELD, f.MARK) and "'wanted: 814'" in held.beside
    none = read_row(["wanted: 814", "", "", ""], SHELF, context(headings=headings))
    assert none.outcome == NOT_AN_ITEM
    assert [(one.column, one.found) for one in none.remarks] == [("Type", "wanted: 814")]
    noted = read_row(["814", "2", "", "wanted"], SHELF, context(headings=headings))
    assert (noted.outcome, noted.beside_in) == (HELD, f.NOTE)


# --- headings and what a spreadsheet wrote: common practice, no source ------------------------------------------------


@pytest.mark.parametrize(
    "heading",
    ["Teil", "Bauteil", "Ersatzteil", "pièce", "composant", "pezzo", "componente", "pieza", "onderdeel", "деталь"],
)
def test_a_list_of_parts_by_its_heading(heading: str) -> None:
    what, count = propose([heading, "Anzahl"], [["Lagerschale", "3"], ["Zahnrad 40", "2"]])
    assert (what.field, count.field, what.sure) == (f.MODEL, f.QUANTITY, True)
    row = read_row(["Lagerschale", "3"], (f.MODEL, f.QUANTITY), context(headings=(heading, "Anzahl")))
    assert (row.outcome, row.kind, row.model) == (REMARKED, f.PARTS, "Lagerschale")
    assert heading in row.remarks[0].reason


def test_the_heading_of_parts_does_not_go_before_the_row() -> None:
    headings = ("Teil", "Anzahl")
    assert read_row(["Netzteil", "1"], (f.MODEL, f.QUANTITY), context(headings=headings)).kind == f.CHASSIS
    assert read_row(["Lagerschale", "3"], (f.MODEL, f.QUANTITY), context(headings=("Gerät", "Anzahl"))).kind == f.OTHERS


@pytest.mark.parametrize("cell", ["TRUE", "FALSE", "True", "WAHR", "FALSCH", "VRAI", "FAUX"])
def test_true_or_false_is_no_type_and_no_model(cell: str) -> None:
    for field in (f.MARK, f.MODEL):
        row = read_row([cell, "3"], (field, f.QUANTITY), context(headings=("What", "Qty")))
        assert row.outcome == REFUSED and row.why.startswith(f"{cell}: a spreadsheet's answer")
        assert [(one.column, one.found) for one in row.remarks] == [("What", cell)]
    assert read_row(["6SN7GT", "3", "", cell], SHELF, context()).outcome == WRITTEN


# --- counts: common practice, no source ------------------------------------------------------------------------------

COUNTS = [  # cell, kind, figure, duds, to be counted
    ("5 шт", COUNTED, 5, 0, False),
    ("5 шт.", COUNTED, 5, 0, False),
    ("5 Stk", COUNTED, 5, 0, False),
    ("5 st", COUNTED, 5, 0, False),
    ("2 HS", COUNTED, 0, 2, False),
    ("2 H.S.", COUNTED, 0, 2, False),
    ("3 dont 1 HS", COUNTED, 2, 1, False),
    ("3 davon 1 defekt", COUNTED, 2, 1, False),
    ("1 dont 3 HS", UNKNOWN, None, 0, True),
    ("une dizaine", APPROXIMATE, 10, 0, True),
    ("environ une vingtaine", APPROXIMATE, 20, 0, True),
    ("une douzaine", COUNTED, 12, 0, False),
    ("2 boxes of 10", APPROXIMATE, 20, 0, True),
    ("two cartons of 5", APPROXIMATE, 10, 0, True),
    ("2 Kartons zu 50", APPROXIMATE, 100, 0, True),
    ("some boxes of 10", UNKNOWN, None, 0, True),
    ("5 (2 weak)", COUNTED, 5, 0, False),
    ("5 (6 weak)", UNKNOWN, None, 0, True),
    ("5 (2 good or weak)", UNKNOWN, None, 0, True),
    ("2 set", UNKNOWN, None, 0, True),
]


@pytest.mark.parametrize(("cell", "kind", "figure", "duds", "counting"), COUNTS)
def test_more_counts(cell: str, kind: str, figure: int | None, duds: int, counting: bool) -> None:
    found = read_quantity(cell)
    assert (found.kind, found.figure, found.duds, found.to_count) == (kind, figure, duds, counting)


@pytest.mark.parametrize(
    ("cell", "was"),
    [
        ("1-Feb", "1-2 or 2-1"),
        ("12-May", "12-5 or 5-12"),
        ("01. Mai", "1-5 or 5-1"),
        ("12-mag", "12-5 or 5-12"),
        ("2-Feb", "2-2"),
        ("2026-02-01", "1-2 or 2-1"),  # as a workbook gives it
        ("2026-02-01 00:00:00", "1-2 or 2-1"),
    ],
)
def test_a_count_that_became_a_date(cell: str, was: str) -> None:
    found = read_quantity(cell)
    assert (found.kind, found.figure, found.to_count) == (UNKNOWN, None, True)
    assert found.remark and f"'{cell}'" in found.remark.reason and found.remark.reason.endswith(f"have been {was}")


def test_some_of_a_count_in_a_state_the_others_as_the_row_says() -> None:
    row = read_row(["6SN7GT", "5 (2 weak)", "good", ""], SHELF, context())
    assert row.groups == (Group(3, "good", "good"), Group(2, "weak", "weak"))
    row = read_row(["6SN7GT", "5 (2 weak)", "", ""], SHELF, context())
    assert row.groups == (Group(3, "untested"), Group(2, "weak", "weak"))
    row = read_row(["6SN7GT", "5 (2 weak)", "good", "one is a dud"], SHELF, context())
    assert row.groups[0].state == "untested"
    row = read_row(["6SN7GT", "2 HS", "", ""], SHELF, context())
    assert row.outcome == WRITTEN and [(group.count, group.state) for group in row.groups] == [(2, "dud")]


@pytest.mark.parametrize("cell", ["A Few", "Drei ODER so", "1.234,5 X", "WAS?"])
def test_a_count_is_quoted_as_found(cell: str) -> None:
    remark = read_quantity(cell).remark
    assert remark and f"'{cell}'" in remark.reason


# --- dates: common practice, no source -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cell", "first", "last"),
    [
        ("12 gennaio 1998", date(1998, 1, 12), date(1998, 1, 12)),
        ("3 enero 1999", date(1999, 1, 3), date(1999, 1, 3)),
        ("5 Dicembre 1971", date(1971, 12, 5), date(1971, 12, 5)),
        ("Agosto 1999", date(1999, 8, 1), date(1999, 8, 31)),
        ("septiembre 2001", date(2001, 9, 1), date(2001, 9, 30)),
        ("MAY 1982", date(1982, 5, 1), date(1982, 5, 31)),
        ("Sommer 1982", date(1982, 6, 1), date(1982, 8, 31)),
        ("bef 1990", None, date(1989, 12, 31)),
        ("Bef. 1990", None, date(1989, 12, 31)),
        ("before 1990", None, date(1989, 12, 31)),
    ],
)
def test_more_dates(cell: str, first: date | None, last: date) -> None:
    found = read_date(cell, TODAY)
    assert (found.first, found.last) == (first, last)
    if first is None:
        assert found.precision == "before" and found.remark and "up to 1989-12-31" in found.remark.reason


def test_a_day_without_a_year_either_way_round() -> None:
    for cell in ("04 May", "May 04"):
        remark = read_date(cell, TODAY).remark
        assert remark
        assert remark.reason == f"{cell} can be day 4 of an unsaid year or May 2004; kept as found"


@pytest.mark.parametrize("cell", ["When Father died", "aprıl 1982", "Mär 45 X", "99 May"])
def test_what_is_no_date_is_quoted_as_found(cell: str) -> None:
    found = read_date(cell, TODAY)
    assert not found.read and found.remark and found.remark.reason.startswith(cell)


# --- prices: codes of ISO 4217 and its list of historic codes; the words common practice, no source -------------------

PRICES = [  # cell, heading, amount, currency, for what
    ("120 руб", "", "120", "RUB", ""),
    ("120 руб.", "", "120", "RUB", ""),
    ("120 ₽", "", "120", "RUB", ""),
    ("Lit. 5000", "", "5000", "ITL", ""),
    ("15 pesetas", "", "15", "ESP", ""),
    ("5 USD/pc", "", "5", "USD", "each"),
    ("5 € / Stk", "", "5", "EUR", "each"),
    ("50 F", "Prix FRF", "50", "FRF", ""),
    ("50,00 F", "Prix (FF)", "50.00", "FRF", ""),
]


@pytest.mark.parametrize(("cell", "heading", "amount", "currency", "per"), PRICES)
def test_more_prices(cell: str, heading: str, amount: str, currency: str, per: str) -> None:
    found = read_price(cell, heading=heading)
    assert (found.amount, found.currency, found.per, found.remark) == (Decimal(amount), currency, per, None)


@pytest.mark.parametrize(("cell", "heading"), [("50 F", ""), ("50 F", "Prix"), ("50 F", "CHF"), ("5 pcs", "")])
def test_what_is_no_price_is_quoted_as_found(cell: str, heading: str) -> None:
    found = read_price(cell, heading=heading)
    assert found.amount is None and found.remark and found.remark.reason.startswith(f"{cell} cannot be read")


def test_what_was_given_beside_the_money_is_kept_as_found() -> None:
    found = read_price("DM 20 + EF80 Boxed")
    assert found.more == "EF80 Boxed" and found.remark and found.remark.reason.startswith("EF80 Boxed")
