"""Date codes that a spreadsheet took for days, and columns of places in any order. Common practice, no source."""

import pytest

from inventory.holdings.rules.date_codes import year_made
from inventory.lists.rules import fields as f
from inventory.lists.rules.dated_codes import read_date_code
from inventory.lists.rules.place_order import not_places, order_in_words, place_order
from inventory.lists.rules.rows import REMARKED, read_row
from tests.lists.rules.reference import context


@pytest.mark.parametrize(
    ("cell", "was"),
    [
        ("1944-04-01", "4-44"),
        ("1944-04-01 00:00:00", "4-44"),
        ("Apr 44", "4-44"),
        ("Apr-44", "4-44"),
        ("avr. 44", "4-44"),
        ("01.04.1944", "4-44"),
        ("4/1/1944", "4-44"),
        ("2026-03-12", "3-12 or 12-3"),
        ("12-Mar", "3-12 or 12-3"),
        ("3. Mrz", "3-3"),
        ("1951-10-05", "10-5-51"),
        ("4-44", ""),
        ("44-12", ""),
        ("1944", ""),
        ("April 1944", ""),
        ("KB/D", ""),
        ("", ""),
        ("1944-13-45", ""),
    ],
)
def test_what_a_spreadsheet_most_likely_made_a_date_of(cell: str, was: str) -> None:
    found = read_date_code(cell)
    assert (found.text, found.was) == (cell, was)
    assert (found.remark is not None) == bool(was)


def test_the_cell_is_kept_and_told() -> None:
    found = read_row(("6SN7GT", "1944-04-01"), (f.MARK, f.DATE_CODE), context(headings=("Tube", "Date code")))
    assert (found.outcome, found.date_code) == (REMARKED, "1944-04-01")
    assert "most likely 4-44" in found.remarks[0].reason and found.remarks[0].column == "Date code"


def test_a_day_of_these_years_tells_no_year_of_making() -> None:
    """A capacitor of an unknown year keeps its caution (L9.7)."""
    assert year_made("2026-03-12") is None
    assert year_made("1944-04-01") == 1944 and year_made("4-44") == 1944
    cells = ("oil capacitor 4 mfd 600 V", "2026-03-12")
    assert read_row(cells, (f.MODEL, f.DATE_CODE), context()).hazards


@pytest.mark.parametrize(
    ("headings", "way"),
    [
        (("Box", "Shelf"), "Shelf / Box"),
        (("Shelf", "Box"), "Shelf / Box"),
        (("Kiste", "Raum", "Regal"), "Raum / Regal / Kiste"),
        (("Boîte", "Étagère"), "Étagère / Boîte"),
        (("Коробка", "Полка"), "Полка / Коробка"),
        (("Scatola", "Scaffale"), "Scaffale / Scatola"),
        (("Krabice", "Skříň"), "Skříň / Krabice"),
        (("Pudełko", "Półka"), "Półka / Pudełko"),
        (("Doos", "Kast"), "Kast / Doos"),
        (("Spot", "Shelf"), "Spot / Shelf"),  # a word that is not known: as they stand
    ],
)
def test_places_go_from_the_outermost_in(headings: tuple[str, ...], way: str) -> None:
    assert order_in_words(headings, place_order(headings, (f.PLACE,) * len(headings))) == way


def test_the_keeper_says_it_otherwise() -> None:
    headings, mapping = ("Tube", "Box", "Shelf"), (f.MARK, f.PLACE, f.PLACE)
    assert place_order(headings, mapping, "box / shelf") == (1, 2)
    assert not_places(headings, mapping, "Box / Tube / Attic") == ["Tube", "Attic"]
    for said, place in (("", "B / 4"), ("Box/Shelf", "4 / B")):
        order = place_order(headings, mapping, said)
        found = read_row(("6SN7GT", "4", "B"), mapping, context(headings=headings, place_order=order))
        assert found.places == (place,)
    alone = read_row(("6SN7GT", "", "B"), mapping, context(headings=headings, place_order=order))
    assert alone.places == ("B",)


def test_a_ditto_mark_in_one_of_several_columns_is_no_name_of_a_place() -> None:
    mapping = (f.MARK, f.PLACE, f.PLACE)
    found = read_row(("6SN7GT", '"', "Box 4"), mapping, context(place_order=(1, 2)))
    assert found.places == () and "row above" in found.remarks[0].reason
