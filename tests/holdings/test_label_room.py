"""What gets the room of a label (common practice, no source: the words that warn stand first and are read first)."""

import csv

import pytest
from django.conf import settings

from inventory.holdings.rules.hazard_words import short_words
from inventory.holdings.rules.label_layout import EASY, LEGIBLE, LabelWords, lay_out
from inventory.holdings.rules.labels import read_sheets
from inventory.holdings.views.label_pdf import measure

ADDRESS = "https://radio.example/tubes/T-0123/"
MERCURY = (
    "mercury vapour: keep upright, warm the filament long enough before plate voltage; a broken one is spilt mercury: "
    "leave the room, air it, local codes first"
)


@pytest.fixture(scope="module")
def sheet():
    with next(settings.BASE_DIR.glob("fixtures/**/*label*csv")).open(encoding="utf-8") as file:
        return {one.key: one for one in read_sheets(csv.DictReader(file))}["a4-21"]


def laid(sheet, **cells):
    words = LabelWords("T-0123", address=ADDRESS, **cells)
    return lay_out(words, sheet.label_w_mm, sheet.label_h_mm, sheet.inset_mm, measure)


def text(layout):
    return " ".join(piece.text for piece in layout.words)


def test_a_long_name_and_place_take_the_lines_that_are_free(sheet):
    place = "Cellar / Rack by the stairs / Shelf 2 / Box with the green lid"
    layout = laid(sheet, name="Skerry receiver calibration book", place=place)
    assert "Skerry receiver calibration book" in text(layout) and place in text(layout) and "…" not in text(layout)


def test_a_place_is_broken_between_its_steps(sheet):
    layout = laid(sheet, name="1625", same=("VT-136",), place="Store / Cabinet B / Shelf 3 / Box 12 / Tray 4")
    lines = [
        piece.text for piece in layout.words if piece.text.startswith(("Store", "Shelf", "Box", "Cabinet", "Tray"))
    ]
    assert len(lines) > 1 and all(not line.endswith(("Cabinet", "Shelf", "Box", "Tray")) for line in lines)
    assert "Shelf 3" in text(layout) and "Tray 4" in text(layout)


def test_the_long_words_of_a_hazard_do_not_make_the_rest_small(sheet):
    layout = laid(
        sheet, name="866A", same=("VT-46A", "CV32"), mark="marked JAN-CRC-866A", state="good",
        reading="reads 92 % min 60 % on bench tester Ebb No. 2",
        place="Barn / North wall / Cabinet 3 / Drawer 17 left", hazards=(MERCURY,),
    )  # fmt: skip
    first = layout.words[0]
    assert first.text == "⚠ mercury" and first.bold and first.size >= EASY
    detail = [piece for piece in layout.words if "spilt" in piece.text]
    assert detail and all(LEGIBLE <= piece.size < first.size for piece in detail)
    assert "local codes first" in text(layout)


def test_equivalents_go_before_a_second_line_of_the_place(sheet):
    layout = laid(sheet, name="6SN7GT", same=("VT-231", "CV1988", "CV181", "6Н8С", "B65", "ECC33"), place="Barn / D7")
    assert all(mark in text(layout) for mark in ("VT-231", "ECC33", "Barn / D7"))


@pytest.mark.parametrize(
    ("told", "words"),
    [
        ("1,200 V on the tank and the cap: discharge before touching", ("high voltage",)),
        ("2500 V at the plate caps; wait a minute after switching off", ("high voltage",)),
        ("up to 3.5 kV on the screen, and it holds its charge", ("high voltage", "stored charge")),
        ("filament 2.5 V at 5 A: warm it up before the plates get any", ("filament 2.5 V at 5 A",)),
        ("lift 1,5 m at most, the handles are loose on this one", ("lift 1,5 m at most",)),
    ],
)
def test_the_short_words_of_a_caution_with_figures(told, words):
    assert short_words([told]) == words
