"""Dates: forms common practice, no source, but ISO 8601 and ECMA-376 part 1, 18.17.4.1."""

from datetime import date

import pytest

from inventory.holdings.rules.dates import (
    AFTER_IT,
    BEFORE_IT,
    DAY,
    DAY_FIRST,
    DECADE,
    MONTH_FIRST,
    MONTH_ONLY,
    SEASON_ONLY,
    UNKNOWN,
    UNREAD,
    YEAR,
    from_day_number,
    read_date,
)
from tests.lists.rules.reference import TODAY

# cell, precision, first, last
READ = [
    ("2007-08-12", DAY, "2007-08-12", "2007-08-12"),
    ("2007-08-12 00:00:00", DAY, "2007-08-12", "2007-08-12"),
    ("2007/08/12", DAY, "2007-08-12", "2007-08-12"),
    ("20070812", DAY, "2007-08-12", "2007-08-12"),
    ("2007-10", MONTH_ONLY, "2007-10-01", "2007-10-31"),
    ("Aug '07", MONTH_ONLY, "2007-08-01", "2007-08-31"),
    ("Aug. 1982", MONTH_ONLY, "1982-08-01", "1982-08-31"),
    ("August 82", MONTH_ONLY, "1982-08-01", "1982-08-31"),
    ("Mai 1988", MONTH_ONLY, "1988-05-01", "1988-05-31"),
    ("févr. 1990", MONTH_ONLY, "1990-02-01", "1990-02-28"),
    ("1/82", MONTH_ONLY, "1982-01-01", "1982-01-31"),
    ("12/1999", MONTH_ONLY, "1999-12-01", "1999-12-31"),
    ("12. August 2007", DAY, "2007-08-12", "2007-08-12"),
    ("August 12, 2007", DAY, "2007-08-12", "2007-08-12"),
    ("12-Aug-07", DAY, "2007-08-12", "2007-08-12"),
    ("12.06.09", DAY, "2009-06-12", "2009-06-12"),
    ("13/05/06", DAY, "2006-05-13", "2006-05-13"),  # no thirteenth month
    ("05/13/06", DAY, "2006-05-13", "2006-05-13"),
    ("04/04/06", DAY, "2006-04-04", "2006-04-04"),  # the same either way
    ("31.12.99", DAY, "1999-12-31", "1999-12-31"),  # two figures never lie in the future
    ("1999", YEAR, "1999-01-01", "1999-12-31"),
    ("1998/99", YEAR, "1998-01-01", "1999-12-31"),
    ("1999/00", YEAR, "1999-01-01", "2000-12-31"),
    ("'82", YEAR, "1982-01-01", "1982-12-31"),
    ("Sommer 98", SEASON_ONLY, "1998-06-01", "1998-08-31"),
    ("spring 2001", SEASON_ONLY, "2001-03-01", "2001-05-31"),
    ("winter 1998", SEASON_ONLY, "1998-01-01", "1999-02-28"),
    ("1950s", DECADE, "1950-01-01", "1959-12-31"),
    ("50er Jahre", DECADE, "1950-01-01", "1959-12-31"),
    ("early '60s", DECADE, "1960-01-01", "1969-12-31"),
    ("vor 1995", BEFORE_IT, None, "1994-12-31"),
    ("before 1995", BEFORE_IT, None, "1994-12-31"),
    ("pre-1940", BEFORE_IT, None, "1939-12-31"),
    ("after 1980", AFTER_IT, "1981-01-01", None),
    ("seit 1980", AFTER_IT, "1980-01-01", None),
    ("39264", DAY, "2007-07-01", "2007-07-01"),  # ECMA-376: day 1 is 1 January 1900, day 60 the leap slip
    ("39264.5", DAY, "2007-07-01", "2007-07-01"),
]
UNREADABLE = [
    ("May 04", "day 4 of an unsaid year or May 2004"),
    ("Nov. 17", "day 17 of an unsaid year or Nov 2017"),
    ("Aug-07", "Aug 2007"),
    ("7-Aug", "unsaid year"),
    ("5/8", "cannot be read"),
    ("1/12", "a month and a year or a day"),
    ("04/05/06", "2006-05-04 or 2006-04-05"),
    ("04-05-06", "three ways"),
    ("31.02.2001", "no day of the calendar"),
    ("29.02.1900", "no day of the calendar"),
    ("60", "29 February 1900"),
    ("61", "neither a year nor a likely day number"),
    ("2031", "future"),
    ("Dec 2026", "future"),
    ("21.11.2026", "future"),
    ("after 2030", "future"),
    ("1066", "neither a year"),
    ("12.12.1812", "older"),
    ("20s", "either century"),
    ("2004-05", "a month or two years"),
    ("same", "row above"),
    ("=TODAY()", "formula"),
    ("3.9264E+04", "rewritten"),
    ("#VALUE!", "spreadsheet error"),
    ("99999999999", "cannot be read"),
    ("9999999", "no day of the calendar"),
    ("when father died", "cannot be read"),
]


