"""Counts as keepers write them. What each means: common practice, no source, unless named beside it."""

import pytest

from inventory.lists.rules.quantities import (
    APPROXIMATE,
    AT_LEAST,
    AT_MOST,
    COUNTED,
    RANGE,
    REFUSED,
    UNKNOWN,
    read_quantity,
)

# cell, kind, figure, least, most, duds
CASES = [
    ("11", COUNTED, 11, 11, 11, 0),
    (" 11 ", COUNTED, 11, 11, 11, 0),
    ("3.0", COUNTED, 3, 3, 3, 0),  # how a spreadsheet hands over a 3
    ("'7", COUNTED, 7, 7, 7, 0),
    ("3+1", COUNTED, 4, 4, 4, 0),
    ("2+2", COUNTED, 4, 4, 4, 0),
    ("2 (1 dud)", COUNTED, 1, 2, 2, 1),  # duds never count as spares: rfcafe.com, foil tube forgers, 1957
    ("5 (2 taub)", COUNTED, 3, 5, 5, 2),
    ("3 + 1 dud", COUNTED, 3, 4, 4, 1),
    ("1 (2 dud)", UNKNOWN, None, None, None, 0),
    ("about 20", APPROXIMATE, 20, None, None, 0),
    ("~20", APPROXIMATE, 20, None, None, 0),
    ("ca. 20", APPROXIMATE, 20, None, None, 0),
    ("etwa 20 Stk.", APPROXIMATE, 20, None, None, 0),
    ("3?", APPROXIMATE, 3, None, None, 0),
    ("25+", AT_LEAST, 25, 25, None, 0),
    ("10 oder mehr", AT_LEAST, 10, 10, None, 0),
    ("> 6", AT_LEAST, 6, 6, None, 0),
    ("up to 10", AT_MOST, None, None, 10, 0),
    ("12-15", RANGE, 12, 12, 15, 0),
    ("12–15", RANGE, 12, 12, 15, 0),
    ("8 or 9", RANGE, 8, 8, 9, 0),
    ("8 bis 9", RANGE, 8, 8, 9, 0),
    ("0-5", UNKNOWN, None, 0, 5, 0),
    ("15-12", UNKNOWN, None, None, None, 0),
    ("3/1", UNKNOWN, None, None, None, 0),
    ("1 dz", COUNTED, 12, 12, 12, 0),
    ("2 doz", COUNTED, 24, 24, 24, 0),
    ("a dozen", COUNTED, 12, 12, 12, 0),
    ("1 Dutzend", COUNTED, 12, 12, 12, 0),
    ("1 gross", COUNTED, 144, 144, 144, 0),
    ("1 pr", COUNTED, 2, 2, 2, 0),
    ("2 pairs", COUNTED, 4, 4, 4, 0),
    ("1 Paar", COUNTED, 2, 2, 2, 0),
    ("1/2 dozen", COUNTED, 6, 6, 6, 0),
    ("half a dozen", COUNTED, 6, 6, 6, 0),
    ("½ dz", COUNTED, 6, 6, 6, 0),
    ("1 1/2 doz", COUNTED, 18, 18, 18, 0),
    ("about half a dozen", APPROXIMATE, 6, None, None, 0),
    ("halbes Dutzend", COUNTED, 6, 6, 6, 0),
    ("1/2", UNKNOWN, None, None, None, 0),
    ("3 good 2 bad", COUNTED, 3, 5, 5, 2),
    ("3 gut, 1 taub", COUNTED, 3, 4, 4, 1),
    ("4 duds", COUNTED, 0, 4, 4, 4),
    ("2 new 3 used", COUNTED, 5, 5, 5, 0),
    ("3 good 2", UNKNOWN, None, None, None, 0),
    ("1 good or 2 bad", UNKNOWN, None, None, None, 0),
    ("2 not good", UNKNOWN, None, None, None, 0),
    ("ein paar", UNKNOWN, None, None, None, 0),  # a few
    ("a few", UNKNOWN, None, None, None, 0),
    ("box of 50", UNKNOWN, None, None, None, 0),
    ("?", UNKNOWN, None, None, None, 0),
    ("", UNKNOWN, None, None, None, 0),
    ("-", UNKNOWN, None, None, None, 0),
    ("n/a", UNKNOWN, None, None, None, 0),
    ("ditto", UNKNOWN, None, None, None, 0),
    ("0", COUNTED, 0, 0, 0, 0),
    ("none", COUNTED, 0, 0, 0, 0),
    ("0?", UNKNOWN, None, None, None, 0),
    ("about 0", UNKNOWN, None, None, None, 0),
    ("2!", COUNTED, 2, 2, 2, 0),
    ("(5)", COUNTED, 5, 5, 5, 0),
    ("x4", COUNTED, 4, 4, 4, 0),
    ("4 pcs", COUNTED, 4, 4, 4, 0),
    ("zwölf", COUNTED, 12, 12, 12, 0),
    ("２", COUNTED, 2, 2, 2, 0),  # full-width figure
    ("5²", UNKNOWN, None, None, None, 0),
    ("½", UNKNOWN, None, None, None, 0),
    ("٣", UNKNOWN, None, None, None, 0),
    ("1,000", UNKNOWN, None, None, None, 0),  # a thousand, or one
    ("1.000", UNKNOWN, None, None, None, 0),  # the same where a point marks the thousands
    ("2.00", COUNTED, 2, 2, 2, 0),  # two decimals are no thousands
    ("2.5", UNKNOWN, None, None, None, 0),
    ("neu / taub?", UNKNOWN, None, None, None, 0),
    ("B-3", UNKNOWN, None, None, None, 0),
    ("-3", REFUSED, None, None, None, 0),
    ("−3", REFUSED, None, None, None, 0),
    ("=SUM(B2:B9)", REFUSED, None, None, None, 0),
    ("=2+2", REFUSED, None, None, None, 0),
    ("+3", REFUSED, None, None, None, 0),
    ("-2+5", REFUSED, None, None, None, 0),
    ("1.43E+03", REFUSED, None, None, None, 0),
    ("#REF!", REFUSED, None, None, None, 0),
    ("99999999999", REFUSED, None, None, None, 0),
]


