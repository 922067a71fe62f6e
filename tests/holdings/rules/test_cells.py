"""What spreadsheets do to cells. Error values: ECMA-376 part 1; the rest common practice, no source."""

import pytest

from inventory.holdings.rules.cells import EMPTY, ERROR, FORMULA, PLAIN, REWRITTEN, figures_text, read_cell

CASES = [
    ("", "", EMPTY),
    (" \u00a0", "", EMPTY),
    ("\ufeff6AC7", "6AC7", PLAIN),
    ("22E1", "22E1", PLAIN),  # a tube number as it should be: no sign, no point
    ("2E26", "2E26", PLAIN),
    ("2.00E+26", "2.00E+26", REWRITTEN),  # a spreadsheet turned 22E1 into 220: blog.contextures.com, 25 Jan 2010
    ("1.43E+03", "1.43E+03", REWRITTEN),
    ("1,43E+03", "1,43E+03", REWRITTEN),  # decimal comma
    ("2e+26", "2e+26", REWRITTEN),
    ("1.5E-05", "1.5E-05", REWRITTEN),
    ("2" + "0" * 25, "2" + "0" * 25, REWRITTEN),  # more than 15 figures
    ("see 2.00E+26", "see 2.00E+26", REWRITTEN),
    ("#REF!", "#REF!", ERROR),
    ("#NAME?", "#NAME?", ERROR),
    ("#DIV/0!", "#DIV/0!", ERROR),
    ("#WERT!", "#WERT!", PLAIN),  # the German error words are not in ECMA-376: kept as text
    ("#####", "#####", ERROR),  # a column too narrow
    ("#612", "#612", PLAIN),
    ("'0612", "0612", PLAIN),  # the mark for text is dropped, the zero stays
    ("'tis so'", "'tis so'", PLAIN),
    ("'", "'", PLAIN),
    ("=A1+3", "=A1+3", FORMULA),
    ("=2+2", "=2+2", FORMULA),
    ("=EF91", "=EF91", FORMULA),
    ("+A1*2", "+A1*2", FORMULA),
    ("-2+3", "-2+3", FORMULA),
    ("@SUM(A1:A9)", "@SUM(A1:A9)", FORMULA),
    ("=====", "=====", PLAIN),
    ("-", "-", PLAIN),
    ("- two rusty", "- two rusty", PLAIN),
    ("@ 5", "@ 5", PLAIN),
    ("-3", "-3", PLAIN),
]


@pytest.mark.parametrize(("cell", "text", "kind"), CASES)
def test_a_cell_is_recognised(cell: str, text: str, kind: str) -> None:
    seen = read_cell(cell)
    assert (seen.text, seen.kind) == (text, kind)
    assert seen.damaged == (seen.remark is not None)


def test_a_rewritten_cell_is_never_calculated() -> None:
    seen = read_cell("1.43E+03")
    assert seen.remark is not None
    assert "1430" not in seen.remark.reason and "143E1" not in seen.remark.reason


@pytest.mark.parametrize("text", ["5²", "12½", "Ⅻ", "3\u0336", "1\ufeff0", "1\u200b0", "x" * 201])
def test_figures_that_would_join_their_neighbours_are_not_read(text: str) -> None:
    assert figures_text(text) is None
