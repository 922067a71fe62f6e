"""Marks decoded and encoded again, and any text at all. What must hold is arithmetic; colours are IEC 60062."""

from decimal import Decimal
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.holdings.rules.markings import KINDS, decode, encode, marks_for
from inventory.holdings.rules.markings.designations import FAMILIES
from inventory.holdings.rules.preferred import series

COLOURS = "black brown red orange yellow green blue violet grey white".split()
TIMES = [*COLOURS, "gold", "silver", "pink"]
TOLERANCES = "brown red orange yellow green blue violet grey gold silver".split()
FAILURES = "brown red orange yellow".split()
LETTERS = "BCDFGJKMN"


def comes_back(mark, kind, tables):
    """Whether a mark is among those that its readings are written as, and each of those is read as the same thing."""
    readings = decode(mark, tables, kind).readings
    marks = [encode(one, tables) for one in readings]
    assert mark in marks, (mark, marks)
    for one, written in zip(readings, marks, strict=True):
        again = [(r.value, r.unit, r.tolerance_pct, r.rating) for r in decode(written, tables, kind).readings]
        assert (one.value, one.unit, one.tolerance_pct, one.rating) in again, (mark, written)


@pytest.mark.parametrize("first", COLOURS[1:])
def test_every_resistor_of_three_and_four_bands(tables, first):
    for second, times in product(COLOURS, TIMES):
        comes_back(f"{first} {second} {times}", "resistor-bands", tables)
        tolerance = TOLERANCES[(COLOURS.index(second) + TIMES.index(times)) % len(TOLERANCES)]
        comes_back(f"{first} {second} {times} {tolerance}", "resistor-bands", tables)


BANDS = st.tuples(
    st.sampled_from(COLOURS[1:]), st.sampled_from(COLOURS), st.sampled_from(COLOURS), st.sampled_from(TIMES),
    st.sampled_from(TOLERANCES),
)  # fmt: skip


@given(BANDS, st.sampled_from(["", *COLOURS[:-1]]))
def test_resistors_of_five_and_six_bands(tables, bands, temperature):
    comes_back(" ".join(filter(None, (*bands, temperature))), "resistor-bands", tables)


def test_every_resistor_with_a_failure_rate(tables):
    for first, second, times, last, rate in product(["brown", "white"], COLOURS, TIMES, ["gold", "silver"], FAILURES):
        comes_back(f"{first} {second} {times} {last} {rate}", "resistor-bands", tables)


def test_every_body_end_and_dot(tables):
    for body, end, dot, other in product(COLOURS[1:], COLOURS, COLOURS, ["", " gold", " silver"]):
        comes_back(f"{body} {end} {dot}{other}", "resistor-bed", tables)
    for end in COLOURS[1:]:
        comes_back(f"black {end} black", "resistor-bed", tables)


@given(
    st.sampled_from(["black", "white", "silver"]), st.sampled_from(COLOURS[1:]), st.sampled_from(COLOURS),
    st.sampled_from(["none", *COLOURS[:7]]), st.sampled_from(["none", *TIMES]), st.sampled_from(TIMES),
)  # fmt: skip
def test_six_dots(tables, kind, first, second, characteristic, tolerance, times):
    comes_back(f"{kind} {first} {second} {characteristic} {tolerance} {times}", "mica-dots", tables)


@given(
    st.tuples(st.sampled_from(COLOURS[1:-1]), st.sampled_from(COLOURS), st.sampled_from(COLOURS)),
    st.tuples(*[st.sampled_from(["none", *COLOURS[1:], "gold", "silver"])] * 2, st.sampled_from(TIMES)),
)
def test_six_dots_of_the_older_code(tables, upper, lower):
    comes_back(" ".join((*upper, *lower)), "mica-dots", tables)


def test_three_dots(tables):
    for first, second, times in product(COLOURS[1:-1], COLOURS, TIMES):
        comes_back(f"{first} {second} {times}", "mica-dots", tables)


@given(
    st.sampled_from(["RC07BF", "RC20GF", "RC42BF", "RC99XX", "CM20B", "CM35E", "CM15FD", "RL07S", "CK05BX", "CY10C"]),
    st.one_of(
        st.tuples(st.integers(10, 99), st.integers(0, 9)).map(lambda two: f"{two[0]}{two[1]}"),
        st.tuples(st.integers(1, 9), st.integers(0, 9)).map(lambda two: f"{two[0]}R{two[1]}"),
        st.integers(10, 99).map(lambda two: f"R{two}"),
        st.integers(10, 99).map(lambda two: f"{two}R"),
    ),
    st.sampled_from(LETTERS),
)
def test_designations_with_two_figures(tables, style, value, letter):
    comes_back(f"{style}{value}{letter}", "type-designation", tables)


@given(st.sampled_from(["RCR07G", "CKR05BX"]), st.integers(10, 99), st.integers(0, 9), st.sampled_from("JKM"),
       st.sampled_from(["", *"LMPRS"]))  # fmt: skip
def test_designations_with_a_failure_rate(tables, style, figures, zeros, letter, rate):
    comes_back(f"{style}{figures}{zeros}{letter}{rate}", "type-designation", tables)


@pytest.mark.parametrize("family", FAMILIES, ids=lambda one: one.example)
def test_the_example_of_each_form_of_designation(tables, family):
    comes_back(family.example, "type-designation", tables)


@given(st.integers(0, 99), st.sampled_from("CDJ"), st.sampled_from(["", "O3", "03"]))
def test_designations_that_begin_with_a_nought(tables, figures, letter, behind):
    if figures:
        comes_back(f"CM05CD{figures:02d}0{letter}{behind}", "type-designation", tables)


