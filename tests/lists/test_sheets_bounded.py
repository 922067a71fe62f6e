"""Small spreadsheets that say much: refused after a bounded number of steps, whatever they unpack or multiply to.

Repeats and notes: OpenDocument 1.3 part 3; cells and shared texts: ECMA-376 part 1 (18.3, 18.4); records of XLSB:
MS-XLSB 2.1.4, of XLS: MS-XLS 2.4, MS-CFB 2 (from memory). All that is in the files is invented.
"""

import io
import struct
import zipfile

import pytest

from inventory.lists.actions import sheet_parts, sheets
from inventory.lists.actions.files import FileRefused, open_table
from inventory.lists.actions.sheet_parts import Part, Rows, Words
from inventory.lists.rules.records import LONGEST_LINE
from inventory.lists.rules.signature import OLD_SHEET
from tests.lists.test_importing_files import ODS_ROW, ods
from tests.lists.test_sheets import LINKS, MAIN, PARTS, in_sheet, lines, xlsx

SHARED_CELL = '<c t="s"><v>0</v></c>'


def shared(text):
    return f'<sst xmlns="{MAIN}"><si>{text}</si></sst>'


def counted(monkeypatch, owner, name):
    """A list that grows with each call of a method."""
    calls, real = [], getattr(owner, name)

    def call(self, *told):
        calls.append(told)
        return real(self, *told)

    monkeypatch.setattr(owner, name, call)
    return calls


# --- one cell --------------------------------------------------------------------------------------------------------

PIECES = f"<t>{'x' * 1000}</t>" * 20_000


@pytest.mark.parametrize(
    "raw",
    [
        xlsx(in_sheet(f'<row><c t="inlineStr"><is>{PIECES}</is></c></row>')),
        xlsx(in_sheet(f"<row>{SHARED_CELL}</row>"), xl__sharedStrings=shared(PIECES)),
        ods(ODS_ROW.format(text="x</text:p>" + f"<text:p>{'x' * 1000}</text:p>" * 20_000 + "<text:p>", more="")),
        ods(ODS_ROW.format(text="x</text:p>" + "<text:p/>" * 410_000 + "<text:p>", more="")),
    ],
    ids=["in the cell", "shared", "paragraphs", "empty paragraphs"],
)
def test_the_pieces_of_a_cell_are_bounded_together(monkeypatch, raw):
    added = counted(monkeypatch, Words, "add")
    with pytest.raises(FileRefused, match="A cell holds more than 400000 characters; save the list by itself"):
        lines(raw)
    assert len(added) <= LONGEST_LINE + 1 and sum(len(text) for (text,) in added) <= LONGEST_LINE + 2000


def test_a_text_in_a_text_is_told_once():
    inside = "<t>a<t>b</t>c<t>d</t></t>"
    (line,) = lines(xlsx(in_sheet(f'<row><c t="inlineStr"><is>{inside}</is></c></row>')))
    assert line.cells == ("abcd",)


def test_runs_and_paragraphs_of_a_cell_are_still_joined():
    rich = "<r><t>tested </t></r><r><t>1962</t></r>"
    two = ODS_ROW.format(text="tested</text:p><text:p>1962", more="")
    assert lines(xlsx(in_sheet(f"<row>{SHARED_CELL}</row>"), xl__sharedStrings=shared(rich)))[0].cells == (
        "tested 1962",
    )
    assert lines(xlsx(in_sheet(f'<row><c t="inlineStr"><is>{rich}</is></c></row>')))[0].cells == ("tested 1962",)
    assert lines(ods(two))[0].cells == ("tested\n1962",)


# --- marks that hold nothing -----------------------------------------------------------------------------------------


def packed_tightly(raw):
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(raw)) as given, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        for name in given.namelist():
            packed.writestr(name, given.read(name))
    return out.getvalue()


ATTRIBUTES = " ".join(f'a{n}=""' for n in range(80))


@pytest.mark.parametrize(
    "raw",
    [
        xlsx(in_sheet("<row/>" * 10_000)),
        xlsx(in_sheet("<row><c/><c/></row>" * 4000)),
        xlsx(in_sheet(f"<x {ATTRIBUTES}/>" * 1000)),
        packed_tightly(ods("<table:table-row>" + "<table:table-cell/>" * 10_000 + "</table:table-row>")),
    ],
    ids=["rows", "cells", "attributes", "ODS"],
)
def test_empty_marks_are_bounded(monkeypatch, raw):
    monkeypatch.setattr(sheet_parts, "FREE_MARKS", 2000)
    monkeypatch.setattr(sheet_parts, "MARKS_A_BYTE", 0)
    begun = counted(monkeypatch, Part, "_start")
    with pytest.raises(FileRefused, match=r"marks, which is far more than its size.*save it as CSV"):
        lines(raw)
    assert len(begun) <= 2001


