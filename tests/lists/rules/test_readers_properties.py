"""No cell content makes a reader raise or hang; no count comes out larger than written; unknown never becomes zero."""

import re
from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.holdings.rules.cells import read_cell
from inventory.holdings.rules.dates import read_date
from inventory.holdings.rules.hazards import find_hazards
from inventory.holdings.rules.prices import read_price
from inventory.holdings.rules.readings import read_reading
from inventory.lists.rules import fields as f
from inventory.lists.rules.headings import propose
from inventory.lists.rules.not_items import not_an_item
from inventory.lists.rules.quantities import COUNTED, UNKNOWN, read_quantity
from inventory.lists.rules.row_parts import read_mate, read_place, read_serial
from inventory.lists.rules.rows import HELD, NOT_AN_ITEM, REFUSED, REMARKED, WRITTEN, read_row
from inventory.lists.rules.states import read_state
from tests.lists.rules.reference import TODAY, context

PIECES = (
    "0 1 2 7 12 60 1944 999999999999 . , / - + ~ ? ! ( ) = @ # ' \" % $ € £ DM VB dz pr dud taub about or bis "
    "vor ca. Aug May 's "
    "mA/V umho TV 807 6SN7GT VT-60 JAN E+ #REF! oil cap mercury total same free ea for the lot no not good ² ½ "
    "\u00a0 \0 \n "
    "\ufeff \ud83d\ude00 Ж ٣ １ few paar neu min pair"
).split(" ")
PIECED = st.lists(st.sampled_from(PIECES), max_size=8).flatmap(
    lambda parts: st.sampled_from(["", " "]).map(lambda gap: gap.join(parts))
)
CELL = st.one_of(PIECED, st.text(max_size=40), st.text(alphabet="0123456789+-*/.,()=' ", max_size=20))
NASTY_PIECES = ["9", "1+", "(", "- ", "a", "1 ", "#", ".", "1/", "=", "1 dud,", "open ", "oil ", "not ", "Total "]
NASTY = [piece * (20000 // len(piece)) for piece in NASTY_PIECES]


def read_all(cell: str) -> None:
    read_cell(cell)
    read_quantity(cell)
    read_date(cell, TODAY)
    read_date(cell, TODAY, "day")
    read_price(cell, "USD")
    read_reading(cell, cell)
    read_state(cell)
    find_hazards(cell)
    read_serial(cell)
    read_mate(cell)
    read_place(cell)
    propose([cell], [[cell]])
    not_an_item([cell], [f.MARK], [cell])


@settings(deadline=timedelta(seconds=2), max_examples=400)
@given(CELL)
def test_no_cell_makes_a_reader_raise(cell: str) -> None:
    read_all(cell)


@settings(deadline=timedelta(seconds=2), max_examples=200)
@given(st.lists(CELL, max_size=10), st.lists(st.sampled_from(f.FIELDS), max_size=10))
def test_no_row_makes_the_row_reader_raise(cells: list[str], mapping: list[str]) -> None:
    found = read_row(cells, mapping, context(headings=cells[::-1]))
    assert found.outcome in (WRITTEN, REMARKED, HELD, REFUSED, NOT_AN_ITEM)
    if found.outcome == WRITTEN:
        assert not found.remarks
    if found.outcome in (REFUSED, HELD, NOT_AN_ITEM):
        assert found.why


@pytest.mark.parametrize("cell", NASTY, ids=lambda cell: cell[:6])
def test_long_cells_come_to_an_end(cell: str) -> None:
    read_all(cell)
    read_row([cell] * 12, list(f.FIELDS)[:12], context())


@given(CELL)
def test_a_count_is_never_larger_than_written(cell: str) -> None:
    found = read_quantity(cell)
    figures = [int(text) for text in re.findall(r"[0-9]+", cell.translate({ord("１"): "1"})) if len(text) < 16]
    words = cell.casefold()
    size = 144 if "gro" in words else 12 if re.search("d[zo]|dut", words) else 2 if re.search("pr|pa", words) else 1
    spelled = 12 if re.search(r"[^\W\d_]{2}", words) else 0  # two, zwölf: spelled out
    bound = max(sum(figures) * size, spelled * size)
    for number in (found.figure, found.least, found.most):
        assert number is None or 0 <= number <= bound
    assert (found.figure or 0) + found.duds <= bound


@given(CELL)
def test_unknown_never_becomes_zero(cell: str) -> None:
    found = read_quantity(cell)
    if found.figure == 0 and not found.duds:
        plain = cell.strip().strip("\ufeff\0' ").casefold().strip("()!\"' ")
        assert found.kind == COUNTED and "?" not in cell
        assert re.search("0|non|nil|zero|kein|null|geen|aucun", plain)
    if found.kind == UNKNOWN:
        assert found.figure is None and found.to_count


@given(st.integers(1, 99), st.integers(1, 99))
def test_sums_and_duds_are_those_written(one: int, other: int) -> None:
    assert read_quantity(f"{one}+{other}").figure == one + other
    found = read_quantity(f"{one + other} ({other} dud)")
    assert (found.figure, found.duds) == (one, other)


@given(st.dates(min_value=TODAY.replace(year=1900), max_value=TODAY))
def test_iso_dates_come_back_whole(day) -> None:  # type: ignore[no-untyped-def]
    found = read_date(day.isoformat(), TODAY)
    assert found.first == found.last == day


@given(CELL)
def test_no_date_read_begins_in_the_future(cell: str) -> None:
    found = read_date(cell, TODAY)
    assert found.first is None or found.first <= TODAY
    assert found.first is None or found.last is None or found.first <= found.last
