"""Files of any form as rows: delimiters, quotation marks, encodings, spreadsheets. Nothing crashes or hangs.

CSV by RFC 4180; cells of XLSX by ECMA-376 part 1; the rest common practice, no source.
"""

import csv
import datetime
import io
import zipfile

import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inventory.holdings.models import Item
from inventory.lists.actions.files import FileRefused, open_table
from inventory.lists.actions.read import fields_for, lay_out
from inventory.lists.rules import records as records_rule
from inventory.lists.rules.columns import column_keys, find_heading
from inventory.lists.rules.records import guess_delimiter, records
from tests.lists.importing_lists import GERMAN, LONG, SHORT, list_under, take

OUTCOMES = {"written", "written with a remark", "held", "refused", "not an item"}


def cells(raw):
    table = open_table(io.BytesIO(raw))
    return [(line.number, line.cells) for line in table.lines]


def book(*rows, title="List"):
    made = openpyxl.Workbook()
    made.active.title = title
    for row in rows:
        made.active.append(row)
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()


# --- text ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "delimiter"),
    [(SHORT, ","), (GERMAN, ";"), (LONG, ","), ("a\tb\n1,5\t2", "\t"), ("a|b\n1|2", "|"), ("one\ntwo", ","),
     ("sep=;\na;b,c,d,e\n", ";"), ("EF 80;2,50\nEF 85;3,50\nEF 86;4,50", ";")],
)  # fmt: skip
def test_the_delimiter(text, delimiter):
    assert guess_delimiter(text.splitlines(keepends=True)) == delimiter


def test_lines_are_numbered_as_an_editor_numbers_them():
    raw = b'sep=;\r\nTube;Note\r\n807;"two\r\nlines"\r\n\r\n6SN7GT;x\r\n'
    assert cells(raw) == [(2, ("Tube", "Note")), (3, ("807", "two\nlines")), (5, ()), (6, ("6SN7GT", "x"))]


def test_a_quotation_mark_that_is_never_closed_swallows_nothing():
    lines = [f"807,{n}\n" for n in range(300)]
    lines[7] = '"LS50,2\n'
    found = list(records(iter(lines), ","))
    assert len(found) == 300
    assert found[7].cells == ('"LS50', "2") and "not closed" in found[7].fault
    assert found[8].cells == ("807", "8") and not found[8].fault


class Looked:
    """``csv`` that counts the characters which its reader looks at."""

    Error, count = csv.Error, 0

    def reader(self, lines, **how):
        def counted():
            for line in lines:
                self.count += len(line)
                yield line

        return csv.reader(counted(), **how)


@pytest.mark.parametrize(("in_vain", "times"), [(records_rule.MOST_IN_VAIN, 61), (1000, 5)])
def test_lines_that_each_open_a_quotation_are_not_read_over_and_over(in_vain, times, monkeypatch):
    """Each line is read with the 59 behind it at most, and with two once that was in vain too often."""
    looked = Looked()
    monkeypatch.setattr(records_rule, "csv", looked)
    monkeypatch.setattr(records_rule, "MOST_IN_VAIN", in_vain)
    lines = ['x","two words of a note\n'] * 2000
    found = list(records(iter(lines), ","))
    assert [line.number for line in found] == [*range(1, 2001)] and all("not closed" in line.fault for line in found)
    assert looked.count < times * sum(map(len, lines))


def test_a_cell_of_several_lines_is_whole_behind_many_open_quotations(monkeypatch):
    monkeypatch.setattr(records_rule, "MOST_IN_VAIN", 1000)
    lines = [*['x","y\n'] * 300, *["807,1\n"] * 70, '807,"two\n', 'lines"\n']
    assert list(records(iter(lines), ","))[-1].cells == ("807", "two\nlines")


def test_inches_and_words_behind_a_quotation_mark():
    found = list(records(iter(['3" dial,1\n', '"5""",2\n', '"a" b,3\n']), ","))
    assert [line.cells for line in found] == [('3" dial', "1"), ('5"', "2"), ("a b", "3")]
    assert [bool(line.fault) for line in found] == [False, False, True]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32", "cp1252"])
def test_encodings(encoding):
    table = open_table(io.BytesIO(list_under(GERMAN).encode(encoding)))
    assert next(table.lines).cells[:2] == ("Röhre", "Anz.")
    assert bool(table.notes) == (encoding == "cp1252")


