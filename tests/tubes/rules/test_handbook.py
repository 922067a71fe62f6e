"""The handbook of tests against the tables. Rows: AVO Valve Data Manual, 23rd edition (avo-vdm23), read by eye."""

import pytest

from tests.tubes.rules.bench import bench, rated, tables
from tubes.rules.figures import Figure, TypeFigures, Word
from tubes.rules.handbook import BookRow, Handbook, parse_test_pins
from tubes.rules.handbook_figures import figures_alone
from tubes.rules.rows_of_tables import book_rows_of

OCTAL = {"kind": Word("duotriode"), "base": Word("octal"), "basing": Word("8BD"), "cap": Word("none")}
ROW = BookRow(
    "9Q9", 1, "TT", "octal", parse_test_pins("1=g1 2=a 3=k 4=g1b 5=a 6=k 7=h 8=h"), (), 6.3, 250, -8, None, 9, 2900
)


@pytest.fixture(scope="module")
def book():
    return Handbook(book_rows_of(tables()))


def told(book, name):
    figures = rated()[name]
    return book.told(figures, bench().basings.get(figures.word("basing")))


@pytest.mark.parametrize(
    ("name", "shared"),
    [("6SN7GT", "6SN7"), ("6SN7GTA", "6SN7"), ("6SN7WGT", "6SN7"), ("12J5GT", "12J5"), ("6146", ""), ("ECH81", ""),
     ("6SN7GTD", None), ("6SN70", None), ("6SN7X", None)],
)  # fmt: skip
def test_builds_of_one_number_share_a_row(book, name, shared):
    """The manual writes 6SN7 for them; a letter that tells of anything but glass, metal, base or build shares none."""
    rows, under = book.rows_of(name)
    assert (bool(rows), under) == (shared is not None, shared or "")


def test_a_row_bears_out_what_it_tells(book):
    """6SN7: TT, 6.3 V, octal, 1=g1 2=a 3=k 4=g1b 5=a 6=k 7=h 8=h; at 250 V, -8 V 9 mA, 2900 micromho."""
    found = told(book, "6SN7GT")
    assert found.shared == "6SN7" and {"heater_v", "base", "basing", "kind", "cap"} <= found.agreed
    (row,) = found.rows
    assert (row.plate_v, row.grid_v, row.plate_ma, row.gm_umho) == (250, -8, 9, 2900)


@pytest.mark.parametrize(("name", "rows"), [("805", 0), ("42", 1)])
def test_another_tube_of_the_same_number_is_told_and_not_merged(book, name, rows):
    """805: a British triode of 6.3 V; 42: a British one of 1.5 V beside the American output pentode."""
    found = told(book, name)
    assert (len(found.rows), len(found.others)) == (rows, 1)
    assert {one.field for one in found.said if not one.agrees} == {"heater_v", "base"}


def test_a_row_with_a_remark_is_shown_and_never_used(book):
    """75: 63 V, the point lost in the scan."""
    found = told(book, "75")
    assert found.rows and found.rows[0].remarks and found.said == () and not found.agreed


def test_every_basing_and_heater_voltage_agrees_or_is_listed(book):
    """Listed by eye: name collisions, and heaters that a tester sets as near as it can."""
    against = {(one.type, one.field) for name in rated() for one in told(book, name).said if not one.agrees}
    assert against == {
        ("12AT6", "heater_v"), ("20", "heater_v"), ("24", "heater_v"), ("24", "base"), ("2E30", "heater_v"),
        ("42", "heater_v"), ("42", "base"), ("805", "heater_v"), ("805", "base"), ("49", "kind"),
    }  # fmt: skip
    agreed = {field: sum(field in told(book, name).agreed for name in rated()) for field in ("heater_v", "basing")}
    assert agreed["heater_v"] > 150 and agreed["basing"] > 80


@pytest.mark.parametrize(
    ("change", "field"),
    [({"basing": Word("8B")}, "basing"), ({"cap": Word("grid")}, "cap"), ({"kind": Word("triode")}, "kind")],
)
def test_a_contradiction_is_named_with_both_values(change, field):
    figures = TypeFigures("9Q9GT", {"heater_v": Figure(6.3)}, OCTAL | change)
    found = Handbook([ROW]).told(figures, bench().basings[figures.word("basing")])
    assert [one.field for one in found.said if not one.agrees] == [field] and field not in found.agreed


def test_gain_is_compared_at_one_and_the_same_point_only():
    noted = {"note": Word("typical figures at 250 V, -8 V")}
    elsewhere = {"note": Word("typical figures at 100 V, 0 V")}
    for words, expected in ((noted, [False]), (elsewhere, [])):
        figures = TypeFigures("9Q9", {"heater_v": Figure(6.3), "gm_umho": Figure(1000)}, OCTAL | words)
        said = Handbook([ROW]).told(figures, None).said
        assert [one.agrees for one in said if one.field == "gm_umho"] == expected


@pytest.mark.parametrize("text", ["1", "x=h", "1=", "=h"])
def test_pins_that_are_none(text):
    with pytest.raises(ValueError, match="expected pin=electrode"):
        parse_test_pins(text)


@pytest.mark.parametrize(
    ("name", "numbers", "words"),
    [
        ("EL33", {"heater_v": 6.3}, {"base": "octal", "cap": "none"}),
        ("10BM8", {"heater_v": 10}, {"kind": "triode-pentode", "base": "noval"}),  # systems of 2,200 and 7,500 micromho
        ("A406", {"heater_v": 4}, {}),  # on UX4 and on a British base
        ("PTS", {}, {}),  # the cap of the second row bears a grid
        ("ECH3", {"heater_v": 6.3}, {}),  # mixer: grids tied together for the test
    ],
)
def test_what_a_handbook_alone_tells_of_a_type(book, name, numbers, words):
    """Only what all rows state; transconductance neither of one of two unlike systems nor of a mixer."""
    told_numbers, told_words = figures_alone(book.rows_of(name)[0])
    assert {key: told_numbers[key].value for key in numbers} == numbers
    assert {key: told_words[key].value for key in words} == words
    assert ("gm_umho" in told_numbers) == (name in ("EL33", "A406", "PTS")), told_numbers
    assert name not in ("PTS",) or "cap" not in told_words
    assert name != "A406" or "base" not in told_words
