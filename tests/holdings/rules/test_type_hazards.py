"""What a type is taken to bear by its kind, its note and its highest voltage, under any of its names.

TR and gap tubes: isotopes at carlwillis.wordpress.com/tag/radioactive. X-rays: negligible below about 10 kV (Amps list,
March 2001; ECA TEP 173, 1970). Implosion: bvws.org.uk/405alive/tech/safety.html. The rest: from memory.
"""

import pytest

from inventory.holdings.rules.type_hazards import Stated, house_number, of_type, stamps_in


def told(name, *under):
    return {one.hazard for one in of_type(name, under)}


@pytest.mark.parametrize(
    ("kind", "note", "volts", "hazards"),
    [
        ("tr-tube", "3 cm band", None, {"radioactive"}),
        ("spark-gap", "", None, {"radioactive"}),
        ("", "handle as possibly radioactive until checked", None, {"radioactive"}),
        ("gas-regulator", "regulates about 150 V", None, {"radioactive"}),  # from memory
        ("crt", "3 inch", None, {"implosion", "high voltage"}),
        ("thyratron", "mercury vapour; contains mercury", None, {"mercury"}),
        ("thyratron", "hydrogen; peak forward 8 kV", 8000, set()),
        ("thyratron", "xenon, no mercury", None, set()),
        ("rectifier", "unlike the mercury type", None, set()),  # of rectifiers ``mercury`` says it
        ("rectifier", "peak inverse 40 kV; X-ray caution at high voltage", None, {"X-rays"}),
        ("rectifier", "", 12_500, {"X-rays"}),
        ("rectifier", "", 10_000, set()),
        ("triode", "ceramic-metal; do not grind ceramic unless it is free of beryllia", None, {"beryllia"}),
        ("tetrode", "ceramic, external anode", None, {"beryllia"}),  # from memory
        ("triode", "ceramic base; RF triode, 2000 V on the plate", None, set()),
    ],
)
def test_by_kind_note_and_voltage(kind, note, volts, hazards):
    assert told("ZX1", Stated("ZX1", "", kind, note, volts)) == hazards


def test_what_the_same_tube_states_under_another_name_counts():
    (one,) = of_type("DY86", [Stated("DY86"), Stated("1S2", kind="rectifier", volts=22_000)])
    assert one.text == "1S2 (the same tube as DY86) is rated for 22000 V: X-rays where it is used above 10 kV"
    under = Stated("ZX2"), Stated("866A", "Mercury vapour: keep upright")
    assert told("ZX2", *under) == {"mercury"}


def test_what_its_own_caution_names_is_told_by_that_alone():
    assert told("866A", Stated("866A", "Mercury vapour: keep upright"), Stated("866A", mercury=True)) == set()
    (one,) = of_type("FG-17", [Stated("FG-17", kind="thyratron", note="mercury vapour")])
    assert one.text == "FG-17 is a mercury thyratron by its figures"


@pytest.mark.parametrize(
    ("kind", "note", "hazards"),
    [
        ("gas-rectifier", "xenon, without mercury", set()), ("gas-rectifier", "mercury-free", set()),
        ("", "mercury vapor rectifier", {"mercury"}), ("gas-rectifier", "no mercury test known", {"mercury"}),
    ],
)  # fmt: skip
def test_a_denial_in_a_note_is_read_as_everywhere(kind, note, hazards):
    """Common practice, no source."""
    assert told("ZX1", Stated("ZX1", "", kind, note)) == hazards


def test_what_is_said_beside_a_designation_counts():
    assert told("ZX1", Stated("ZX1", said="other base; mercury vapor: scrap with care")) == {"mercury"}
    assert told("ZX1", Stated("ZX1", said="xenon instead of mercury vapor")) == set()


@pytest.mark.parametrize(
    ("name", "number"), [("WE-705A", "705A"), ("RK34", ""), ("HK24G", "24G"), ("866A", ""), ("WE-39DY1", "")]
)
def test_the_number_of_a_maker_without_its_letters(name, number):
    """Common practice, no source: many tubes bear the number alone."""
    assert house_number(name) == number
    assert "705A" in stamps_in("JAN 705-A") and "705A" in stamps_in("705 A")