@pytest.mark.parametrize("encoding", ["cp1251", "koi8_r", "cp866"])
def test_cyrillic_of_an_old_code_page(encoding):
    text = "Лампа;Количество;Примечание\n" + "6Н8С;3;из старого передатчика, проверена и годна\n" * 8
    assert next(open_table(io.BytesIO(text.encode(encoding))).lines).cells[0] == "Лампа"


def test_nothing_that_a_database_refuses_gets_through():
    ((_, (first, second)),) = cells(b"80\x007,\xef\xbf\xbe\x07\n")
    assert first == "807" and "\0" not in second and "\x07" not in second


def test_a_line_without_end_is_cut_and_refused(db):
    _, (first, second) = take("Tube,Note\n807," + "x" * 900_000 + "\n6SN7GT,ok\n", trial=True)
    assert (first["outcome"], second["outcome"]) == ("refused", "written")
    assert second["line"] == 3


def test_too_large_a_file(settings):
    settings.IMPORT_MAX_MB = 1
    with pytest.raises(FileRefused, match="larger than 1 MB"):
        open_table(io.BytesIO(b"a,b\n" * 300_000))


# --- headings --------------------------------------------------------------------------------------------------------


def test_the_heading_may_stand_below_a_title():
    rows = [["My tubes, 2019"], [], ["Tube", "Qty", "Box"], ["807", "2", "B-3"]]
    assert find_heading(rows) == 2
    assert find_heading([["807", "2"], ["6SN7GT", "1"]]) is None
    assert find_heading([["stuff", "pile"], ["807", "2"]]) == 0


def test_rows_above_the_heading_are_no_items(db):
    found, rows = take("My tubes\n\nTube,Qty\n807,2\n", trial=True)
    assert [(row["line"], row["outcome"]) for row in rows] == [(1, "not an item"), (2, "not an item"), (4, "written")]
    assert found.counts()["rows"] == 3


def test_a_list_without_headings_is_read_by_its_cells(db):
    laid = lay_out(open_table(io.BytesIO(b"6SN7GT,3,Box 1\n807,2,Box 2\n5U4G,4,Box 3\n6V6GT,1,Box 4\n")))
    assert laid.headings == [] and list(fields_for(laid, None).values()) == ["mark", "quantity", "place"]


def test_headings_that_stand_twice():
    assert column_keys(["Tube", "Note", "Note", ""], 5) == ["Tube", "Note", "Note #2", "column 4", "column 5"]


# --- spreadsheets ----------------------------------------------------------------------------------------------------


def test_cells_of_a_sheet_as_they_are_shown():
    day = datetime.date(2007, 8, 1)
    raw = book(["Tube", "Qty", "When", "Sum"], [807, 3.0, day, 0.1 + 0.2], ["2E26", 2e26, True, None])
    assert cells(raw) == [
        (1, ("Tube", "Qty", "When", "Sum")),
        (2, ("807", "3", "2007-08-01", "0.3")),
        (3, ("2E26", "2e+26", "TRUE")),
    ]


def test_a_sheet_that_begins_further_down_keeps_its_line_numbers():
    made = openpyxl.Workbook()
    made.active["C5"], made.active["D5"], made.active["C7"] = "Tube", "Qty", "807"
    out = io.BytesIO()
    made.save(out)
    filled = [line for line in cells(out.getvalue()) if line[1]]
    assert filled == [(5, ("Tube", "Qty")), (7, ("807",))]


def test_errors_and_formulas_of_a_sheet_are_seen_and_not_worked_out(db):
    made = openpyxl.Workbook()
    made.active.append(["Tube", "Qty"])
    made.active["A2"].value, made.active["A2"].data_type = "#REF!", "e"
    made.active["B2"] = 3
    made.active["A3"], made.active["B3"] = "807", "=2+2"  # no result is stored with it
    out = io.BytesIO()
    made.save(out)
    _, rows = take(out.getvalue(), trial=True, name="list.xlsx")
    assert [row["outcome"] for row in rows] == ["refused", "refused"]
    assert "#REF!" in rows[0]["remarks"][0]["reason"] and "formula" in rows[1]["remarks"][0]["reason"]


def test_a_number_that_a_sheet_made_a_date_is_refused(db):
    raw = book(
        ["Tube", "Qty", "Bought"], [datetime.date(2026, 3, 6), 2, datetime.date(2007, 8, 1)], ["807", 1, "1999?"]
    )
    _, rows = take(raw, trial=True)
    assert rows[0]["outcome"] == "refused" and rows[1]["outcome"].startswith("written")
    assert "holds a date" in rows[0]["remarks"][0]["reason"]


