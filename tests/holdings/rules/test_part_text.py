"""Parts in words. Units: laws of the trade (mmf, mfd, jar), IEC 60384-14 (class X and Y); the rest common practice."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.holdings.rules.part_kinds import PartFigures
from inventory.holdings.rules.part_text import PartTextFault, peak_of, read_part


def of(kind, value, **more):
    return PartFigures(kind, value, **more)


@pytest.mark.parametrize(
    ("text", "figures", "place"),
    [
        ("0.01 mfd 400 V bypass", of("capacitor", 10_000.0, volts=400.0), "bypass"),
        ("270 K 1 W 10 %", of("resistor", 270_000.0, watts=1.0, tolerance_pct=10.0), ""),
        ("1/2 W 47 ohms ±5%", of("resistor", 47.0, watts=0.5, tolerance_pct=5.0), ""),
        ("1 Meg grid leak ½ W", of("resistor", 1e6, watts=0.5), "grid leak"),
        ("5 kΩ 10 W wirewound bleeder", of("resistor", 5000.0, watts=10.0, construction="wire-wound"), "bleeder"),
        ("4.7k", of("resistor", 4700.0), ""),
        ("5,6 K", of("resistor", 5600.0), ""),
        ("250 mmf 500V mica tank", of("capacitor", 250.0, volts=500.0, construction="mica"), "tuned circuit"),
        ("250 uuF tuned circuit", of("capacitor", 250.0), "tuned circuit"),
        ("9 jars", of("capacitor", 10_000.0), ""),  # 900 jars are 1 uF: Admiralty Handbook 1938, at sizes.com
        ("0.1 uF 250 V across the mains", of("capacitor", 1e5, volts=250.0), "across the mains"),
        ("0.1 uF X2 275 V", of("capacitor", 1e5, volts=275.0, safety="X2"), ""),
        ("4700 pF class Y mains to chassis", of("capacitor", 4700.0, safety="Y"), "mains to chassis"),
        (
            "8 mfd 450 WVDC electrolytic filter",
            of("capacitor", 8e6, volts=450.0, construction="electrolytic"),
            "filter",
        ),
        ("25 mfd 50 V cathode bypass", of("capacitor", 25e6, volts=50.0), "cathode bypass"),
        ("0.002 uF 3 kV plate blocking", of("capacitor", 2000.0, volts=3000.0), "coupling"),
        ("2.5 mH choke 100 mA", of("choke", 2500.0, amps=0.1), ""),
        ("2.5 mh", of("inductor", 2500.0), ""),
        ("3.885 Mc crystal", of("crystal", 3885.0), ""),
        ("crystal FT-243 3885 kc", of("crystal", 3885.0), ""),
        ("FT-243 7050", of("crystal", 7050.0), ""),
        ("crystal FT-243 8.5", of("crystal", 8500.0), ""),
        ("FT-241-A channel 300", of("crystal", 300 / 0.72), ""),  # L7.12
        ("Ölkondensator 4 mfd 600 V", of("capacitor", 4e6, volts=600.0, construction="paper in oil"), ""),
        ("Papierkondensatoren 0,1 mfd", of("capacitor", 1e5, construction="paper"), ""),
        ("5 A fuse", of("fuse", 5.0), ""),
        ("lamp 6.3 V 150 mA", of("lamp", 6.3, amps=0.15), ""),
        ("relay", of("relay", None), ""),
        ("relay 24 V coil", of("relay", None, volts=24.0), ""),
        ("coil relay 24 V", of("relay", None, volts=24.0), ""),
        ("meter 0-1 mA", of("meter", None), ""),
        ("knob 1/4 in shaft", of("knob", None), ""),
        ("transformer 350-0-350 V 100 mA", of("transformer", None, amps=0.1), ""),
        ("vibrator 6 V 4 pin", of("vibrator", None, volts=6.0), ""),
        ("crystal socket", of("socket", None), ""),
        ("crystal microphone", of("microphone", None), ""),
        ("headset 2000 ohm", of("headset", None), ""),
        ("100 K resistor for a relay", of("resistor", 100_000.0), ""),
        ("key click filter 0.1 mfd 400 V", of("capacitor", 1e5, volts=400.0), "filter"),
        ("4K7 1W", of("resistor", 4700.0, watts=1.0), ""),
        ("1/2 meg 1 W", of("resistor", 500_000.0, watts=1.0), ""),
        ("10,000 OHMS 2W", of("resistor", 10_000.0, watts=2.0), ""),
        ("0.01 uf 400 v", of("capacitor", 10_000.0, volts=400.0), ""),
        ("0.01 mfd, 600 V or more", of("capacitor", 10_000.0, volts=600.0), ""),
        ("100 pf 500 volts DC", of("capacitor", 100.0, volts=500.0), ""),
    ],
)
def test_what_is_read(text, figures, place):
    told = read_part(text)
    assert told.place.key == place
    for name in PartFigures.__slots__:
        read, wanted = getattr(told.figures, name), getattr(figures, name)
        assert read == pytest.approx(wanted) if isinstance(wanted, float) else read == wanted, name


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("0.01 400 V", "'0.01' has no unit"),
        ("470", "'470' has no unit"),
        ("FT-243 45", "'45' has no unit"),
        ("FT-241 channel 95", "'95' has no unit"),
        ("1M", "write K or Meg"),
        ("0.01 mf", "write mfd or uF"),
        ("10 mfd 20 mfd", "two values"),
        ("10 mfd 20 V 30 V", "two voltages"),
        ("10 mfd 20 V 30 VAC", "two voltages"),
        ("10 ohm 0 W", "more than 0"),
        ("-5 ohm", "more than 0"),
        ("1,500 kohm", "can be 1500 or 1.500"),
        (".01 600 V", "'.01' has no unit"),
        ("10 ohm 1/0 W", "no figure"),
        ("10 ohm 150 %", "is no tolerance"),
        ("resistor 10 mfd", "is the value of a capacitor"),
        ("something blue", "what kind of part"),
        ("", "what kind of part"),
        ("x" * 201, "201 letters"),
    ],
)
def test_what_cannot_be_read_is_refused(text, said):
    with pytest.raises(PartTextFault, match=said):
        read_part(text)


def test_words_that_nothing_was_read_from_come_back():
    assert read_part("0.01 mfd Orange for the bypass").left == ("Orange",)
    assert read_part("meter 0-1 mA").left == ("0-1", "mA")
    assert read_part("100 pf 500 volts DC or more").left == ()


def test_an_alternating_voltage_has_its_peak():
    assert math.isclose(peak_of(read_part("0.1 mfd 230 VAC")).figures.volts, 325.3)
    assert math.isclose(peak_of(read_part("0.1 mfd 230 V AC")).figures.volts, 325.3)
    assert math.isclose(peak_of(read_part("0.1 mfd 230 volts a.c.")).figures.volts, 325.3)
    assert peak_of(read_part("0.1 mfd 230 V")).figures.volts == 230


@given(st.text(max_size=60) | st.from_regex(r"\A\d{1,3} ?(mfd|K|V|W|%|A|jar|M|mf) (bypass|filter|X2)?\Z"))
def test_any_text_is_read_or_refused(text):
    try:
        told = read_part(text)
    except PartTextFault:
        return
    assert told.figures.value is None or told.figures.value > 0


def test_inches_are_no_filling_word():
    assert read_part("knob black 1/4 in shaft").left == ("black", "1/4", "in", "shaft")
    assert "in" not in read_part("knob in black").left
