"""Combinations of parts: against a plain loop over everything, and against worked figures of circuit theory."""

from collections import Counter
from dataclasses import replace
from itertools import combinations, combinations_with_replacement
from math import inf, isclose

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.holdings.rules.combining.combine import Combined, StockPart, combine
from inventory.holdings.rules.combining.search import Stock, count_sums
from inventory.holdings.rules.combining.sharing import worst_share, worst_values
from inventory.holdings.rules.part_kinds import PartFigures

UNIT = {"resistor": "watts", "capacitor": "volts", "inductor": "amps"}


def plainly(wanted, stock, needed=False):
    """Every choice of two and three pieces that serves, in the order of the answer, by Ohm's law on each of them.

    ``needed``: without those of which fewer pieces, one alone or two put together alike, do the work as well.
    """
    name = UNIT[wanted.kind]
    load, told = getattr(wanted, name), []
    for how in ("series", "parallel"):
        straight = (how == "series") == (wanted.kind != "capacitor")
        for size in (2, 3):
            for which in combinations_with_replacement(range(len(stock)), size):
                parts = [stock[at] for at in which]
                x = [part.value if straight else 1 / part.value for part in parts]
                value = sum(x) if straight else 1 / sum(x)
                off = abs(value / wanted.value - 1) * 100
                if any(number > stock[at].quantity for at, number in Counter(which).items()):
                    continue
                if off > wanted.tolerance_pct + 1e-7:
                    continue
                shares = {"resistor": True, "capacitor": how == "series", "inductor": how == "parallel"}[wanted.kind]
                on_each = [load * each / sum(x) if shares else load for each in x]
                if any(on > getattr(part, name) * (1 + 1e-9) for on, part in zip(on_each, parts, strict=True)):
                    continue
                order = sorted(zip(x, which, strict=True))
                told.append((size, round(off, 9), how, [one[0] for one in order], [one[1] for one in order]))
    if needed:
        alone = {at for at, part in enumerate(stock) if part.quantity and _serves(wanted, part, load)}
        serving = {(how, at) for _, _, how, _, at in told for at in [tuple(sorted(at))]}
        told = [
            one for one in told
            if not alone & set(one[4])
            and not any((one[2], part) in serving for part in combinations(sorted(one[4]), 2) if one[0] == 3)
        ]  # fmt: skip
    told.sort(key=lambda one: (one[0], one[1], one[2] == "parallel", one[3:]))
    return [(size, off, how, [stock[at].lot for at in which]) for size, off, how, _, which in told]


def _serves(wanted, part, load):
    off = abs(part.value / wanted.value - 1) * 100
    return off <= wanted.tolerance_pct + 1e-7 and load <= getattr(part, UNIT[wanted.kind]) * (1 + 1e-9)


VALUES = st.sampled_from([10.0, 12.0, 15.0, 22.0, 27.0, 33.0, 47.0, 100.0]) | st.floats(5, 200)
LOTS = st.lists(
    st.tuples(VALUES, st.integers(0, 4), st.sampled_from([5.0, 10.0, 20.0]), st.sampled_from([0.5, 1.0, 2.0, 5.0])),
    max_size=6,
)


@given(
    st.sampled_from(sorted(UNIT)), st.floats(5, 200) | st.sampled_from([27.0, 50.0, 94.0]),
    st.sampled_from([0.0, 1.0, 5.0, 20.0, 50.0, 90.0]), st.sampled_from([0.25, 1.0, 3.0]), LOTS, st.booleans(),
)  # fmt: skip
def test_the_answer_is_that_of_a_plain_loop(kind, value, tolerance, load, lots, needed):
    alike = {(value, tolerance, rating): quantity for value, quantity, tolerance, rating in lots}
    stock = [
        replace(StockPart(f"L{number}", of[0], quantity, of[1]), **{UNIT[kind]: of[2]})
        for number, (of, quantity) in enumerate(alike.items())
    ]
    wanted = PartFigures(kind, value, tolerance, **{UNIT[kind]: load})
    plain = plainly(wanted, stock, needed)
    for most in (5, 10_000):
        found = combine(wanted, stock, most, needed)
        first, told = plain[:most], found.combinations
        assert found.count == len(plain) and len(told) == len(first)
        assert [len(one.parts) for one in told] == [one[0] for one in first]
        assert [abs(one.error_pct) for one in told] == pytest.approx([one[1] for one in first], abs=1e-6)
        of_told = Counter((one.how, *sorted(part.lot for part in one.parts)) for one in told)
        assert of_told <= Counter((one[2], *sorted(one[3])) for one in plain)  # and as many, so all where none is cut