def test_a_rewritten_number_of_a_sheet_is_refused(db):
    _, (row,) = take(book(["Tube", "Qty"], [2e26, 1]), trial=True)
    assert row["outcome"] == "refused" and "2E26" in row["remarks"][0]["reason"]


def workbook(**sheets):
    made = openpyxl.Workbook()
    made.remove(made.active)
    for name, rows in sheets.items():
        page = made.create_sheet(name)
        for row in rows:
            page.append(row)
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()


TWO_SHEETS = workbook(Tubes=[["Tube"], ["807"]], Parts=[["Item", "Qty"], ["choke", 2]], Empty=[])


def test_of_several_sheets_none_is_taken_for_the_whole():
    with pytest.raises(FileRefused, match=r"2 filled sheets: 'Tubes', 'Parts'\. Say which one"):
        open_table(io.BytesIO(TWO_SHEETS))
    with pytest.raises(FileRefused, match="no filled sheet 'Empty'; there are: 'Tubes', 'Parts'"):
        open_table(io.BytesIO(TWO_SHEETS), "list.xlsx", "Empty")
    table = open_table(io.BytesIO(TWO_SHEETS), "list.xlsx", "parts")
    assert table.notes == ["Sheet 'Parts' was read; not read: Tubes."] and table.sheet == "Parts"
    assert [line.cells for line in table.lines] == [("Item", "Qty"), ("choke", "2")]
    with pytest.raises(FileRefused, match="file is text"):
        open_table(io.BytesIO(b"a,b"), "list.csv", "Parts")
    assert open_table(io.BytesIO(workbook(Only=[["807"]], Empty=[]))).notes == []


def test_each_sheet_is_a_list_by_itself(db):
    first, _ = take(TWO_SHEETS, name="list.xlsx", sheet="Tubes")
    second, _ = take(TWO_SHEETS, name="list.xlsx", sheet="Parts")
    assert second.counts()["records"]["parts"] == 1 and second.counts()["file"] == "list.xlsx"
    assert (first.run.file_name, second.run.file_name) == ("list.xlsx, sheet Tubes", "list.xlsx, sheet Parts")
    again, _ = take(TWO_SHEETS, name="list.xlsx", sheet="Tubes")
    assert again.again and again.run == first.run


def packed(name="readme.txt"):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr(name, "no sheet")
    return out.getvalue()


