"""Quantities with the trade's own units. Check values name their source beside them."""

from contextlib import suppress

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tubes.rules.units import (
    LIGHT,
    ON_OLD_DIALS,
    UnitFault,
    parse_frequency_kc,
    parse_quantity,
    registry,
    show_frequency,
    wave,
)


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        # Admiralty Handbook 1938 and A.F.O. 1552/37, as cited at sizes.com/units/jar.htm: 1 uF = 900 jars.
        ("1 jar", "pF", 1111.11111111),
        ("5 jars", "pF", 5555.55555556),
        ("0.002 uF", "jar", 1.8),
        ("1 uF", "jar", 900),
        ("1 jar", "mmf", 1111.11111111),
        # Common practice, no source: names on U.S. drawings for picofarad, microfarad and microsiemens; 1 Mc = 1000 kc.
        ("100 mmf", "pF", 100),
        ("100 mmfd", "pF", 100),
        ("100 uuF", "pF", 100),
        ("0.01 mfd", "pF", 10_000),
        ("8 mfd", "uF", 8),
        ("5000 micromho", "mA/V", 5),
        ("5.2 mA/V", "umho", 5200),
        ("1 Mc", "kc", 1000),
        ("3.720 Mc", "kHz", 3720),
        ("455 kc", "Hz", 455_000),
        ("3.6 megacycles", "kilocycles", 3600),
        (" 3.6Mc ", "MHz", 3.6),
        ("12.6 V", "V", 12.6),
        ("150 mA", "A", 0.15),
        # As parts bear them, in whatever letters (common practice, no source): a megahenry was never wound.
        *((f"50 {unit}", "pF", 50) for unit in ("pf", "uuf", "UUF", "µµf", "μμF", "MMFD", "pfd")),
        *((f"2 {unit}", "uF", 2) for unit in ("uf", "UF", "µfd", "ufd", "mfds", "Microfarads")),
        *((f"2.5 {unit}", "mH", 2.5) for unit in ("mh", "MH", "millihenries")),
        ("5 henries", "H", 5),
        ("2200 nf", "uF", 2.2),
        ("270 OHMS", "ohm", 270),
        ("2 MEGOHMS", "kohm", 2000),
        ("1 KV", "V", 1000),
        ("150 MA", "A", 0.15),
        ("1 mohm", "ohm", 0.001),
    ],
)
def test_quantities(text: str, unit: str, value: float) -> None:
    assert parse_quantity(text, unit) == pytest.approx(value, rel=1e-9)


@pytest.mark.parametrize(
    ("frequency", "metres"),
    [
        # Wavelength in m = 299.792458 / f in Mc: the metre by its definition of 1983 (17th CGPM, resolution 1).
        ("1 Mc", 299.792458),
        ("1000 kc", 299.792458),
        ("3.720 Mc", 80.5893704301),
    ],
)
def test_wavelength_by_the_speed_of_light(frequency: str, metres: float) -> None:
    units = registry()
    wavelength = units.speed_of_light / units.Quantity(parse_quantity(frequency, "Mc"), "Mc")
    assert wavelength.to("m").magnitude == pytest.approx(metres, rel=1e-8)


def test_there_is_one_registry() -> None:
    assert registry() is registry()


@pytest.mark.parametrize(
    "text",
    [
        "",
        "   ",
        "3600",
        "3.6 V",
        "3.6 mc",
        "3.6 xyz",
        "abc",
        "3-5 Mc",
        "nan kc",
        "inf kc",
        "1e400 kc",
        "1/0 kc",
        "(",
        "'",
    ],
)
def test_what_is_no_frequency_is_refused_with_what_was_found_and_expected(text: str) -> None:
    with pytest.raises(UnitFault) as fault:
        parse_quantity(text, "kc")
    assert repr(text) in str(fault.value)
    assert "expected a figure with its unit, such as 3.6 kc" in str(fault.value)


@pytest.mark.parametrize(("text", "kc"), [("3.6 Mc", 3600), ("3600 kc", 3600), ("3.6 MHz", 3600), ("455 kHz", 455)])
def test_frequency(text: str, kc: float) -> None:
    assert parse_frequency_kc(text) == pytest.approx(kc)


@pytest.mark.parametrize("text", ["0 kc", "-3 Mc"])
def test_a_frequency_is_positive(text: str) -> None:
    with pytest.raises(UnitFault, match="expected a positive figure"):
        parse_frequency_kc(text)


@pytest.mark.parametrize(
    ("kc", "shown"), [(None, ""), (455.0, "455 kc"), (999.5, "999.5 kc"), (1000.0, "1 Mc"), (3885.5, "3.8855 Mc")]
)
def test_shown_as_on_a_dial(kc: float | None, shown: str) -> None:
    assert show_frequency(kc) == shown


@settings(max_examples=200, deadline=None, database=None)
@given(st.integers(1, 300_000))
def test_what_is_shown_reads_back(kc: int) -> None:
    assert parse_frequency_kc(show_frequency(float(kc))) == pytest.approx(kc, rel=1e-5)


# --- Texts that a keeper types and that are read as another quantity


def test_a_decimal_comma_is_not_dropped() -> None:
    with suppress(UnitFault):  # refusing it is as good
        assert parse_frequency_kc("3,6 Mc") == pytest.approx(3600)


def test_a_gap_between_figures_does_not_multiply() -> None:
    with suppress(UnitFault):  # refusing it is as good
        assert parse_frequency_kc("3 600 kc") == pytest.approx(3600)


@pytest.mark.parametrize("text", ["kc", "2**3 kc", "3.6 Mc + 5 kc", "3..6 Mc", "2 * 3 kc", "1 Mkc"])
def test_only_one_figure_with_one_unit_is_a_quantity(text: str) -> None:
    with pytest.raises(UnitFault):
        parse_quantity(text, "kc")


@pytest.mark.parametrize("text", ["8 mF", "8 MF"])
def test_mf_on_an_old_drawing_is_never_milli_or_mega(text: str) -> None:
    """On U.S. drawings mf, MF is microfarad (common practice, no source). Reading it so or refusing it is right."""
    with suppress(UnitFault):  # refusing it is as good
        assert parse_quantity(text, "uF") == pytest.approx(8)


@pytest.mark.parametrize(
    ("text", "unit", "value"), [("8 MFD", "uF", 8), ("100 MMF", "pF", 100), ("3885 KC", "kc", 3885)]
)
def test_units_in_capitals_as_drawings_print_them(text: str, unit: str, value: float) -> None:
    """Common practice, no source."""
    assert parse_quantity(text, unit) == pytest.approx(value)


@pytest.mark.parametrize(("kc", "shown"), [(999.99999, "1 Mc"), (12345.678, "12.345678 Mc")])
def test_a_frequency_is_shown_in_full(kc: float, shown: str) -> None:
    assert show_frequency(kc) == shown


def test_cycles_per_second_are_written_out_on_british_plates() -> None:
    """Common practice, no source."""
    assert parse_frequency_kc("3.6 Mc/s") == pytest.approx(3600)
    assert parse_frequency_kc("500 kc/s") == pytest.approx(500)


# L7.10: 299.792458/f in Mc (SI); old dials use 300/f.
@pytest.mark.parametrize(
    ("kc", "product", "metres"),
    [(1000, LIGHT, 299.792458), (3720, LIGHT, 80.5893704301), (3720, ON_OLD_DIALS, 80.6451612903)],
)
def test_wavelengths(kc, product, metres):
    assert wave(kc, product=product) == pytest.approx(metres, abs=1e-8)
    assert wave(metres, product=product) == pytest.approx(kc, rel=1e-11)