@pytest.mark.parametrize(("cell", "kind", "figure", "least", "most", "duds"), CASES)
def test_a_count_is_read(
    cell: str, kind: str, figure: int | None, least: int | None, most: int | None, duds: int
) -> None:
    found = read_quantity(cell)
    assert (found.kind, found.figure, found.least, found.most, found.duds) == (kind, figure, least, most, duds)
    assert found.text == cell
    assert found.to_count == (kind not in (COUNTED, REFUSED))
    if kind != COUNTED:
        assert found.remark is not None and found.remark.action


def test_a_pair_is_no_matched_pair() -> None:
    found = read_quantity("1 pr")
    assert found.pair and found.remark is not None and "no measured match" in found.remark.reason


def test_the_groups_of_a_sum_are_kept_apart() -> None:
    assert read_quantity("3+1").parts == (3, 1)


def test_the_states_in_a_count_are_kept() -> None:
    assert read_quantity("3 good, 1 weak and 2 bad").stated == ((3, "good", "good"), (1, "weak", "weak"))
    assert read_quantity("2 new 3 used").stated == ((2, "untested", "new"), (3, "untested", "used"))


def test_a_dud_in_the_count_is_remarked() -> None:
    found = read_quantity("2 (1 dud)")
    assert found.remark is not None and "1 dud among 2" in found.remark.reason


@pytest.mark.parametrize("cell", ["6 presumed good", "5 (2 hopefully good)", "3 good 2 likely dead"])
def test_a_doubted_state_beside_a_count_is_none(cell):
    assert read_quantity(cell).kind == UNKNOWN
