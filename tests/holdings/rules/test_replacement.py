"""May this part sit there. IEC 60384-14 for class X and Y; rules of replacement of laws of the trade; else common
practice, no source."""

import pytest

from inventory.holdings.rules.part_kinds import PartFigures, is_of_class
from inventory.holdings.rules.part_text import read_part
from inventory.holdings.rules.replacement import fit, may_combine, wanted_of


def cap(value=10_000.0, volts=600.0, made="", **more):
    return PartFigures("capacitor", value, volts=volts, construction=made, **more)


@pytest.mark.parametrize(
    ("asked", "part", "against"),
    [
        # working voltage at least the original's
        ("0.01 mfd 400 V bypass", cap(made="polyester"), ""),
        ("0.01 mfd 400 V bypass", cap(volts=200.0, made="polyester"), "rated for 200 V; at least 400 V is asked"),
        ("0.01 mfd 400 V bypass", cap(volts=None, made="polyester"), "rating in V not known; at least 400 V"),
        # value inside the tolerance, as given or as taken
        ("0.01 mfd 400 V bypass", cap(9_000.0, made="mica"), ""),
        ("0.01 mfd 400 V 5 % bypass", cap(9_000.0, made="mica", tolerance_pct=5.0), "within 5 % is asked"),
        ("0.01 mfd 400 V 5 % bypass", cap(made="mica", tolerance_pct=10.0), "tolerance 10 %; 5 % is asked"),
        # a higher wattage may always replace a lower
        ("270 K 1 W", PartFigures("resistor", 270_000.0, watts=2.0), ""),
        ("270 K 1 W", PartFigures("resistor", 270_000.0, watts=0.5), "rated for 0.5 W; at least 1 W is asked"),
        # the making must fit the place
        ("250 mmf 500 V tuned circuit", cap(250.0, made="silver mica"), ""),
        ("250 mmf 500 V tuned circuit", cap(250.0, made="NPO"), ""),
        ("250 mmf 500 V tuned circuit", cap(250.0, made="paper"), "paper in a tuned circuit"),
        ("250 mmf 500 V tuned circuit", cap(250.0, made="ceramic"), "known to be NP0"),
        ("250 mmf 500 V tuned circuit", cap(250.0), "construction not known"),
        ("0.01 mfd 400 V coupling", cap(made="electrolytic"), "polarized"),
        ("8 mfd 450 V filter", cap(8e6, made="electrolytic"), ""),
        ("0.01 mfd 400 V mica", cap(made="paper"), "mica is asked"),
        # class X across the mains, class Y from the mains to the chassis
        ("0.1 mfd 250 V across the mains", cap(1e5, 275.0, "polypropylene", safety="X2"), ""),
        ("0.1 mfd 250 V across the mains", cap(1e5, 1000.0, "polypropylene"), "of no safety class"),
        ("0.01 mfd 250 V mains to chassis", cap(1e4, 300.0, "ceramic", safety="Y2"), ""),
        ("0.01 mfd 250 V mains to chassis", cap(1e4, 300.0, "polypropylene", safety="X2"), "class X2; class Y"),
        ("0.01 mfd 250 V Y1", cap(1e4, 300.0, "ceramic", safety="Y2"), "class Y2; class Y1"),
        # class Y bears more than class X and may stand across the mains; it is rated for 1000 V AC at most
        ("0.01 mfd 250 V across the mains", cap(1e4, 300.0, "ceramic", safety="Y2"), ""),
        ("0.01 mfd 250 V X2", cap(1e4, 300.0, "ceramic", safety="Y1"), ""),
        ("0.01 mfd 250 V across the mains", cap(1e4, 200.0, "ceramic", safety="Y2"), "rated for 200 V; at least 250"),
        ("0.01 mfd 250 V across the mains", cap(1e4, 300.0, "ceramic", safety="Y3"), "class Y3; class X"),
        ("0.01 mfd 250 V mains to chassis", cap(1e4, 2000.0, "ceramic", safety="Y1"), "2000 V is no mains rating"),
        # class Y: its current goes through whoever touches the chassis, so none larger (no source)
        ("0.004 mfd mains to chassis", cap(4700.0, 300.0, "ceramic", safety="Y2"), "class Y is never larger"),
        ("0.004 mfd 20 % Y2", cap(4700.0, 300.0, "ceramic", safety="Y2", tolerance_pct=10.0), "never larger"),
        ("0.005 mfd mains to chassis", cap(4700.0, 300.0, "ceramic", safety="Y2"), ""),
        ("0.004 mfd across the mains", cap(4700.0, 300.0, "polypropylene", safety="X2"), ""),
        ("5 A fuse", PartFigures("fuse", 6.0), "5 A is asked"),
        # a crystal lies within 0.02 % (from memory); FT-241 channel 45: L7.12's formula
        ("453.7 kc crystal", PartFigures("crystal", 453.703704), ""),
        ("FT-241 channel 45", PartFigures("crystal", 453.703704), ""),
        ("FT-243 7050", PartFigures("crystal", 7051.0), ""),
        ("FT-243 7050", PartFigures("crystal", 7052.0), "7050 kc within 0.02 % is asked"),
        ("7050 kc 0.005 % crystal", PartFigures("crystal", 7051.0, 0.005), "within 0.005 %"),
        ("0.01 mfd", PartFigures("resistor", 10_000.0), "no capacitor"),
    ],
)
def test_what_speaks_against_a_part(asked, part, against):
    found = fit(wanted_of(read_part(asked)), part)
    assert bool(found.against) == bool(against) and against in "; ".join(found.against)


