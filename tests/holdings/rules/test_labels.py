"""Label sheets: every label lies on its page, none on another; and what a damaged table is told.

The sizes are common practice, no source. The figures of the first test are worked out by hand from the usual inch and
millimetre sizes: labels times size plus gaps plus two margins make the page.
"""

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.holdings.rules.label_flow import ELLIPSIS, shorten
from inventory.holdings.rules.labels import SLACK, read_sheets

TABLE = Path(__file__).resolve().parents[3] / "fixtures" / "reference" / "label_sheets.csv"


def rows():
    with TABLE.open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


SHEETS = read_sheets(rows())
BY_KEY = {sheet.key: sheet for sheet in SHEETS}


@pytest.mark.parametrize("sheet", SHEETS, ids=[sheet.key for sheet in SHEETS])
def test_margins_are_the_same_on_both_sides(sheet):
    """ISO 216 gives A4 as 210 x 297 mm; ANSI/ASME Y14.1 gives size A as 8.5 x 11 inch. Sheets lie centred on them."""
    page = {"A4": (210, 297), "Letter": (8.5 * 25.4, 11 * 25.4)}[sheet.paper]
    assert (sheet.page_w_mm, sheet.page_h_mm) == pytest.approx(page)
    first, last = sheet.box(1), sheet.box(sheet.count)
    assert first.x == pytest.approx(sheet.page_w_mm - last.x - last.w, abs=0.5)
    assert last.y == pytest.approx(sheet.page_h_mm - first.y - first.h, abs=0.5)
    assert str(sheet.count) in sheet.title and sheet.source


@pytest.mark.parametrize(
    ("key", "position", "x", "top"),
    [
        ("letter-30", 1, 0.1875 * 25.4, 0.5 * 25.4),  # 3/16 inch from the left, 1/2 inch from the top
        ("letter-30", 30, (0.1875 + 2 * 2.75) * 25.4, 9.5 * 25.4),  # pitch 2 3/4 by 1 inch
        ("letter-10", 4, (0.15625 + 4.1875) * 25.4, 2.5 * 25.4),  # second column, second row
        ("a4-65", 65, 4.75 + 4 * 40.6, 10.7 + 12 * 21.2),
        ("a4-24-full", 24, 140, 0.5 + 7 * 37),
    ],
)
def test_where_a_label_lies(key, position, x, top):
    sheet = BY_KEY[key]
    box = sheet.box(position)
    assert box.x == pytest.approx(x, abs=0.05)
    assert sheet.page_h_mm - box.y - box.h == pytest.approx(top, abs=0.05)


@given(sheet=st.sampled_from(SHEETS), data=st.data())
def test_labels_stay_on_the_sheet_and_off_each_other(sheet, data):
    start = data.draw(st.integers(1, sheet.count))
    count = data.draw(st.integers(0, 3 * sheet.count))
    placed = list(sheet.boxes(count, start))
    assert len(placed) == count
    pages = {}
    for page, box in placed:
        assert box.x >= -SLACK and box.y >= -SLACK
        assert box.x + box.w <= sheet.page_w_mm + SLACK and box.y + box.h <= sheet.page_h_mm + SLACK
        for other in pages.setdefault(page, []):
            aside = box.x + box.w <= other.x + SLACK or other.x + other.w <= box.x + SLACK
            above = box.y + box.h <= other.y + SLACK or other.y + other.h <= box.y + SLACK
            assert aside or above
        pages[page].append(box)
    if count:
        assert placed[0] == (0, sheet.box(start))
        assert len(pages) == -(-(start - 1 + count) // sheet.count)
        assert all(len(boxes) == sheet.count for page, boxes in pages.items() if 0 < page < max(pages))


@pytest.mark.parametrize("sheet", SHEETS, ids=[sheet.key for sheet in SHEETS])
@pytest.mark.parametrize("start", [-1, 0, 1000])
def test_a_start_off_the_sheet_is_refused(sheet, start):
    with pytest.raises(ValueError, match=f"labels 1 to {sheet.count}; there is no {start}"):
        list(sheet.boxes(1, start))


@pytest.mark.parametrize(
    ("column", "text", "words"),
    [
        ("rows", "many", "line 2, column rows: 'many' is no number"),
        ("label_w_mm", "", "line 2, column label_w_mm: empty"),
        ("source", " ", "line 2, column source: empty"),
        ("columns", "6", "line 2, a4-65: labels leave the page"),
        ("rows", "0", "line 2, a4-65: a sheet has at least one label"),
        ("pitch_y_mm", "20", "line 2, a4-65: pitch_y_mm is less than label_h_mm: labels overlap"),
        ("pitch_x_mm", "20", "line 2, a4-65: pitch_x_mm is less than label_w_mm: labels overlap"),
        ("top_mm", "-3", "line 2, a4-65: the first row leaves the page"),
        ("inset_mm", "9", "line 2, a4-65: inset_mm leaves no room for words"),
        ("key", "a4-40", "line 3: key 'a4-40' stands twice"),
    ],
)
def test_a_damaged_table_is_told_where(column, text, words):
    table = rows()
    table[0][column] = text
    with pytest.raises(ValueError) as fault:
        read_sheets(table)
    assert words in str(fault.value)


def by_letters(text, size, bold):
    return len(text) * size


@given(text=st.text(max_size=60), width=st.integers(0, 60), front=st.booleans())
def test_what_is_shortened_fits_and_keeps_its_end(text, width, front):
    cut = shorten(text, width, 1, False, by_letters, front=front)
    assert len(cut) <= width or cut == text == ""
    if len(text) <= width:
        assert cut == text
    elif cut:
        assert cut.startswith(ELLIPSIS) if front else cut.endswith(ELLIPSIS)
        rest = cut.removeprefix(ELLIPSIS) if front else cut.removesuffix(ELLIPSIS)
        assert text.endswith(rest) if front else text.startswith(rest)


def test_the_box_of_a_place_is_kept_by_words():
    assert shorten("Store / Cabinet B / Shelf 1", 14, 1, False, by_letters, front=True) == f"{ELLIPSIS} / Shelf 1"
