"""Values as parts bear them. Letters for the point: IEC 60062; the rest common practice, no source."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.holdings.rules.part_kinds import kind_by_value, read_value
from inventory.holdings.rules.part_values import in_full
from tubes.rules.units import UnitFault


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("270 K", "resistor", 270_000),
        ("270K ohms", "resistor", 270_000),
        ("2.2 meg", "resistor", 2_200_000),
        ("1/2 Meg", "resistor", 500_000),
        ("2 M ohms", "resistor", 2_000_000),  # with ohms behind it M is no thousand
        ("47R", "resistor", 47),
        ("4K7", "resistor", 4700),
        ("2M2", "resistor", 2_200_000),
        ("4R7", "resistor", 4.7),
        ("10,000 ohms", "resistor", 10_000),
        ("1,000,000 Ω", "resistor", 1_000_000),
        ("0,5 kohm", "resistor", 500),
        ("1e3 ohm", "resistor", 1000),
        ("4n7", "capacitor", 4700),
        ("2µ2", "capacitor", 2_200_000),
        ("5,600 pF", "capacitor", 5600),
        (".01 MFD", "capacitor", 10_000),
        ("50 uuf", "capacitor", 50),
        ("2.5 MH", "inductor", 2500),
        ("10 henries", "inductor", 10_000_000),
    ],
)
def test_a_value_and_its_kind(text, kind, value):
    assert kind_by_value(text) == (kind, pytest.approx(value))


@pytest.mark.parametrize("text", ["1,500 kohm", "1/0 meg", "1 M", "-5 ohm", "0 ohm", "4K7K", "K", "", "½", "5 knobs"])
def test_what_is_no_value(text):
    with pytest.raises(UnitFault):
        kind_by_value(text)


@given(st.integers(1, 999), st.integers(0, 99), st.sampled_from("RKMpnu"))
def test_a_letter_for_the_point_is_the_point(whole, part, letter):
    kind = "resistor" if letter in "RKM" else "capacitor"
    plain = f"{whole}.{part} { {'R': 'ohm', 'K': 'kohm', 'M': 'Mohm', 'u': 'uF'}.get(letter, f'{letter}F') }"
    assert read_value(kind, f"{whole}{letter}{part}") == read_value(kind, plain)


@given(st.text(max_size=30))
def test_any_text_is_written_out_or_refused(text):
    try:
        in_full(text)
    except UnitFault as fault:
        assert "can mean" in str(fault) or "no figure" in str(fault)