@given(st.lists(st.tuples(st.integers(1, 40), st.integers(0, 90), st.integers(1, 3)), max_size=9), st.integers(1, 90))
def test_the_number_of_sums_is_that_of_a_plain_loop(rows, low):
    rows.sort()
    x, floor, copies = ([row[at] for row in rows] for at in range(3))
    for size in (2, 3):
        plain = 0
        for which in combinations_with_replacement(range(len(rows)), size):
            total = sum(x[at] for at in which)
            often = all(copies[at] >= number for at, number in Counter(which).items())
            plain += often and low <= total <= low + 20 and all(floor[at] <= total for at in which)
        assert count_sums(Stock.of(x, floor, copies, low + 20), size, low, low + 20) == plain


def test_a_piece_that_is_not_needed_is_left_out():
    """8 mfd does the work of 8 mfd by itself, and 4 + 4 mfd without 0.01 mfd: in parallel they add."""
    wanted = PartFigures("capacitor", 8e6, 20.0, volts=400.0)
    stock = [StockPart(f"L{at}", value, 2, 10.0, volts=450.0) for at, value in enumerate((8e6, 4e6, 1e4))]
    assert combine(wanted, stock).count > 1
    (one,) = combine(wanted, stock, needed=True).combinations
    assert [part.value for part in one.parts] == [4e6, 4e6]


def of_two(*values, kind="capacitor", tolerance=20.0, rating=400.0, quantity=1):
    return [
        replace(StockPart(f"L{at}", value, quantity, tolerance), **{UNIT[kind]: rating})
        for at, value in enumerate(values)
    ]


def test_capacitors_in_series_share_inversely_to_their_capacitance():
    """F. E. Terman, Radio Engineers' Handbook (1943), section 3, from memory: 1 uF and 2 uF in series are 2/3 uF, and
    of 600 V the smaller has 400 V on it."""
    wanted = PartFigures("capacitor", 2e6 / 3, 1.0, volts=600.0)
    (one,) = combine(wanted, of_two(1e6, 2e6)).combinations
    assert one.how == "series" and isclose(one.value, 2e6 / 3) and isclose(one.volts, 600.0)
    assert any("equalizing resistor" in told for told in one.cautions)
    assert not combine(replace(wanted, volts=601.0), of_two(1e6, 2e6)).combinations
    parts = of_two(1e6, 2e6)
    assert isclose(worst_share("capacitor", "series", parts, 0), (1 / 0.8) / (1 / 0.8 + 1 / 2.4))
    assert any("480" in told or "450" in told for told in one.cautions)  # 600 V times three quarters


def test_a_wattage_is_shared_by_resistance_in_series_and_by_conductance_in_parallel():
    """Ohm's law: of 2 W on 90 and 180 ohm in series two thirds heat the larger one; in parallel the smaller one."""
    wanted = PartFigures("resistor", 270.0, 1.0, watts=2.0)
    (one,) = combine(wanted, of_two(90.0, 180.0, kind="resistor", rating=4 / 3)).combinations
    assert one.how == "series" and isclose(one.watts, 2.0)
    assert not combine(wanted, of_two(90.0, 180.0, kind="resistor", rating=1.3)).combinations
    wanted = PartFigures("resistor", 60.0, 1.0, watts=2.0)
    (one,) = combine(wanted, of_two(90.0, 180.0, kind="resistor", rating=4 / 3)).combinations
    assert one.how == "parallel" and isclose(one.watts, 2.0)


