"""Cells as spreadsheets write them again: what is the same value, what is another.

How spreadsheet programs rewrite cells of a CSV file that they open and save: common practice, no source.
"""

from datetime import date

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from inventory.lists.rules.changed_cells import ALONE, BOTH, CHANGED, REWRITTEN, what_became_of
from inventory.lists.rules.rewriting import days_of, may_say, plain, rewrites, value_of, was_cut
from inventory.lists.rules.spreadsheet_cells import CUT, LONGEST, cell, safe_cell, sheet_text
from inventory.lists.rules.stamps import read_stamp, stamp_of

AT = "2026-11-30T22:41:07Z"


@pytest.mark.parametrize(
    ("again", "before"),
    [
        ("1432", "01432"),
        ("2.00E+26", "2E26"),
        ("2,00E+26", "2E26"),
        ("05/04/2026", "2026-04-05"),
        ("04.05.26", "2026-04-05"),
        ("5-Apr-26", "2026-04-05"),
        ("April 5, 2026", "2026-04-05"),
        ("2026-04-05 00:00:00", "2026-04-05"),
        ("0,01", "0.01"),
        ("1.234,5", "1234.5"),
        ("1,234", "1234"),
        ("1 234", "1234"),
        ("1.0", "1"),
        ("Apr-44", "4-44"),
        ("1944-04-01", "4-44"),
        ("04-Apr", "4-4"),
        ("2026-05-04", "4-5"),
        ("05.04.2026", "4-5"),
        ("01.04.44", "4-44"),
        ("TRUE", "true"),
        ("1.23457E+11", "123456789012"),
        ("????", "Свет"),
        ("one\r\ntwo", "one\ntwo"),
    ],
)
def test_the_same_value_written_again(again, before):
    assert rewrites(again, before)


@pytest.mark.parametrize(
    ("now", "before"),
    [
        ("1", "0.01"), ("0.01", "1"), ("5", "3"), ("2026-04-06", "2026-04-05"), ("05/04/2025", "2026-04-05"),
        ("good", "Good"), ("", "0"), ("0", ""), ("1.24E+11", "123456789012"), ("May-44", "4-44"), ("?", "ab"),
        ("true", "1"), ("12", "1,2 and 3"), ("5-10-51", "4-44"),
        ("4-7-44", "4-44"), ("7.4.44", "4-44"), ("1944-04-07", "4-44"), ("3-4-5", "4-5"),
        ("1951-10-05", "4-44"), ("12-5-44", "4-44"),
    ],
)  # fmt: skip
def test_another_value(now, before):
    assert not rewrites(now, before)


def test_a_day_that_can_be_two():
    assert days_of("05/04/2024") == {"d:2024-04-05", "d:2024-05-04"}
    assert days_of("25/04/2024") == {"d:2024-04-25"}
    assert days_of("2024-04-05") == {"d:2024-04-05"}
    assert days_of("31/02/2024") == set() == days_of("soon")


def test_a_text_that_was_cut_is_known():
    long = sheet_text("x" * (LONGEST + 5))
    assert was_cut(long) and not was_cut("x" * 50) and CUT.strip() in plain(long)
    assert value_of(long) == value_of("x" * (LONGEST + 5))


@given(st.text())
def test_every_text_is_itself_when_it_comes_back(text):
    assert value_of(text) in may_say(text)
    assert rewrites(safe_cell(text), text)


SHAPES = st.sampled_from(["%d/%m/%Y", "%m/%d/%Y", "%d.%m.%y", "%Y/%m/%d"])


@given(st.dates(min_value=date(1930, 1, 1), max_value=date(2030, 1, 1)), SHAPES)
def test_every_day_is_known_again(day, shape):
    assert rewrites(day.strftime(shape), day.isoformat())


@given(st.floats(min_value=0.001, max_value=1e9, allow_nan=False), st.booleans())
def test_every_figure_is_known_again(figure, comma):
    shown = f"{figure:.15g}"
    assert rewrites(shown.replace(".", ",") if comma else shown, str(cell(figure)))


CELLS = st.dictionaries(st.sampled_from(["Maker", "Note", "State", "Place"]), st.text(max_size=12), min_size=4)


@given(CELLS, CELLS)
def test_a_stamp_tells_what_was_edited(before, after):
    headings = list(before)
    told = stamp_of("tubes", "T-0001", AT, headings, [safe_cell(text) for text in before.values()])
    stamp = read_stamp(told)
    assert stamp and (stamp.name, stamp.tag, stamp.at) == ("tubes", "T-0001", AT)
    for heading in headings:
        became = what_became_of(heading, after[heading], before[heading], stamp)
        assert (became in (ALONE, REWRITTEN)) == rewrites(after[heading], before[heading])


@given(st.text(max_size=12), st.text(max_size=12), st.text(max_size=12))
def test_what_changed_on_both_sides(before, cell_back, now):
    assume(not rewrites(cell_back, before) and not rewrites(now, before) and plain(cell_back) != plain(now))
    stamp = read_stamp(stamp_of("tubes", "T-0001", AT, ["Note"], [before]))
    assert what_became_of("Note", cell_back, now, stamp) == BOTH
    assert what_became_of("Note", before, now, stamp) == ALONE  # left alone in the list
    assert what_became_of("Note", cell_back, before, stamp) == CHANGED


def test_a_stamp_that_was_touched_is_none():
    told = stamp_of("tubes", "T-0001", AT, ["Note"], ["a"])
    assert read_stamp(told)
    assert not read_stamp(told[:-1]) and not read_stamp(told.replace("T-0001", "T-0002")) and not read_stamp("")
