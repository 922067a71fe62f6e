"""Spreadsheets from anybody: what they show is read, and what is made to harm is refused in a bounded number of steps.

Cells, shared texts and number formats: ECMA-376 part 1 (18.3, 18.4, 18.8.30); tables and repeats: OpenDocument 1.3
part 3; the day that never was (29 February 1900): ECMA-376 part 1, 18.17.4.1. All things in the lists are invented.
"""

import datetime
import io
import zipfile
from decimal import Decimal

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.holdings.models import Fact, Tube
from inventory.lists.actions import sheet_parts
from inventory.lists.actions.files import FileRefused, open_table
from inventory.lists.actions.read import lay_out
from inventory.lists.rules.number_formats import CLOCK, DAY, NUMBER, SPAN, figure_shown, moment_of, read_format
from tests.lists.importing_lists import take
from tests.lists.test_importing_files import ODS_ROW, ods

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
LINKS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
PARTS = "http://schemas.openxmlformats.org/package/2006/relationships"


def xlsx(sheet, **parts):
    """A workbook of one sheet from bare XML; ``parts`` are more members, by names with ``__`` for a stroke."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr(
            "xl/workbook.xml",
            f'<workbook xmlns="{MAIN}" xmlns:r="{LINKS}"><sheets><sheet name="L" r:id="a"/></sheets></workbook>',
        )
        packed.writestr(
            "xl/_rels/workbook.xml.rels",
            f'<Relationships xmlns="{PARTS}"><Relationship Id="a" Type="{LINKS}/worksheet" '
            f'Target="worksheets/sheet1.xml"/><Relationship Id="b" Type="{LINKS}/sharedStrings" '
            f'Target="sharedStrings.xml"/></Relationships>',
        )
        packed.writestr("xl/worksheets/sheet1.xml", sheet)
        for name, text in parts.items():
            packed.writestr(name.replace("__", "/") + ".xml", text)
    return out.getvalue()


def in_sheet(rows):
    return f'<worksheet xmlns="{MAIN}"><sheetData>{rows}</sheetData></worksheet>'


def lines(raw):
    return list(open_table(io.BytesIO(raw)).lines)


def saved(fill):
    made = openpyxl.Workbook()
    fill(made.active)
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()


# --- made to harm ----------------------------------------------------------------------------------------------------

HOSTILE = {
    "cells never closed": in_sheet("<row>")[: -len("</sheetData></worksheet>")] + "<c r='A1'><v>" * 200_000,
    "a mark without end": in_sheet("")[:-24] + "<c " + "a" * 3_000_000,
    "marks in marks": in_sheet("<row>" * 100_000),
    "entities": f'<!DOCTYPE a [<!ENTITY x "{"y" * 1000}">]><worksheet xmlns="{MAIN}"/>',
    "cut off": in_sheet("<row r='1'><c r='A1'><v>8</v></c></row>")[:-30],
    "no XML": "PK" * 1000,
    "a row beyond the last": in_sheet("<row r='9999999'><c r='A9999999'><v>8</v></c></row>"),
    "a column beyond the last": in_sheet("<row r='1'><c r='ZZZZ1'><v>8</v></c></row>"),
    "a cell without end": in_sheet(f"<row r='1'><c r='A1' t='inlineStr'><is><t>{'x' * 500_000}</t></is></c></row>"),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_sheet_is_refused_in_one_line(name):
    with pytest.raises(FileRefused) as refusal:
        lines(xlsx(HOSTILE[name]))
    assert "\n" not in str(refusal.value) and "save" in str(refusal.value)


def test_a_packed_file_that_unpacks_to_very_much(monkeypatch):
    with monkeypatch.context() as patch:
        patch.setattr(sheet_parts, "UNPACKED", 3_000_000)
        with pytest.raises(FileRefused, match="unpacks to more than"):
            lines(xlsx(in_sheet(" " * 4_000_000)))
    monkeypatch.setattr(sheet_parts, "MOST_FILLED", 100)
    row = "<row><c><v>1</v></c><c><v>2</v></c></row>"
    with pytest.raises(FileRefused, match="more than 100 filled cells"):
        lines(xlsx(in_sheet(row * 60)))


def test_shared_texts_have_a_bound(monkeypatch):
    monkeypatch.setattr("inventory.lists.actions.sheet_xlsx.SHARED", 1000)
    shared = f'<sst xmlns="{MAIN}">{"<si><t>the same words</t></si>" * 80}</sst>'
    with pytest.raises(FileRefused, match="too long together"):
        lines(xlsx(in_sheet("<row><c t='s'><v>0</v></c></row>"), xl__sharedStrings=shared))


def test_hostile_ods():
    again = ' table:number-rows-repeated="99999999"'
    wide = ODS_ROW.format(text="x", more="").replace(
        "<table:table-cell", '<table:table-cell table:number-columns-repeated="9999999"'
    )
    assert [
        line.cells for line in lines(ods(ODS_ROW.format(text="807", more=""), ODS_ROW.format(text="", more=again)))
    ] == [("807",)]
    for rows in (ODS_ROW.format(text="x", more=again), wide, ODS_ROW.format(text="<text:p>" * 99, more="")):
        with pytest.raises(FileRefused):
            lines(ods(rows))


@given(raw=st.binary(max_size=400))
def test_no_bytes_in_the_place_of_a_sheet_upset_the_reader(raw):
    for whole in (raw, in_sheet("").encode()[:-24] + raw):
        try:
            lines(xlsx(whole))
        except FileRefused as refusal:
            assert "\n" not in str(refusal)


# --- what a sheet shows ----------------------------------------------------------------------------------------------


def test_bare_cells_shared_and_rich_texts_and_gaps():
    shared = (
        f'<sst xmlns="{MAIN}"><si><r><t>VT-</t></r><r><t>231</t></r><rPh><t>no word of it</t></rPh></si>'
        "<si><t>Box &amp; shelf</t></si></sst>"
    )
    rows = (
        '<row><c t="s"><v>0</v></c><c/><c t="s"><v>1</v></c></row>'
        '<row r="4"><c r="C4" t="s"><v>1</v></c><c r="A4" t="b"><v>1</v></c></row>'
    )
    assert [(line.number, line.cells) for line in lines(xlsx(in_sheet(rows), xl__sharedStrings=shared))] == [
        (1, ("VT-231", "", "Box & shelf")), (2, ()), (3, ()), (4, ("TRUE", "", "Box & shelf")),
    ]  # fmt: skip


def test_days_times_spans_and_currencies_by_their_formats():
    def fill(page):
        page.append(["Tube", "When", "At", "Ran", "Paid", "Ask", "Value", "Share"])
        page.append(
            [
                "807",
                datetime.datetime(2007, 8, 1, 9, 30),
                datetime.time(7, 5),
                datetime.timedelta(hours=30),
                12.5,
                3,
                4,
                0.5,
            ]
        )
        formats = {"E2": "#,##0.00\\ [$€-407]", "F2": "[$$-1009]#,##0.00", "G2": '#,##0.00" DM"', "H2": "0%"}
        for name, code in formats.items():
            page[name].number_format = code

    _, row = lines(saved(fill))
    assert row.cells == ("807", "2007-08-01 09:30", "07:05:00", "1 day, 6:00:00", "12.5", "3", "4", "50%")
    assert row.dated == {1, 2, 3} and row.shown == ((4, "EUR"), (5, "CAD"), (6, "DEM"))


def test_a_currency_of_the_format_proposes_a_price_and_is_kept_with_text(db):
    def fill(page):
        page.append(["Tube", "Qty", "Bought for", "Engraved"])
        for at, price in enumerate((12.5, 3, 4.25), start=2):
            page.append(["807", 1, price, 7])
            page[f"C{at}"].number_format = "[$£-809]#,##0.00"
            page[f"D{at}"].number_format = "[$€-407]0"

    laid = lay_out(open_table(io.BytesIO(saved(fill))))
    assert [one.field for one in laid.proposals()][2] == "price"
    take(
        saved(fill),
        name="a.xlsx",
        mapping={"Tube": "mark", "Qty": "quantity", "Bought for": "price", "Engraved": "other"},
    )
    told = Fact.objects.filter(about="paid").order_by("pk").values_list("value", "currency")
    assert list(told) == [(Decimal("12.5"), "GBP"), (3, "GBP"), (Decimal("4.25"), "GBP")]
    assert "Engraved: EUR 7" in Tube.objects.first().note


def test_merged_cells_say_what_they_show_once():
    def fill(page):
        page.append(["Tube", "Box"])
        page.append(["807", "Bin 1"])
        page.append(["6SN7GT", None])
        page.merge_cells("B2:B3")

    assert [line.cells for line in lines(saved(fill))] == [("Tube", "Box"), ("807", "Bin 1"), ("6SN7GT",)]


def cell(kind, text="", more=""):
    return f'<table:table-cell office:value-type="{kind}"{more}><text:p>{text}</text:p></table:table-cell>'


NOTE = "<office:annotation><text:p>said by</text:p></office:annotation>"


def test_cells_of_ods():
    row = "".join((
        cell("string", "VT<text:s/>231<text:span> A</text:span>"),
        cell("float", "3,00", ' office:value="3"'),
        cell("currency", "12,50 €", ' office:value="12.5" office:currency="EUR"'),
        cell("date", "1. Aug", ' office:date-value="2007-08-01"'),
        cell("time", "7:05", ' office:time-value="PT07H05M00S"'),
        cell("string", "good").replace("<text:p>", f"{NOTE}<text:p>"),
        '<table:table-cell table:formula="of:=2+2"/>',
        cell("string", "#REF!"),
    ))  # fmt: skip
    (line,) = lines(ods(f"<table:table-row>{row}</table:table-row>"))
    assert line.cells == ("VT 231 A", "3", "12.5", "2007-08-01", "07:05:00", "good", "=2+2", "#REF!")
    assert line.dated == {3, 4} and line.shown == ((2, "EUR"),)


@pytest.mark.parametrize(
    ("code", "shape", "currency"),
    [
        ("General", NUMBER, ""), ("", NUMBER, ""), ("0.00E+00", NUMBER, ""), ("#,##0.00", NUMBER, ""),
        ("dd/mm/yyyy", DAY, ""), ("mmm-yy", DAY, ""), ("h:mm AM/PM", CLOCK, ""), ("[h]:mm", SPAN, ""),
        ("mm:ss", CLOCK, ""),
        ('"days" 0', NUMBER, ""), ("[Red]0.00", NUMBER, ""), ("\\d0", NUMBER, ""), ('0" pcs"', NUMBER, ""),
        ('"$"#,##0.00', NUMBER, "$"), ("$#,##0", NUMBER, "$"), ("[$$-409]#,##0", NUMBER, "USD"),
        ("[$$-C09]0", NUMBER, "AUD"),
        ("[$£-809]#,##0.00", NUMBER, "GBP"), ("[$SEK] 0", NUMBER, "SEK"), ("€ 0.00;[Red]-€ 0.00", NUMBER, "EUR"),
        ("[$-409]d-mmm-yy;@", DAY, ""), ("_-* #,##0.00 \"€\"_-", NUMBER, "EUR"),
    ],
)  # fmt: skip
def test_number_formats(code, shape, currency):
    found = read_format(code)
    assert (found.shape, found.currency) == (shape, currency)


# ECMA-376 part 1, 18.8.31: a % multiplies by a hundred; quoted or behind a stroke it is text.
SHARES = [
    (0.8, "0%", "80%"), (80, '0"%"', "80%"), (80, "0\\%", "80%"), (0.825, "0.00%", "82.5%"), (0.57, "0%", "57%"),
    (1 / 3, "0%", "33.3333%"), (0.8, "0\\ %", "80%"), (0.008, "0%%", "80%"), (0.8, "General", "0.8"),
    (0.8, '0"no % of it"', "0.8%"), (-0.1, "0%;[Red]-0%", "-10%"),
    (1004, "00000", "01004"), (101004, "00000", "101004"), (7, "0", "7"), (7, "00.0", "7"), (2.5, "000", "2.5"),
]  # fmt: skip


@pytest.mark.parametrize(("figure", "code", "shown"), SHARES)
def test_a_share_of_a_hundred_and_leading_zeros_as_the_sheet_shows_them(figure, code, shown):
    assert figure_shown(float(figure), read_format(code)) == shown

    def fill(page):
        page.append([figure])
        page["A1"].number_format = code

    assert [line.cells for line in lines(saved(fill))] == [(shown,)]


def test_a_share_of_a_hundred_in_ods():
    row = "".join((
        cell("percentage", "80 %", ' office:value="0.8"'), cell("float", "80%", ' office:value="80"'),
        cell("float", "01004", ' office:value="1004"'), cell("float", "0", ' office:value="0"'),
    ))  # fmt: skip
    assert [line.cells for line in lines(ods(f"<table:table-row>{row}</table:table-row>"))] == [
        ("80%", "80%", "01004", "0")
    ]


def test_one_column_of_shares_is_on_one_scale(db):
    def fill(page):
        for row in (["Tube", "Qty", "Emission"], ["807", 1, 0.8], ["6V6GT", 1, 80], ["1625", 1, 0.65]):
            page.append(row)
        for name, code in {"C2": "0%", "C3": '0"%"', "C4": "0.00%"}.items():
            page[name].number_format = code

    take(saved(fill), name="shares.xlsx")
    told = Fact.objects.filter(about="reading").order_by("item__tag").values_list("value", "unit")
    assert list(told) == [(80, "%"), (80, "%"), (65, "%")]


def test_the_day_that_never_was():
    assert moment_of(1, DAY) == datetime.date(1900, 1, 1) and moment_of(59, DAY) == datetime.date(1900, 2, 28)
    assert moment_of(61, DAY) == datetime.date(1900, 3, 1) and moment_of(39295, DAY) == datetime.date(2007, 8, 1)
    assert moment_of(0, DAY, since_1904=True) == datetime.date(1904, 1, 1)
    assert moment_of(0.5, CLOCK) == datetime.time(12) and moment_of(1e300, DAY) is None


@given(
    code=st.text(alphabet='0#%.,;"[]$€-40dmyhs\\_* AEUR', max_size=30),
    figure=st.floats(allow_nan=False, allow_infinity=False),
)
def test_no_format_upsets_the_reader(code, figure):
    moment_of(figure, read_format(code).shape)
    figure_shown(figure, read_format(code))
