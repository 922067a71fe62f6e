"""Readings: reading/minimum and the other ways of writing are common practice, no source."""

from decimal import Decimal

import pytest

from inventory.holdings.rules.readings import (
    PERCENT,
    TESTER,
    TESTS_GOOD,
    UNKNOWN,
    UNREAD,
    VALUE,
    WORD,
    read_reading,
    unit_of_heading,
)

# cell, heading, kind, value, minimum, unit, tester, scale
CASES = [
    ("2250/1200", "", VALUE, "2250", "1200", "", "", ""),
    ("2250/1200 micromhos", "", VALUE, "2250", "1200", "micromho", "", "micromho"),
    ("2250/1200", "Gm (umho)", VALUE, "2250", "1200", "micromho", "", "micromho"),
    ("1.9 mA/V", "", VALUE, "1.9", "", "mA/V", "", "mA/V"),
    ("1.90 mA/V", "", VALUE, "1.90", "", "mA/V", "", "mA/V"),
    ("2,1", "S (mA/V)", VALUE, "2,1", "", "mA/V", "", "mA/V"),
    ("52 mA", "", VALUE, "52", "", "mA", "", "mA"),
    ("48", "", VALUE, "48", "", "", "", ""),
    ("TV 48/40", "", TESTER, "48", "40", "", "TV", "TV"),
    ("Prover 3 48/40", "", TESTER, "48", "40", "", "Prover 3", "Prover 3"),
    ("tester B: 72", "", TESTER, "72", "", "", "B", "B"),
    ("Prover 3 92 %", "", TESTER, "92", "", "%", "Prover 3", "Prover 3 %"),
    ("92 %", "", PERCENT, "92", "", "%", "", ""),
    ("98/100 tests good", "", TESTS_GOOD, "98", "", "", "", ""),
    ("tests good", "", WORD, "", "", "", "", ""),
    ("gut", "", WORD, "", "", "", "", ""),
    ("", "", UNKNOWN, "", "", "", "", ""),
    ("?", "", UNKNOWN, "", "", "", "", ""),
    ("n/a", "", UNKNOWN, "", "", "", "", ""),
    ("2250 umho", "S (mA/V)", UNREAD, "", "", "", "", ""),
    ("1900 umho/1.2 mA/V", "", UNREAD, "", "", "", "", ""),
    ("48/46/40", "", UNREAD, "", "", "", "", ""),
    ("1.9E+03", "", UNREAD, "", "", "", "", ""),
    ("=2250/1200", "", UNREAD, "", "", "", "", ""),
    ("same", "", UNREAD, "", "", "", "", ""),
    ("-5", "", UNREAD, "", "", "", "", ""),
]


@pytest.mark.parametrize(("cell", "heading", "kind", "value", "minimum", "unit", "tester", "scale"), CASES)
def test_a_reading_is_read(
    cell: str, heading: str, kind: str, value: str, minimum: str, unit: str, tester: str, scale: str
) -> None:
    found = read_reading(cell, heading)
    assert (found.kind, found.value, found.minimum) == (kind, value, minimum)
    assert (found.unit, found.tester, found.scale) == (unit, tester, scale)
    if not scale and kind not in (UNKNOWN,):
        assert found.remark is not None


# cell, heading, instrument of another column, tester taken, scale
NAMED = [
    ("2250/1200", "", "Prover 3", "Prover 3", "Prover 3"),
    ("2250 umho", "", "Prover 3", "Prover 3", "Prover 3 micromho"),
    ("92 %", "", "Prover 3", "Prover 3", "Prover 3 %"),
    ("Prover 3 48/40", "", "prover 3", "Prover 3", "Prover 3"),
]


@pytest.mark.parametrize(("cell", "heading", "instrument", "tester", "scale"), NAMED)
def test_an_instrument_of_another_column_names_the_scale(
    cell: str, heading: str, instrument: str, tester: str, scale: str
) -> None:
    found = read_reading(cell, heading, instrument)
    assert (found.tester, found.scale, found.remark) == (tester, scale, None)


def test_two_names_of_instruments_are_told() -> None:
    found = read_reading("TV 48/40", "", "Prover 3")
    assert found.tester == "TV" and found.remark is not None and "Prover 3" in found.remark.reason
    assert read_reading("", "", "Prover 3").tester == ""
    assert read_reading("tests good", "", "Prover 3").tester == "Prover 3"


def test_what_is_not_read_is_kept_as_found() -> None:
    for cell in ("48/46/40", "1.9E+03", "same", "tests good"):
        remark = read_reading(cell).remark
        assert remark is not None and remark.reason.endswith("kept as found")


def test_figures_stay_as_written_with_their_number_beside() -> None:
    found = read_reading("2,10/1,5", "mA/V")
    assert (found.value, found.minimum) == ("2,10", "1,5")
    assert (found.figure, found.minimum_figure) == (Decimal("2.10"), Decimal("1.5"))


def test_a_comma_of_two_meanings_has_no_number() -> None:
    found = read_reading("1,200")
    assert (found.value, found.figure) == ("1,200", None)
    assert found.remark is not None


def test_out_of_is_kept_with_a_good_bad_figure() -> None:
    assert read_reading("98/100 tests good").out_of == "100"


@pytest.mark.parametrize(
    ("heading", "unit"),
    [
        ("S (mA/V)", "mA/V"),
        ("Gm umho", "micromho"),
        ("µmho", "micromho"),
        ("reading", ""),
        ("mA or mA/V", ""),
        ("", ""),
    ],
)
def test_the_unit_of_a_heading(heading: str, unit: str) -> None:
    assert unit_of_heading(heading) == unit


@pytest.mark.parametrize(
    ("cell", "value", "minimum", "tester"),
    [
        ("min 40: 62", "62", "40", ""), ("min. 40, 62", "62", "40", ""), ("bad 22", "22", "", ""),
        ("taub: 3", "3", "", ""),
        ("new 62, used 40", "", "", ""), ("40 min 62", "", "", ""), ("62 min 40", "62", "40", ""),
        ("38 (min 40)", "38", "40", ""), ("tests 62", "", "", ""), ("QX-7: 62", "62", "", "QX-7"),
    ],
)  # fmt: skip
def test_a_word_of_a_minimum_or_a_verdict_is_no_instrument(cell: str, value: str, minimum: str, tester: str) -> None:
    """Ways of writing: common practice, no source."""
    found = read_reading(cell)
    assert (found.value, found.minimum, found.tester) == (value, minimum, tester)
