"""Polar capacitors never on alternating current; like ratings beside like. Common practice, no source, but class X and
Y by IEC 60384-14."""

import pytest

from inventory.holdings.rules.part_kinds import PartFigures
from inventory.holdings.rules.part_text import read_part
from inventory.holdings.rules.replacement import cares_of, figures_called, fit, may_combine, wanted_of


def cap(value=8e6, volts=450.0, made="electrolytic", **more):
    return PartFigures("capacitor", value, volts=volts, construction=made, **more)


ALTERNATING = (
    "8 mfd 300 VAC", "8 mfd 300 V AC", "8 mfd AC 300 V", "8 mfd 250 V motor run", "8 mfd 250 V for the motor",
    "8 mfd a.c.", "8 mfd across the mains",
)  # fmt: skip


@pytest.mark.parametrize("asked", ALTERNATING)
@pytest.mark.parametrize(
    "part", [cap(), cap(made="dry electrolytic"), cap(made="tantalum"), cap(made=""), cap(words="not for AC")]
)
def test_a_polar_one_is_never_offered_for_alternating_current(asked, part):
    wanted = wanted_of(read_part(asked))
    assert any("on alternating current" in one for one in fit(wanted, part).against)
    assert not may_combine(wanted, part)


@pytest.mark.parametrize(
    "part",
    [
        cap(made="electrolytic, non-polar"),
        cap(marked="300 V AC", volts=300.0),
        cap(words="bipolar"),
        cap(made="polypropylene"),
        cap(made="paper in oil", volts=600.0),
        figures_called(cap(made="can"), "non-polarized electrolytic 8 mfd"),
    ],
)
def test_what_may_stand_there(part):
    assert fit(wanted_of(read_part("8 mfd 300 VAC")), part).against == ()


@pytest.mark.parametrize(
    "asked", ["50 mfd 50 V non-polar", "50 mfd 50 V non polar electrolytic", "bipolar 50 mfd 50 V"]
)
def test_who_asks_for_a_non_polar_one_gets_no_polar_one(asked):
    wanted = wanted_of(read_part(asked))
    assert wanted.figures.volts == 50
    assert any("heats and bursts" in one for one in fit(wanted, cap(50e6, 50.0)).against)
    assert fit(wanted, cap(50e6, 50.0, words="non-polar")).against == ()


def test_direct_current_is_as_it_was():
    wanted = wanted_of(read_part("8 mfd 450 V filter"))
    assert not wanted.alternating and fit(wanted, cap()).against == () and may_combine(wanted, cap())


def test_what_a_lot_is_called_counts():
    assert "electrolytic" in figures_called(cap(made="can"), "electrolytic can").construction
    assert not any("plus and a minus" in care for care in cares_of(cap(marked="NP")))
    assert any("plus and a minus" in care for care in cares_of(cap()))


def test_a_coil_and_a_fuse_go_by_the_effective_value():
    """A relay for 110 V AC works at 110 V; fuses are rated in the effective value (common practice, no source)."""
    assert wanted_of(read_part("relay 110 VAC coil")).figures.volts == 110
    assert wanted_of(read_part("5 A fuse 250 VAC")).figures.volts == 250
    assert wanted_of(read_part("0.01 mfd 230 VAC")).figures.volts == pytest.approx(325.3)


@pytest.mark.parametrize(
    "asked", ["0.0047 mfd class Y2 250 VAC", "4700 pF Y2 250 V", "4700 pF 250 VAC mains to chassis"]
)
def test_class_x_and_y_are_compared_in_the_volts_of_the_mains(asked):
    """Parts of class X and Y are rated in the alternating voltage of the mains (IEC 60384-14)."""
    wanted = wanted_of(read_part(asked))
    assert wanted.figures.volts == 250
    assert fit(wanted, cap(4700.0, 250.0, "ceramic", safety="Y2")).against == ()
    assert fit(wanted, cap(4700.0, 300.0, "ceramic", safety="X1/Y2")).against == ()
    assert any("Unplug" in one for one in wanted.cautions) and any("never a larger" in one for one in wanted.cautions)


def test_class_x_is_cautioned_without_a_word_for_the_place():
    assert any("Unplug" in one for one in wanted_of(read_part("0.1 uF X2 275 VAC")).cautions)
    assert wanted_of(read_part("0.1 uF 400 V")).cautions == ()


@pytest.mark.parametrize(
    ("where", "safety"),
    [("across primary", "X"), ("across the primary", "X"), ("antenna isolation", "Y"), ("line cord", "Y")],
)
def test_words_for_the_mains(where, safety):
    """Class by IEC 60384-14; where a cord alone is named it may lead to the chassis: the safer class."""
    wanted = wanted_of(read_part(f"0.005 mfd {where} 240 V"))
    assert wanted.figures.safety == safety and any("Unplug" in one for one in wanted.cautions)
    assert fit(wanted, cap(5000.0, 600.0, "paper")).against
