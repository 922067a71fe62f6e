"""Several sections in one can, and what is a fraction. Common practice, no source."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.holdings.rules.lot_text import read_lot, why_unread
from inventory.holdings.rules.part_kinds import PartFigures, sounds_like
from inventory.holdings.rules.part_sections import is_fraction, sections_in
from inventory.holdings.rules.part_text import PartTextFault, read_part


@pytest.mark.parametrize(
    ("text", "uf"),
    [
        ("40/40 mfd 450 V", (40, 40)),
        ("16-16 mfd 450V", (16, 16)),
        ("8 + 8 mfd", (8, 8)),
        ("8 mfd + 16 mfd 350 V", (8, 16)),
        ("50/30/20 uF", (50, 30, 20)),
        ("4/8 mfd", (4, 8)),  # a half would be written 1/2
        ("0.5/0.5 mfd 600 V", (0.5, 0.5)),
        ("3 x .1 mfd", (0.1, 0.1, 0.1)),
        ("2 x 1/2 mfd", (0.5, 0.5)),
    ],
)
def test_sections(text, uf):
    assert sections_in(text)[1] == pytest.approx([one * 1e6 for one in uf])
    with pytest.raises(PartTextFault, match="sections"):
        read_part(text)
    assert read_lot("capacitor", text) is None and "sections" in why_unread("capacitor", text)


@pytest.mark.parametrize(
    "text", ["1/2 mfd", "1/4 mfd 600 V", "8 mfd 450 V", "0-1 mA", "1/2 W", "0 + 0 mfd", "P-0008 - 8 mfd"]
)
def test_no_sections(text):
    assert sections_in(text) is None


@pytest.mark.parametrize(("text", "said"), [
    ("3/30 pF", "range of a trimmer"), ("3-30 mmf trimmer", "range of a trimmer"), ("10/100 K", "two values"),
    ("8 mfd 450/525 V", "two figures"), ("10.000 pF", "can mean 10000 or 10 pF"), ("4.700 ohm", "can mean 4700 or 4.7"),
])  # fmt: skip
def test_two_figures_are_refused(text, said):
    with pytest.raises(PartTextFault, match=said):
        read_part(text)


def test_a_point_that_parts_no_thousands():
    assert read_part("4.75 ohm").figures.value == 4.75 and read_part("3.500 Mc crystal").figures.value == 3500


def test_two_voltages_of_a_transformer_are_words():
    told = read_part("transformer 230/115 V")
    assert told.figures.volts is None and told.left == ("230/115", "V")


@pytest.mark.parametrize(("uf", "sounds"), [(0.1, True), (1.0, False), (0.3, False)])
def test_a_section_goes_by_its_own_value(uf, sounds):
    assert sounds_like(PartFigures("capacitor", uf * 1e6, 10.0), "capacitor 3 x .1 mfd 600 V") is sounds
    assert sounds_like(PartFigures("capacitor", 1e6, 10.0), "capacitor 40/40 mfd 450 V") is False
    assert sounds_like(PartFigures("capacitor", 40e6, 10.0), "capacitor 40/40 mfd 450 V") is True


@given(st.integers(1, 99), st.integers(1, 99), st.sampled_from(["/", "-", " + "]))
def test_two_values_are_never_one(one, other, apart):
    if apart == "/" and is_fraction(one, other):
        return
    assert sections_in(f"{one}{apart}{other} mfd")[1] == pytest.approx((one * 1e6, other * 1e6))


@given(st.text("0123456789./-+x mfdupF", max_size=40))
def test_any_text_has_sections_or_none(text):
    found = sections_in(text)
    assert found is None or (len(found[1]) > 1 and all(one > 0 for one in found[1]))
