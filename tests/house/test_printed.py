"""Printed answers in pieces: tables without empty columns, rows cut for the page, and all of it drawn."""

import pytest

from inventory.house.printed import Caution, Cell, Printed, Section, Words, table
from inventory.house.printed_pdf import printed_pdf

COLUMNS = (("Photograph", 0.2), ("No.", 0.1), ("What", 0.5), ("Value", 0.2))


def rows(many):
    return [(Cell(), Cell(str(n)), Cell(f"thing {n}", ("<i>small</i>",)), Cell("1.00")) for n in range(many)]


def test_a_column_that_is_empty_is_left_out_and_the_others_share_its_width():
    found = table(COLUMNS, rows(2), figures=("Value",), total=(Cell(), Cell(), Cell("In all"), Cell("2.00")))
    assert found.heads == ("No.", "What", "Value") and sum(found.shares) == pytest.approx(1)
    assert found.figures == {2} and [cell.text for cell in found.total] == ["", "In all", "2.00"]
    assert found.name_at == 1
    assert table(COLUMNS, []).heads == ("Photograph",)


def test_a_page_shows_the_first_rows_and_says_how_many_are_left_out():
    whole = Printed("All", (), (Section("Things", (table(COLUMNS, rows(7)), Words(("more",)))),))
    (section,) = whole.shortened(3).sections
    assert (len(section.blocks[0].rows), section.blocks[0].left_out) == (3, 4)
    assert whole.shortened(7).sections[0].blocks[0].left_out == 0 and section.blocks[1].texts == ("more",)


def test_all_of_it_is_drawn_with_what_looks_like_markup_as_it_is_written():
    sections = (
        Section("Things <b>", (table(COLUMNS, rows(200), total=[Cell("x")] * 4),), "hint & more"),
        Section("Words", (Words(("one", "two"), points=True), Caution(("<mercury>",), "below"))),
        Section("Nothing", ()),
    )
    body = printed_pdf(Printed("All & sundry", ("line",), sections), "", paper="A4", foot="foot")
    assert body.startswith(b"%PDF") and body.count(b"/Type /Page\n") > 3