@given(
    st.sampled_from(["RN55D", "RN65C", "RN80B"]),
    st.one_of(
        st.tuples(st.integers(100, 999), st.integers(0, 9)).map(lambda two: f"{two[0]}{two[1]}"),
        st.tuples(st.integers(100, 999), st.integers(0, 3)).map(
            lambda two: f"{str(two[0])[: two[1]]}R{str(two[0])[two[1] :]}"
        ),
    ),
    st.sampled_from(LETTERS),
)
def test_designations_with_three_figures(tables, style, value, letter):
    comes_back(f"{style}{value}{letter}", "type-designation", tables)


@given(
    st.integers(1, 9999).map(str).filter(lambda text: not text.endswith("0000")),
    st.integers(0, 4),
    st.sampled_from("RKMGTEpnu"),
    st.sampled_from(["", *LETTERS]),
)
def test_codes_with_a_letter_for_the_point(tables, figures, at, letter, tolerance):
    whole, part = figures[:at], figures[at:]
    comes_back(f"{whole}{letter}{part}{tolerance}", "value-code", tables)


@given(st.integers(10, 999), st.integers(0, 7), st.sampled_from(["", *LETTERS]))
def test_codes_of_figures_and_zeros(tables, figures, zeros, tolerance):
    comes_back(f"{figures}{zeros}{tolerance}", "value-code", tables)


@given(st.integers(10, 99), st.sampled_from("89"), st.sampled_from(["", *LETTERS]))
def test_codes_with_eight_and_nine_for_a_fraction(tables, figures, times, tolerance):
    comes_back(f"{figures}{times}{tolerance}", "value-code", tables)


@given(st.integers(1, 99_999), st.sampled_from(["", *LETTERS]))
def test_decimal_figures_of_microfarads(tables, figures, tolerance):
    comes_back(f".{figures:05d}{tolerance}", "value-code", tables)


def test_every_channel_and_every_gauge(tables):
    for channel in (*range(80), *range(270, 390)):
        comes_back(f"FT-241 channel {channel}", "crystal", tables)
    for number in ("0000", "000", "00", "0", *range(1, 57)):
        comes_back(f"AWG {number}", "wire", tables)
    for gauge, number in tables.gauges:
        comes_back(f"{gauge} {number}", "wire", tables)


@given(st.integers(1000, 20_000))
def test_crystals_in_kc(tables, kc):
    for holder in ("FT-243", "FT-171-B", "CR-18/U", "CR-1A/AR", "HC-6/U"):
        comes_back(f"{holder} {kc}", "crystal", tables)
    comes_back(f"{kc} kc", "crystal", tables)


@given(st.decimals(10, 2000, places=2).map(float))
def test_crystals_in_metres(tables, metres):
    comes_back(f"{metres:g} m", "crystal", tables)


@pytest.mark.parametrize(("number", "tolerance"), [(6, "20"), (12, "10"), (24, "5"), (24, "2"), (96, "1")])
def test_every_preferred_value_as_marks_and_back(tables, number, tolerance):
    """A value encoded in every code that can say it, and decoded from each: the same value and tolerance."""
    for figure, power in product(series(number), range(-1, 8)):
        value = figure.scaleb(power)
        marks = marks_for(value, "ohm", Decimal(tolerance), tables)
        assert len(marks) >= (2 if number < 48 else 1), value
        for _, mark in marks:
            again = {(one.value, one.tolerance_pct) for one in decode(mark, tables).readings if one.unit == "ohm"}
            assert (value, Decimal(tolerance)) in again, (value, mark)


@given(st.integers(10, 99), st.integers(0, 6), st.sampled_from([None, 5, 10, 20]))
def test_capacitors_as_marks_and_back(tables, figures, power, tolerance):
    value, per_cent = Decimal(figures).scaleb(power), None if tolerance is None else Decimal(tolerance)
    marks = marks_for(value, "pF", per_cent, tables)
    assert {words for words, _ in marks} == {"letter code", "figures and zeros"}
    for _, mark in marks:
        again = {(one.value, one.tolerance_pct) for one in decode(mark, tables).readings if one.unit == "pF"}
        assert (value, per_cent) in again, (value, mark)


PIECES = st.sampled_from(
    [*TIMES, "none", "-", "–", ",", "/", "body", "end", "dot", "top", "bottom", "RC20", "BF", "FT-241", "channel",
     "CM", "AWG", "SWG", "#", "4/0", "K", "R", "k", "p", "n", "mfd", "ohm", "%", "103", "4", "7", ".", "0", "½", "µ"]
)  # fmt: skip


@given(
    st.one_of(
        st.text(max_size=130), st.lists(PIECES, max_size=9).map(" ".join), st.lists(PIECES, max_size=6).map("".join)
    ),
    st.sampled_from([None, *KINDS]),
)
def test_any_text_has_an_answer_or_is_refused_as_a_value(tables, text, kind):
    try:
        found = decode(text, tables, kind)
    except ValueError:
        return
    assert found.readings or found.warnings
    assert decode(text, tables, kind) == found
    for one in found.readings:
        assert kind in (None, one.kind) and (one.value is None or one.value > 0)
        shown = one.as_dict()
        assert isinstance(shown["value"], (int, float, type(None)))
        written = encode(one, tables)
        again = decode(written, tables, one.kind).readings
        assert any((r.value, r.unit) == (one.value, one.unit) for r in again), (text, written)
