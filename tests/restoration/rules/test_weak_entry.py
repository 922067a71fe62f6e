"""Rows of a list of weak parts: what is read, and which cell is at fault. All names are invented."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.restoration.rules.weak_entry import COLUMNS, WeakEntry, read_weak_entry

TODAY = date(2026, 11, 30)
GOOD = {
    "set model": "Marram RX", "mark": "C12", "part": "paper capacitors", "quantity": "3", "word": "Always fails",
    "source": "bench book", "page": "leaf 4", "date": "2025-03-02", "says": "five of five",
}  # fmt: skip


def test_a_row_is_read():
    entry = read_weak_entry(GOOD, TODAY)
    assert isinstance(entry, WeakEntry)
    assert (entry.quantity, entry.word, entry.on, entry.says) == (3, "always fails", date(2025, 3, 2), "five of five")
    bare = read_weak_entry({"set model": "Marram RX", "part": "filter"}, TODAY)
    assert isinstance(bare, WeakEntry) and (bare.word, bare.quantity, bare.on) == ("", None, None)


@pytest.mark.parametrize(
    ("column", "value", "at", "reason"),
    [
        ("set model", "", "set model", "no set model"), ("part", " ", "part", "no part"),
        ("word", "perhaps", "word", "expected always fails, check, leave alone"),
        ("source", "", "source", "its source"), ("word", "", "word", "no word"),
        ("quantity", "some", "quantity", "whole number"),
        ("quantity", "0", "quantity", "whole number"), ("date", "04/05/2025", "date", "write it as"),
        ("date", "2027-01-01", "date", "write it as"), ("page", "x" * 41, "page", "longer than 40"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_told_by_its_column(column, value, at, reason):
    (fault,) = read_weak_entry(GOOD | {column: value}, TODAY)
    assert fault.column == at and reason in fault.reason


def test_all_that_is_wrong_comes_back_at_once_in_the_order_of_columns():
    faults = read_weak_entry({"quantity": "x", "word": "maybe"}, TODAY)
    assert [one.column for one in faults] == ["set model", "part", "quantity", "word"]


@given(st.dictionaries(st.sampled_from(COLUMNS), st.text(max_size=60)))
def test_it_never_raises(cells):
    assert read_weak_entry(cells, TODAY)