def test_a_larger_file_may_hold_more_marks():
    def most(size):
        with zipfile.ZipFile(io.BytesIO(xlsx(in_sheet("")))) as packed:
            return sheet_parts.Package(packed, size).most_marks

    assert most(20_000) == 1_320_000 and most(1_000_000) == 17_000_000 and most(60_000_000) == 40_000_000


def test_many_sheets_of_one_part_are_asked_once(monkeypatch):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        sheet = "".join(f'<sheet name="L{n}" r:id="a"/>' for n in range(300))
        packed.writestr(
            "xl/workbook.xml", f'<workbook xmlns="{MAIN}" xmlns:r="{LINKS}"><sheets>{sheet}</sheets></workbook>'
        )
        packed.writestr(
            "xl/_rels/workbook.xml.rels",
            f'<Relationships xmlns="{PARTS}"><Relationship Id="a" Target="worksheets/sheet1.xml"/></Relationships>',
        )
        packed.writestr("xl/worksheets/sheet1.xml", in_sheet("<row><c/></row>" * 1000))
    begun = counted(monkeypatch, Part, "_start")
    with pytest.raises(FileRefused, match="no filled sheet"):
        lines(out.getvalue())
    assert len(begun) < 2500


# --- said again and again --------------------------------------------------------------------------------------------


def test_a_repeated_long_row_is_cut_and_not_read():
    row = ODS_ROW.format(text="x" * 50_000, more=' table:number-rows-repeated="300"')
    wide = row.replace("<table:table-cell", '<table:table-cell table:number-columns-repeated="200"')
    found = lines(ods(wide))
    assert len(found) == 300 and all(line.spoilt for line in found)
    assert sum(len(text) for line in found for text in line.cells) <= 300 * 1000
    assert found[0].fault == "the row holds more than 400000 characters"


def test_a_shared_text_counts_wherever_it_stands(monkeypatch):
    book = xlsx(in_sheet(f"<row>{SHARED_CELL}</row>" * 20), xl__sharedStrings=shared(f"<t>{'x' * 300_000}</t>"))
    assert sum(len(line.cells[0]) for line in lines(book)) == 6_000_000
    monkeypatch.setattr(sheet_parts, "MOST_CHARACTERS", 3_000_000)
    with pytest.raises(FileRefused, match="more than 3000000 characters, repeats counted; take the list in by parts"):
        lines(book)
    across = xlsx(in_sheet(f"<row>{SHARED_CELL * 20}</row>"), xl__sharedStrings=shared(f"<t>{'x' * 300_000}</t>"))
    (line,) = lines(across)
    assert line.spoilt and len(line.cells[0]) == 1000


def test_rows_that_go_back_bring_no_blank_rows_again():
    back = '<row r="5000"><c><v>1</v></c></row><row r="1"><c><v>2</v></c></row>' * 400
    found = lines(xlsx(in_sheet(back)))
    assert len(found) == 4999 + 800 and [line.cells for line in found if line.cells] == [("1",), ("2",)] * 400


def test_blank_rows_and_repeated_rows_become_no_million_lines():
    far = '<row r="1"><c><v>1</v></c></row><row r="{at}"><c><v>2</v></c></row>'
    assert len(lines(xlsx(in_sheet(far.format(at=90_000))))) == 90_000
    with pytest.raises(FileRefused, match="A lone cell stands far off, at A1000000; delete it and save again"):
        lines(xlsx(in_sheet(far.format(at=1_000_000))))
    again = ODS_ROW.format(text="807", more=' table:number-rows-repeated="20000"')
    assert len(lines(ods(again))) == 20_000
    with pytest.raises(FileRefused, match="repeated far down"):
        lines(ods(again * 6))


def test_no_file_is_opened_for_a_sheet_that_is_only_asked_about(monkeypatch):
    opened = []
    real = sheet_parts.tempfile.TemporaryFile
    monkeypatch.setattr(sheet_parts.tempfile, "TemporaryFile", lambda: opened.append(1) or real())
    Rows()
    assert not opened
    assert len(lines(xlsx(in_sheet("<row><c><v>807</v></c></row>")))) == 1 and len(opened) == 1


# --- XLS and XLSB ----------------------------------------------------------------------------------------------------


def record(kind, data=b""):
    """A record of XLSB: its number and its length by seven bits a byte."""
    head = bytes([kind]) if kind < 128 else bytes([kind & 127 | 128, kind >> 7])
    return head + bytes([len(data)]) + data


def named(text):
    return struct.pack("<I", len(text)) + text.encode("utf-16le")