NOISE = bytes((number * 7919 + number // 5) % 256 for number in range(3000))


@pytest.mark.parametrize(
    ("name", "raw", "words"),
    [
        ("list.xlsx", NOISE, "is no XLSX file"),
        ("list.xlsx", b"Tube,Qty\n807,2\n", "is no XLSX file"),
        ("list.XLS", b"<html><table>", "is no XLS file"),
        ("list.xls", packed(), "is no XLS file"),
        ("list.ods", b"", "empty"),
        ("list.ods", packed(), "packed, but no spreadsheet"),
        ("list.xlsx", packed("xl/other.xml"), "packed, but no spreadsheet"),
        ("list.csv", packed(), "packed, but no spreadsheet"),
        ("list.csv", b"%PDF-1.7 and so on", "a PDF"),
        ("list.csv", b"\x89PNG\r\n\x1a\n", "a picture"),
        ("list.txt", NOISE, "no text and no spreadsheet"),
    ],
)
def test_bytes_that_are_not_what_the_name_says(name, raw, words, db):
    with pytest.raises(FileRefused, match=words) as refusal:
        take(raw, name=name)
    assert "\n" not in str(refusal.value) and not Item.objects.exists()


@pytest.mark.parametrize("name", ["list.csv", "list", "list.tsv", "liste 2019.txt"])
def test_text_has_no_signature(name):
    for encoding in ("utf-8", "utf-16", "utf-16-le", "utf-32", "cp1252"):
        raw = (list_under(GERMAN) * 9).encode(encoding)
        assert next(open_table(io.BytesIO(raw), name).lines).cells[0] == "Röhre"


def test_a_lone_cell_in_the_last_row_does_not_fill_the_memory():
    made = openpyxl.Workbook()
    made.active["A1"], made.active["XFD1048576"] = "Tube", "x"
    out = io.BytesIO()
    made.save(out)
    with pytest.raises(FileRefused, match="XFD1048576"):
        open_table(io.BytesIO(out.getvalue()))


ODS_ROW = (
    '<table:table-row{more}><table:table-cell office:value-type="string">'
    "<text:p>{text}</text:p></table:table-cell></table:table-row>"
)


def ods(*rows):
    spaces = "".join(f' xmlns:{n}="urn:oasis:names:tc:opendocument:xmlns:{n}:1.0"' for n in ("office", "table", "text"))
    table = f'<table:table table:name="L">{"".join(rows)}</table:table>'
    body = f"<office:body><office:spreadsheet>{table}</office:spreadsheet></office:body>"
    body = f"<office:document-content{spaces}>{body}</office:document-content>"
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        packed.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        packed.writestr("content.xml", body)
        space = 'xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"'
        packed.writestr("META-INF/manifest.xml", f"<manifest:manifest {space}/>")
    return out.getvalue()


def test_ods():
    assert cells(ods(ODS_ROW.format(text="Röhre", more=""), ODS_ROW.format(text="EF 80", more=""))) == [
        (1, ("Röhre",)), (2, ("EF 80",)),
    ]  # fmt: skip
    with pytest.raises(FileRefused, match="repeated far down"):
        open_table(io.BytesIO(ods(ODS_ROW.format(text="x", more=' table:number-rows-repeated="1048000"'))))


def test_the_three_forms_of_one_list_say_the_same(db):
    text = "Tube,Qty,Box\n6SN7GT,3,Bin 1\n807,2,Bin 2\n"
    sheet = book(*[line.split(",") for line in text.splitlines()])
    reports = [take(raw, trial=True)[1] for raw in (text.encode(), text.replace(",", ";").encode("utf-16"), sheet)]
    assert reports[0] == reports[1] == reports[2]


# --- anything at all -------------------------------------------------------------------------------------------------

GIVEN = settings(
    max_examples=60, deadline=20_000, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow]
)  # fmt: skip
cell = st.one_of(
    st.text(max_size=60),
    st.sampled_from(
        ["6SN7GT", "VT-60", "=2+2", "-1", "#REF!", "3+1", "about 20", "100000", "99999999999", "¹²",
         "\u202e807", "ß" * 90,
         "a" * 5000, "\ud800", '"', "'", "\n", "Hall / Bin 1", "/", " / ", "§" * 130, "1/2/3", "2.00E+26", "mercury",
         "calibration book", "tuning unit", "oil cap", "Skerry 40 receiver", "#612", "1943", "$5", "why", "\x00"]
    ),
)  # fmt: skip


def whole_or_nothing(raw):
    """Take bytes in: refused and nothing written, or every row has an outcome and everything said is there."""
    before = Item.objects.count()
    try:
        found, rows = take(raw)
    except (FileRefused, ValueError):
        assert Item.objects.count() == before
        return
    counts = found.counts()
    assert len(rows) == counts["rows"] == counts["written"] + counts["held"] + counts["refused"] + counts["not_items"]
    assert {row["outcome"] for row in rows} <= OUTCOMES
    assert Item.objects.count() - before == sum(counts["records"].values()) == sum(len(row["made"]) for row in rows)


@pytest.mark.django_db
@GIVEN
@given(raw=st.binary(max_size=2000))
def test_no_bytes_upset_the_import(reference, raw):
    whole_or_nothing(raw)


@pytest.mark.django_db
@GIVEN
@given(rows=st.lists(st.lists(cell, max_size=14), max_size=12), heading=st.sampled_from([SHORT, GERMAN, LONG, ""]))
def test_no_cell_upsets_the_import(reference, rows, heading):
    delimiter = ";" if heading == GERMAN else ","
    text = "\n".join([heading, *(delimiter.join(row) for row in rows)])
    whole_or_nothing(text.encode("utf-8", "surrogatepass"))


@pytest.mark.django_db
@GIVEN
@given(data=st.data())
def test_no_damage_to_a_spreadsheet_upsets_the_import(reference, data):
    raw = bytearray(SHEET)
    for _ in range(data.draw(st.integers(1, 12))):
        raw[data.draw(st.integers(0, len(raw) - 1))] = data.draw(st.integers(0, 255))
    whole_or_nothing(bytes(raw[: data.draw(st.integers(4, len(raw)))]))


SHEET = book(["Tube", "Qty", "Box"], ["6SN7GT", 3, "Bin 1"], [807, 2, "Bin 2"])


@GIVEN
@given(text=st.text(alphabet='ab",;\n\r\t |', max_size=300), delimiter=st.sampled_from(",;\t|"))
def test_no_text_is_lost_between_the_rows(text, delimiter):
    lines = text.splitlines(keepends=True)
    found = list(records(iter(lines), delimiter))
    for letter in "ab":
        assert sum(one.count(letter) for line in found for one in line.cells) == text.count(letter)
    numbers = [line.number for line in found]
    assert numbers == sorted(set(numbers)) and (not numbers or numbers[-1] <= len(lines))