@pytest.mark.parametrize(
    ("has", "wanted", "is_it"),
    [
        ("X1", "X2", True),
        ("X2", "X1", False),
        ("X1/Y2", "Y2", True),
        ("X1Y2", "Y", True),
        ("Y2", "X", False),
        ("", "X", False),
    ],
)
def test_a_class(has, wanted, is_it):
    assert is_of_class(has, wanted) is is_it


def test_old_stock_is_told_apart():
    wanted = wanted_of(read_part("0.01 mfd 400 V coupling"))
    assert any("insulation" in care for care in fit(wanted, cap(made="paper")).cares)
    assert any("lifts the next grid" in care for care in fit(wanted, cap(made="paper")).cares)
    assert any("PCB" in care for care in fit(wanted, cap(made="oil-filled")).cares)
    filtered = wanted_of(read_part("8 mfd 450 V filter"))
    assert any("plus and a minus" in care for care in fit(filtered, cap(8e6, made="electrolytic")).cares)
    assert any("not known" in care for care in fit(filtered, cap(8e6)).cares)


def test_what_speaks_for_it_is_said_figure_by_figure():
    found = fit(wanted_of(read_part("0.01 mfd 400 V bypass")), cap(10_000.0, made="mica"))
    assert found.why == ("0.01 mfd: the very value", "rated for 600 V, 400 V asked")


def test_what_was_taken_for_granted_is_said():
    told = wanted_of(read_part("0.01 mfd bypass, Blue"))
    assert told.assumed and told.figures.tolerance_pct == 20
    for word in ("Nothing was read from: Blue", "No tolerance was given; bypass", "No voltage was given"):
        assert any(word in remark for remark in told.remarks)
    assert any("peak of 325.3 V" in one for one in wanted_of(read_part("0.01 mfd 230 VAC")).remarks)
    assert any("not rated in W" in one for one in wanted_of(read_part("0.01 mfd 2 W")).remarks)
    mains = wanted_of(read_part("0.1 mfd across the mains"))
    assert mains.figures.safety == "X" and any("compare it with your mains" in one for one in mains.remarks)
    assert mains.place.cautions


def test_what_is_taken_of_a_crystal_is_said():
    told = wanted_of(read_part("FT-243 7050"))
    assert "taken as 7050 kc" in told.remarks[0] and any("0.02 %" in one for one in told.remarks)
    assert "1 kc off" in fit(told, PartFigures("crystal", 7051.0)).cares[0]


def test_a_class_y_part_across_the_mains_is_told():
    found = fit(wanted_of(read_part("0.01 mfd 250 V across the mains")), cap(1e4, 300.0, "ceramic", safety="Y2"))
    assert "class Y2 where class X is asked" in found.cares[0] and "from memory" in found.cares[0]


def test_parts_at_the_mains_are_never_put_together():
    assert not may_combine(wanted_of(read_part("0.1 mfd 250 V across the mains")), cap(safety="X2"))
    assert may_combine(wanted_of(read_part("0.1 mfd 250 V bypass")), cap(made="mica"))
    assert not may_combine(wanted_of(read_part("0.1 mfd 250 V bypass")), cap(made="electrolytic"))