def test_a_voltage_across_resistors_is_looked_at_where_their_own_is_known():
    stock = [StockPart("a", 135_000.0, 2, 5.0, volts=350.0, watts=1.0)]
    wanted = PartFigures("resistor", 270_000.0, 5.0, watts=1.0, volts=700.0)
    assert combine(wanted, stock).combinations[0].volts == 700.0
    assert not combine(replace(wanted, volts=701.0), stock).combinations
    assert not combine(wanted, [replace(stock[0], volts=None)]).combinations


def test_a_part_is_taken_as_often_as_there_is_stock_and_not_oftener():
    wanted = PartFigures("resistor", 300.0, 0.0, watts=3.0)
    three = of_two(100.0, kind="resistor", rating=1.0, quantity=3)
    assert [len(one.parts) for one in combine(wanted, three).combinations] == [3]
    assert not combine(wanted, of_two(100.0, kind="resistor", rating=1.0, quantity=2)).combinations


def test_lots_alike_in_all_figures_are_one():
    lots = of_two(135.0, 135.0, kind="resistor", rating=1.0)
    (one,) = combine(PartFigures("resistor", 270.0, 5.0, watts=2.0), lots).combinations
    assert [part.lot for part in one.parts] == ["L0, L1", "L0, L1"]


def test_what_tolerances_make_of_the_value_is_told_and_decides_nothing():
    (one,) = combine(PartFigures("resistor", 270.0, 5.0, watts=2.0), of_two(90.0, 180.0, kind="resistor")).combinations
    assert isclose(one.low, 216.0) and isclose(one.high, 324.0) and one.error_pct == 0
    assert any("216 ohm to 324 ohm" in told for told in one.cautions)
    (unknown,) = combine(
        PartFigures("resistor", 270.0, 5.0, watts=2.0), of_two(90.0, 180.0, kind="resistor", tolerance=None)
    ).combinations
    assert unknown.low is None and "not known" in unknown.cautions[0]


def test_both_ends_of_a_parallel_value():
    parts = of_two(100.0, 100.0, kind="resistor", tolerance=10.0)
    low, high = worst_values("resistor", "parallel", parts)
    assert isclose(low, 45.0) and isclose(high, 55.0)


def test_single_pieces_stand_apart_the_nearest_first():
    found = combine(PartFigures("resistor", 270.0, 5.0, watts=0.5), of_two(260.0, 270.0, 300.0, kind="resistor"))
    assert [one.value for one in found.single] == [270.0, 260.0] and found.count_single == 2


def test_a_long_answer_is_cut_and_says_how_many_more():
    stock = of_two(*range(100, 160), kind="resistor", rating=5.0)
    found = combine(PartFigures("resistor", 250.0, 10.0, watts=2.0), stock, 7)
    assert len(found.combinations) == 7 and found.as_dict()["more"] == found.count - 7 > 100


@pytest.mark.parametrize(
    "wanted",
    [
        PartFigures("knob"),
        PartFigures("resistor"),
        PartFigures("resistor", 0.0),
        PartFigures("resistor", inf),
        PartFigures("resistor", 270.0, 95.0),
        PartFigures("resistor", 270.0, -1.0),
    ],
)
def test_what_cannot_be_combined_is_refused(wanted):
    with pytest.raises(ValueError, match=r"combined|out of range"):
        combine(wanted, [])


def test_an_empty_stock_has_no_answer_and_what_was_not_asked_is_said():
    found = combine(PartFigures("resistor", 270.0), [])
    assert isinstance(found, Combined) and not found.combinations and found.count == 0
    assert any("No power" in told for told in found.remarks) and any("No tolerance" in told for told in found.remarks)