@pytest.mark.parametrize(("cell", "precision", "first", "last"), READ)
def test_a_date_is_read_with_its_precision(cell: str, precision: str, first: str | None, last: str | None) -> None:
    found = read_date(cell, TODAY)
    shown = found.first.isoformat() if found.first else None, found.last.isoformat() if found.last else None
    assert (found.precision, *shown) == (precision, first, last)


@pytest.mark.parametrize(("cell", "reason"), UNREADABLE)
def test_a_doubtful_date_is_left_unread(cell: str, reason: str) -> None:
    found = read_date(cell, TODAY)
    assert (found.precision, found.first, found.last) == (UNREAD, None, None)
    assert found.remark is not None and reason.lower() in found.remark.reason.lower()
    assert found.remark.action


@pytest.mark.parametrize("cell", ["", "?", "unknown", "-", "n/a"])
def test_no_date_is_no_remark(cell: str) -> None:
    found = read_date(cell, TODAY)
    assert found.precision == UNKNOWN and found.remark is None and not found.read


@pytest.mark.parametrize(("order", "wanted"), [(DAY_FIRST, date(2006, 5, 4)), (MONTH_FIRST, date(2006, 4, 5))])
def test_the_order_is_the_keepers_word(order: str, wanted: date) -> None:
    assert read_date("04/05/06", TODAY, order).first == wanted
    assert read_date("4.5.2006", TODAY, order).first == wanted


@pytest.mark.parametrize("cell", ["1999?", "ca. 1999", "about 1999", "~1999", "um 1999"])
def test_a_doubted_date_is_not_sure(cell: str) -> None:
    found = read_date(cell, TODAY)
    assert (found.precision, found.sure) == (YEAR, False)
    assert found.first == date(1999, 1, 1)


@pytest.mark.parametrize(
    ("cell", "between"),
    [
        ("1/82", "1982-01-01 to 1982-01-31"),
        ("Spring 1998", "1998-03-01 to 1998-05-31"),
        ("about 1960", "1960-01-01 to 1960-12-31"),
        ("vor 1995", "up to 1994-12-31"),
        ("after 1980", "from 1981-01-01"),
        ("12 Aug 2007?", "read as 2007-08-12"),
    ],
)
def test_a_date_without_a_sure_day_says_what_it_was_read_as(cell: str, between: str) -> None:
    remark = read_date(cell, TODAY).remark
    assert remark is not None and "kept as found" in remark.reason and between in remark.reason


@pytest.mark.parametrize("cell", ["2007-08-12", "1999", "'82"])
def test_a_plain_day_or_year_needs_no_word(cell: str) -> None:
    assert read_date(cell, TODAY).remark is None


@pytest.mark.parametrize("cell", [cell for cell, _ in UNREADABLE])
def test_what_is_not_read_is_kept_as_found(cell: str) -> None:
    remark = read_date(cell, TODAY).remark
    assert remark is not None and remark.reason.endswith("kept as found")


def test_points_put_the_day_first_with_a_remark() -> None:
    found = read_date("12.06.09", TODAY)
    assert found.remark is not None and "day first" in found.remark.reason


def test_day_numbers_of_the_1900_system() -> None:
    # ECMA-376 part 1, 18.17.4.1: 1 is 1 January 1900; 60 stands for a 29 February that never was; 61 is 1 March 1900
    assert from_day_number(1) == date(1900, 1, 1)
    assert from_day_number(59) == date(1900, 2, 28)
    assert from_day_number(60) is None
    assert from_day_number(61) == date(1900, 3, 1)
    assert from_day_number(36526) == date(2000, 1, 1)
