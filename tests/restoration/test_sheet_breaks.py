"""Tables on paper: a row goes whole to the next page, and a heading goes with its first row."""

import pytest
from reportlab.lib.units import mm
from reportlab.platypus import Paragraph, Spacer

from inventory.house.pdf_pages import SHORTEST, below, build, ruled, style, width_of
from tests.restoration.sheets import needs_pdftotext, pdf_pages

WIDTHS = [100.0, 60.0]


def table(lines):
    """A table whose row n has so many lines, from ``begin`` to ``end``."""
    rows = [
        [Paragraph("<br/>".join([f"begin{at}", *["word"] * (count - 2), f"end{at}"]), style(10)), ""]
        for at, count in enumerate(lines)
    ]
    return ruled([["Check", "Found"], *rows], WIDTHS, boxed=True)


def rows_in(part):
    return [row for row in part._cellvalues if row[0] != "Check"]


@pytest.mark.parametrize("room", range(5, 530, 25))
def test_no_row_is_cut(room):
    made = table([2, 12, 3, 20, 2])
    whole = rows_in(made)
    parts = made.split(sum(WIDTHS), room)
    if parts:
        assert [row for part in parts for row in rows_in(part)] == whole
        assert {tuple(part._cellvalues[0]) for part in parts} == {("Check", "Found")}
    else:
        assert room < made.first_row()  # it all goes to the next page


def test_a_row_taller_than_a_page_breaks_and_the_others_do_not():
    made = table([2, 90, 2])
    first, rest = made.split(sum(WIDTHS), SHORTEST)
    assert len(rows_in(first)) == 1
    top, bottom = rest.split(sum(WIDTHS), SHORTEST)
    assert len(rows_in(top)) + len(rows_in(bottom)) == 3  # the tall one on both


@needs_pdftotext
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_heading_stands_above_its_first_row(tmp_path, paper):
    for room in (215, 225, 232, 240):
        heading = [Spacer(0, 3 * mm), Paragraph("Before power", style(12))]
        story = [Spacer(0, room * mm), *below(heading, table([4, 4]), width_of(paper))]
        body = build(story, paper=paper, title="A sheet", printed="printed today")
        words = pdf_pages(body, tmp_path)
        assert all(("Before power" in one) == ("begin0" in one) for one in words)
        assert all((f"begin{at}" in one) == (f"end{at}" in one) for one in words for at in (0, 1))
