"""Growth and sums by year. Check values: pandas, where it is there, and a plain loop over every single thing."""

from collections import Counter
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.figures.rules.years import ACQUIRED, ENTERED, UNKNOWN, Came, Sum, growth, latest, lines, totals

YEARS = st.integers(2000, 2012)


@st.composite
def things(draw):
    """One thing: kind, how its year is known, the year, and that in which it left, never before it came."""
    by = draw(st.sampled_from([ACQUIRED, ENTERED, UNKNOWN]))
    came = None if by == UNKNOWN else draw(YEARS)
    left = draw(st.none() | st.integers(came or 2000, 2014))
    return draw(st.sampled_from(["tube", "chassis"])), by, came, left


def as_groups(every):
    return [Came(*thing, count) for thing, count in Counter(every).items()]


@given(st.lists(things(), max_size=40))
def test_each_year_holds_what_had_come_and_not_left(every):
    found = growth(as_groups(every))
    for one in found.years:
        there = [t for t in every if (t[2] or 0) <= one.year and (t[3] is None or t[3] > one.year)]
        assert one.here == len(there)
        assert one.dated == sum(by == ACQUIRED for _, by, *_ in there)
        assert one.undated == one.here - one.dated >= 0
        assert sum(n for *_, n in one.still) == sum(t[2] == one.year and t[3] is None for t in every)


@given(st.lists(things(), max_size=40))
def test_what_came_less_what_left_is_here(every):
    found = growth(as_groups(every))
    came = sum(one.acquired + one.entered for one in found.years)
    assert came + found.undated - sum(one.left for one in found.years) == found.here == sum(t[3] is None for t in every)
    assert found.left == len(every) - found.here
    assert not found.years or found.years[-1].here == found.here


def test_growth_is_what_pandas_adds_up():
    pandas = pytest.importorskip("pandas")
    every = [("tube", ACQUIRED, 2000 + n % 7, 2008 if n % 5 == 0 else None) for n in range(60)]
    frame = pandas.DataFrame(every, columns=["kind", "by", "came", "left"])
    moved = frame.groupby("came").size().sub(frame.groupby("left").size(), fill_value=0).sort_index().cumsum()
    assert {one.year: one.here for one in growth(as_groups(every)).years} == moved.astype(int).to_dict()


def test_an_empty_collection_has_no_years():
    found = growth([])
    assert (found.years, found.here, found.left) == ((), 0, 0)


SUMS = st.lists(
    st.builds(
        Sum, st.none() | YEARS, st.sampled_from(["", "EUR", "USD"]), st.sampled_from(["tube", "unit"]), st.booleans(),
        st.decimals(0, 999, places=2), st.integers(1, 9), st.integers(1, 9),
    )
)  # fmt: skip


@given(SUMS)
def test_sums_of_a_currency_are_those_of_its_lines_and_no_other(sums):
    found, wanted = lines(sums), Counter()
    for one in sums:
        wanted[one.currency] += one.amount
    assert totals(found) == {code: wanted[code] for code in {one.currency for one in sums}}
    assert sum(one.things for one in found) == sum(one.things for one in sums)
    assert len({(one.currency, one.of) for one in found}) == len(found)


def test_sums_are_what_pandas_adds_up():
    pandas = pytest.importorskip("pandas")
    sums = [Sum(2000 + n % 5, "EUR" if n % 3 else "USD", "tube", True, Decimal(n), 1, 1) for n in range(40)]
    frame = pandas.DataFrame([(one.currency, one.of, int(one.amount)) for one in sums], columns=["code", "year", "sum"])
    wanted = frame.groupby(["code", "year"])["sum"].sum().to_dict()
    assert {(one.currency, one.of): int(one.amount) for one in lines(sums)} == wanted


def test_lines_stand_by_currency_and_year_with_what_is_not_known_last():
    sums = [Sum(of, code, "tube", True, Decimal(1), 1, 1) for code in ("", "USD", "EUR") for of in (None, 2001, 1999)]
    assert [(one.currency, one.of) for one in lines(sums)] == [
        ("EUR", 1999), ("EUR", 2001), ("EUR", None), ("USD", 1999), ("USD", 2001), ("USD", None),
        ("", 1999), ("", 2001), ("", None),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("years", "drawn", "before"),
    [
        ([], [], []),
        ([2020], [2020], []),
        ([2017, 2020], [2017, 2018, 2019, 2020], []),
        ([2015, 2016, 2020], [2018, 2019, 2020], [2015, 2016]),
        ([1950, 2019, 2020], [2018, 2019, 2020], [1950]),
    ],
)
def test_the_latest_years_are_drawn_without_a_gap(years, drawn, before):
    assert latest(years, 4) == (drawn, before)