def xlsb(*cells, more=b""):
    """A workbook of one sheet; ``cells`` are (row, column, figure), from 0."""
    sheet = record(129) + record(148, struct.pack("<IIII", 0, 0, 0, 0)) + record(145)
    for row, column, figure in cells:
        sheet += record(0, struct.pack("<IIHHBI", row, 0, 300, 0, 0, 0))
        sheet += record(5, struct.pack("<IId", column, 0, figure))
    book = record(131) + record(143) + record(156, struct.pack("<II", 0, 1) + named("a") + named("L"))
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/workbook.bin", book + record(144) + record(132))
        packed.writestr(
            "xl/_rels/workbook.bin.rels",
            f'<Relationships xmlns="{PARTS}"><Relationship Id="a" Type="{LINKS}/worksheet" '
            f'Target="worksheets/sheet1.bin"/></Relationships>',
        )
        packed.writestr("xl/worksheets/sheet1.bin", sheet + record(146) + record(130))
        packed.writestr("xl/media/scan.bin", more)
    return out.getvalue()


def old_record(kind, data=b""):
    return struct.pack("<HH", kind, len(data)) + data


def old_stream(cells):
    def begin(what):
        return old_record(0x809, struct.pack("<HHHHII", 0x600, what, 0, 0, 0, 0))

    head = begin(5) + old_record(0x42, struct.pack("<H", 1200))
    sheet_at = len(head) + 13 + 4  # behind the record of the sheet's name and the end of the globals
    told = head + old_record(0x85, struct.pack("<IHBB", sheet_at, 0, 1, 0) + b"L") + old_record(0x0A)
    told += begin(0x10) + old_record(0x200, struct.pack("<IIHHH", 0, 65536, 0, 256, 0))
    told += b"".join(old_record(0x203, struct.pack("<HHHd", row, column, 0, figure)) for row, column, figure in cells)
    return (told + old_record(0x0A)).ljust(4096, b"\0")


def xls(*cells):
    """A workbook of one sheet as a compound file: header, one sector of chains, one of names, the stream of 4 kB."""
    end, free, chains = 0xFFFFFFFE, 0xFFFFFFFF, 0xFFFFFFFD

    def entry(name, kind, start, size, child):
        raw = name.encode("utf-16le") + b"\0\0"
        told = struct.pack("<HBBIII", len(raw), kind, 1, free, free, child) + bytes(36)
        return raw.ljust(64, b"\0") + told + struct.pack("<IQ", start, size)

    head = OLD_SHEET + bytes.fromhex("a1b11ae1") + bytes(16) + struct.pack("<HHHHH", 0x3E, 3, 0xFFFE, 9, 6) + bytes(6)
    head += struct.pack("<9I", 0, 1, 1, 0, 4096, end, 0, end, 0) + struct.pack("<109I", 0, *[free] * 108)
    sectors = [chains, end, *range(3, 10), end]
    names = entry("Root Entry", 5, end, 0, 1) + entry("Workbook", 2, 2, 4096, free) + bytes(256)
    return head + struct.pack("<128I", *sectors, *[free] * 118) + names + old_stream(cells)


@pytest.mark.parametrize("made", [xls, xlsb])
def test_xls_and_xlsb_are_read(made):
    found = lines(made((0, 0, 807.0), (2, 1, 3.5)))
    assert [(line.number, line.cells) for line in found] == [(1, ("807",)), (2, ()), (3, ("", "3.5"))]


@pytest.mark.parametrize("raw", [xls((0, 0, 1.0), (65_535, 255, 2.0)), xlsb((0, 0, 1.0), (1_048_575, 16_383, 2.0))])
def test_two_cells_far_apart_do_not_end_the_process(raw):
    with pytest.raises(FileRefused, match=r"within 1000 MB of memory.*save it as XLSX or CSV"):
        lines(raw)


def test_large_xls_and_xlsb_are_not_given_to_the_library(monkeypatch):
    def never(*told):
        raise AssertionError(told)

    monkeypatch.setattr(sheets, "_read_apart", never)
    for raw in (OLD_SHEET + bytes(31_000_000), xlsb((0, 0, 807.0), more=bytes(31_000_000))):
        with pytest.raises(FileRefused, match="larger than 30 MB unpacked; save it as XLSX or CSV"):
            open_table(io.BytesIO(raw))


@pytest.mark.parametrize("raw", [OLD_SHEET + b"\0" * 3000, xlsb((0, 0, 807.0))[:500]])
def test_damaged_xls_and_xlsb(raw):
    with pytest.raises(FileRefused, match="save it again as XLSX, ODS or CSV"):
        lines(raw)
