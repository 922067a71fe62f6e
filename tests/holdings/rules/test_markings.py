"""Marks on parts and what they mean. Numbers L7.x stand for worked examples; the source of each stands beside it."""

from decimal import Decimal
from itertools import pairwise

import pytest

from inventory.holdings.rules.markings import KINDS, LONGEST, decode, encode


@pytest.fixture(scope="module")
def read(tables):
    """``read("4K7")``: its readings as (value, unit, per cent, rating), in order; with a kind in that kind alone."""

    def told(text, kind=None):
        found = decode(text, tables, kind).as_dict()["readings"]
        return [(one["value"], one["unit"], one["tolerance_pct"], one["rating"]) for one in found]

    return told


@pytest.fixture(scope="module")
def said(tables):
    """The warnings on a text, as one."""
    return lambda text, kind=None: " ".join(decode(text, tables, kind).warnings)


# --- bands --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        "yellow violet orange silver",
        "YELLOW VIOLET ORANGE SILVER",
        "yellow, violet, orange, silver",
        "yellow/violet/orange/silver",
        "yellow-violet-orange-silver",
        "yellow – violet – orange – silver",
        "Yellow, Violet / Orange – Silver",
        "yel vio org sil",
        "YE VT OG SR",  # two-letter codes of IEC 60757, from memory
        "bands: yellow purple orange silver",
    ],
)
def test_four_bands_however_written(read, text):
    """L7.3 (idea2ic.com, RESISTOR_MARKINGS): 47 kohm, 10 %."""
    assert read(text, "resistor-bands") == [(47000, "ohm", 10, None)]


@pytest.mark.parametrize(
    ("text", "value", "per_cent"),
    [
        # figures, multiplier, tolerance: idea2ic.com, RESISTOR_MARKINGS
        ("brown black gold gold", 1, 5),
        ("yellow violet silver silver", 0.47, 10),
        ("green blue gold gold", 5.6, 5),
        ("grey red brown gold", 820, 5),
        ("gray red brown gold", 820, 5),
        ("red violet white gold", 27_000_000_000, 5),
        ("yellow violet orange none", 47000, 20),
        ("yellow violet orange -", 47000, 20),
        ("yellow violet orange no band", 47000, 20),
        ("yellow white white silver brown", 4.99, 1),
        ("red red pink silver", 0.022, 10),  # IEC 60062 of 2016, from memory
        ("pur grn brn gld", 750, 5),
        ("or or blk", 33, 20),
        ("red black black orange green", 200_000, 0.5),
        ("red black black orange violet", 200_000, 0.1),
    ],
)
def test_bands(read, text, value, per_cent):
    assert read(text, "resistor-bands")[0][:3] == (value, "ohm", per_cent)


def test_a_fraction_of_an_ohm_is_exact(tables):
    found = decode("yellow violet silver gold", tables).as_dict()["readings"][0]
    assert repr(found["value"]) == "0.47" and repr(found["tolerance_pct"]) == "5"


def test_bands_that_are_readable_from_both_ends_have_both_readings(read, said):
    assert read("brown black red red", "resistor-bands") == [(1000, "ohm", 2, None), (22, "ohm", 1, None)]
    assert "from either end" in said("brown black red red")
    assert read("brown black red brown", "resistor-bands") == [(1000, "ohm", 1, None), (12, "ohm", 1, None)]
    assert read("red red red red", "resistor-bands") == [(2200, "ohm", 2, None)]  # the same from both


def test_bands_written_from_the_wrong_end(read, said):
    assert read("silver orange violet yellow", "resistor-bands") == [(47000, "ohm", 10, None)]
    assert "silver is no figure" in said("silver orange violet yellow", "resistor-bands")


def test_a_sixth_band_is_the_temperature_coefficient(tables, read):
    """From memory (IEC 60062): red 50 ppm/K."""
    found = decode("brown black black red brown red", tables, "resistor-bands").readings
    assert [one.value for one in found] == [10000] and "50 ppm/K" in found[0].notes[0]


def test_a_fifth_band_behind_gold_can_be_a_failure_rate(read):
    """From memory (MIL-R-39008): tolerance, then brown for 1 % in 1000 hours; by IEC 60062 it is 10.2 ohm, 1 %."""
    found = read("brown black red gold brown", "resistor-bands")
    assert found == [(10.2, "ohm", 1, None), (1000, "ohm", 5, None)]


def test_tolerances_that_are_disputed_have_a_reading_each(read):
    """Grey and yellow: editions of IEC 60062, and high-voltage resistors without metal in their paint (from memory)."""
    assert [one[2] for one in read("green blue gold grey", "resistor-bands")] == [0.05, 10, 0.01]
    assert [one[2] for one in read("green blue gold yellow", "resistor-bands")] == [5, 0.02]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("dk blue red red gold", "'dk' is no shade of the code"),
        ("yelow violet orange silver", "did you mean yellow?"),
        ("br bl gr gd", "'br' is no colour"),  # brown; black or blue; green or grey
        ("red violet", "expected 3 to 6 bands"),
        ("red red red red red red red", "expected 3 to 6 bands"),
        ("black brown red gold", "first figure cannot be black"),
        ("gold gold gold gold", "gold is no figure"),
        ("red 4 violet gold", "'4' is no colour"),
        ("brown none red gold", "none is no figure"),
        ("green black - silver", "none is no multiplier"),  # a dash between some colours alone is a place left blank
    ],
)
def test_bands_that_are_no_marking(read, said, text, words):
    assert read(text, "resistor-bands") == [] and words in said(text, "resistor-bands")


# --- body, end, dot -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text", ["green black yellow", "body green, end black, dot yellow", "dot yellow; body green; tip black"]
)
def test_body_end_and_dot(read, tables, text):
    """L7.5 (Heathkit T-2 manual): 500 kohm, which is no preferred value and is accepted."""
    assert read(text, "resistor-bed") == [(500_000, "ohm", 20, None)]
    assert "No preferred value" in decode(text, tables, "resistor-bed").readings[0].notes[0]


@pytest.mark.parametrize(
    ("text", "value", "per_cent"),
    [
        # the opposite end as tolerance: from memory
        ("red red orange gold", 22_000, 5),
        ("red violet black silver", 27, 10),
        ("body brown, end black, dot red, other end gold", 1000, 5),
        ("red red orange red", 22_000, 20),  # the opposite end in the colour of the body is none
        ("red red none", 2200, 20),  # a dot in the colour of the body is not seen; common practice, no source
        ("green black - silver", 5_000_000, 10),
        ("body green end black dot yellow end gold", 500_000, 5),
        ("body green, end black, dot yellow, tip silver", 500_000, 10),
        ("black green black", 5, 20),  # below 10 ohm, from memory
    ],
)
def test_body_end_and_dot_with_an_opposite_end(read, text, value, per_cent):
    assert read(text, "resistor-bed") == [(value, "ohm", per_cent, None)]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("green black", "expected BODY END DOT"),
        ("red red red gold gold", "expected BODY END DOT"),
        ("gold black red", "gold is no figure"),
        ("green black gold", "no number of zeros"),
        ("green black yellow blue", "expected gold, silver or none"),
        ("body green, end black", "expected BODY END DOT"),
        ("body green, body black, dot red", "expected BODY END DOT"),
        ("black green red", "first figure cannot be black"),
    ],
)
def test_what_is_no_body_end_and_dot(read, said, text, words):
    assert read(text, "resistor-bed") == [] and words in said(text, "resistor-bed")


# --- six dots -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text", ["black green brown red yellow black", "top black green brown; bottom red yellow black"]
)
def test_six_dots_with_a_tolerance_that_is_not_standard(read, said, tables, text):
    """L7.7 (R. Downs, arc5 August 2013): 51 pF, AWS mica, characteristic C; that yellow is 4 % is said there alone."""
    assert read(text) == [(51, "pF", None, "500 V"), (51, "pF", 4, "500 V")]
    assert "Yellow in the place of the tolerance is not standard" in said(text)
    assert "JAN/AWS mica, characteristic C" in decode(text, tables).readings[0].notes[0]


@pytest.mark.parametrize(
    "text",
    [
        "top white brown red; bottom –, red, red",
        "white brown red - red red",
        "white brown red none red red",
        "bottom none red red top white brown red",
    ],
)
def test_six_dots_without_a_characteristic(read, said, text):
    """L7.8 (R. Downs and OD1647): 1200 pF, 2 %."""
    assert read(text, "mica-dots") == [(1200, "pF", 2, None)] and said(text, "mica-dots") == ""


def test_blue_as_tolerance_is_disputed(read, said):
    """L7.8: OD1647 has 2 %, the list post does not define it: both come back, and it is said."""
    assert [one[2] for one in read("white brown red none blue red")] == [None, 2]
    assert "Blue in the place of the tolerance is not standard" in said("white brown red none blue red")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # ratings of AWS mica by value: R. Downs, arc5 August 2013; tolerances but red from memory
        ("black blue violet red gold red", (6700, "pF", 5, "500 V")),
        ("black blue grey red gold red", (6800, "pF", 5, "300 V")),
        ("black brown black red gold orange", (10_000, "pF", 5, "300 V")),
        ("black brown brown red gold orange", (11_000, "pF", 5, None)),
        ("silver brown black red silver orange", (10_000, "pF", 10, None)),
        ("black blue grey red black black", (68, "pF", 20, "500 V")),
    ],
)
def test_six_dots(read, text, expected):
    assert read(text, "mica-dots") == [expected]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # the older RMA code, from memory: three figures, then voltage, tolerance, multiplier; three dots 500 V, 20 %
        ("green brown black red gold brown", (5100, "pF", 5, "200 V")),
        ("red green black none none black", (250, "pF", 20, "500 V")),
        ("top brown black black bottom orange silver brown", (1000, "pF", 10, "300 V")),
        ("red green brown", (250, "pF", 20, "500 V")),
    ],
)
def test_dots_of_the_older_code(read, said, text, expected):
    assert read(text, "mica-dots") == [expected] and "older RMA code" in said(text, "mica-dots")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("red green brown red", "expected six"),
        ("brown green brown black red red", "black is no voltage"),
        ("black black green red red red", "first figure cannot be black"),
        ("top black green brown red yellow black", "three colours after top"),
    ],
)
def test_dots_that_are_not_read(read, said, text, words):
    """What no code explains is told, never guessed."""
    assert read(text, "mica-dots") == [] and words in said(text, "mica-dots")


def test_three_colours_are_told_to_be_a_capacitor_perhaps(read, said):
    assert {one[0] for one in read("red green brown")} == {250, 1500}
    assert "capacitor with three dots" in said("red green brown")


# --- type designations --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # L7.4; JAN-R-11 and JAN-C-5 from memory
        ("RC20BF103K", (10_000, "ohm", 10, "0.5 W")),
        ("CM20B103K", (10_000, "pF", 10, None)),
        ("rc 20 bf 103 k", (10_000, "ohm", 10, "0.5 W")),
        ("RC-07-GF-4R7-J", (4.7, "ohm", 5, "0.25 W")),
        ("RC32BF222M", (2200, "ohm", 20, "1 W")),
        ("RC42BF225K", (2_200_000, "ohm", 10, "2 W")),
        ("RC21BF103K", (10_000, "ohm", 10, None)),
        # L7.6; MIL-R-10509F: tolerances B and C read, D and F from memory
        ("RN65C1002F", (10_000, "ohm", 1, "0.25 W")),
        ("RN65C49R9F", (49.9, "ohm", 1, "0.25 W")),
        ("RN70B1003B", (100_000, "ohm", 0.1, None)),
        ("RN60D4R99C", (4.99, "ohm", 0.25, "0.25 W")),
        ("CM30E511J", (510, "pF", 5, None)),
        # newer forms, all from memory: MIL-R-39008, 39017, 55182, 22684, 26, 93; MIL-C-5, 11015, 39014, 20, 11272
        ("RCR20G102JS", (1000, "ohm", 5, "0.5 W")),
        ("RCR07G4R7KM", (4.7, "ohm", 10, "0.25 W")),
        ("RLR07C1001GR", (1000, "ohm", 2, "0.25 W")),
        ("RNC55H1001FS", (1000, "ohm", 1, None)),
        ("RL07S102J", (1000, "ohm", 5, "0.25 W")),
        ("RW67V101", (100, "ohm", None, None)),
        ("RB52CE10001B", (10_000, "ohm", 0.1, None)),
        ("CM15FD101J03", (100, "pF", 5, "500 V")),
        ("CM15FD101J", (100, "pF", 5, "500 V")),
        ("CM05CD050D03", (5, "pF", 10, "500 V")),  # D is 0.5 pF below 10 pF
        ("CK05BX104K", (100_000, "pF", 10, None)),
        ("CKR05BX104KS", (100_000, "pF", 10, None)),
        ("CC20CH100J", (10, "pF", 5, None)),
        ("CY10C101J", (100, "pF", 5, None)),
    ],
)
def test_type_designations(read, text, expected):
    assert read(text) == [expected] == read(text, "type-designation")


@pytest.mark.parametrize("text", ["CP53B1EF504K", "CN35E103K", "CP40", "CN", "CE31C400"])
def test_of_paper_capacitors_the_style_alone_is_read(read, said, text):
    assert read(text) == [(None, "pF", None, None)] and "style alone" in said(text)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("RC20BF1O3K", "letter O"),
        ("RC20BF103", "RC20BF103K"),
        ("RC20BF103X", "no tolerance letter"),
        ("RC20BF003K", "cannot be 0"),
        ("RN65C103F", "RN65C1002F"),
        ("CM20B1002K", "CM20B103K"),
        ("XY12", "expected such as"),
    ],
)
def test_designations_that_are_none(read, said, text, words):
    assert read(text, "type-designation") == [] and words in said(text, "type-designation")


# --- value codes --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # RKM (wonilvalve.com, copy of an encyclopaedia article): R47, 4K7, 4M7; letters from memory, universal
        ("R47", (0.47, "ohm", None, None)),
        ("4K7", (4700, "ohm", None, None)),
        ("4k7", (4700, "ohm", None, None)),
        ("4M7", (4_700_000, "ohm", None, None)),
        ("49R9", (49.9, "ohm", None, None)),  # L7.6
        ("2k2J", (2200, "ohm", 5, None)),
        ("2K2 J", (2200, "ohm", 5, None)),
        ("R10F", (0.1, "ohm", 1, None)),
        ("47R", (47, "ohm", None, None)),
        ("47Ω", (47, "ohm", None, None)),
        ("1M0G", (1_000_000, "ohm", 2, None)),
        ("10M", (10_000_000, "ohm", None, None)),
        ("470K", (470_000, "ohm", None, None)),
        ("4.7k", (4700, "ohm", None, None)),
        ("4,7k", (4700, "ohm", None, None)),
        ("4n7", (4700, "pF", None, None)),  # from memory
        ("p47", (0.47, "pF", None, None)),
        ("47p", (47, "pF", None, None)),
        ("4µ7", (4_700_000, "pF", None, None)),
        ("4n7K", (4700, "pF", 10, None)),
        ("103K", (10_000, "pF", 10, None)),
        ("104M", (100_000, "pF", 20, None)),
        ("1002", (10_000, "ohm", None, None)),
        ("1002F", (10_000, "ohm", 1, None)),
        # common practice, no source: values printed in full, non-preferred ones as well
        ("250 k", (250_000, "ohm", None, None)),
        ("500 k", (500_000, "ohm", None, None)),
        ("250K", (250_000, "ohm", None, None)),
        ("1/2 meg", (500_000, "ohm", None, None)),
        ("½ meg", (500_000, "ohm", None, None)),
        ("2 megohms", (2_000_000, "ohm", None, None)),
        ("270 ohm 1/2 W", (270, "ohm", None, "0.5 W")),
        ("0.01 mfd", (10_000, "pF", None, None)),
        (".01", (10_000, "pF", None, None)),
        ("0,05", (50_000, "pF", None, None)),
        ("0.05 uF ±20% 400 V", (50_000, "pF", 20, "400 V")),
        ("8 MF 450 VDC", (8_000_000, "pF", None, "450 V")),  # mf is never milli on U.S. drawings
        ("0.1 MFD 400 V 10%", (100_000, "pF", 10, "400 V")),
        ("500 k ohms, 1/2 W, 20 %", (500_000, "ohm", 20, "0.5 W")),
        ("100 mmf", (100, "pF", None, None)),
        ("2.5 mH", (2500, "uH", None, None)),
        ("2.5 MH", (2500, "uH", None, None)),
        ("5 henries", (5_000_000, "uH", None, None)),
        ("100n", (100_000, "pF", None, None)),  # a small n is nano: tolerances are capitals
        ("220n 63 V", (220_000, "pF", None, "63 V")),
        ("682K 1kV", (6800, "pF", 10, "1000 V")),
        ("222M 1KV", (2200, "pF", 20, "1000 V")),
        ("470K 500 V", (47, "pF", 10, "500 V")),
        ("470K 1/2 W", (470_000, "ohm", None, "0.5 W")),
        ("103K 5%", (103_000, "ohm", 5, None)),  # as 10000 pF it would be of two tolerances
        ("0.1 µF 275 VAC", (100_000, "pF", None, "275 V AC")),
        (".01 600V", (10_000, "pF", None, "600 V")),
        ("50 uuf", (50, "pF", None, None)),
        ("50 µµf", (50, "pF", None, None)),
        ("2 ufd", (2_000_000, "pF", None, None)),
        ("270 OHMS", (270, "ohm", None, None)),
        ("2 Megs", (2_000_000, "ohm", None, None)),
        ("2 M ohm", (2_000_000, "ohm", None, None)),
        ("10,000 ohms 10 W", (10_000, "ohm", None, "10 W")),
    ],
)
def test_value_codes(read, text, expected):
    assert read(text)[0] == expected == read(text, "value-code")[0]


@pytest.mark.parametrize(
    ("text", "value"),
    # L7.9: Admiralty Handbook 1938 and A.F.O. 1552/37, as cited at sizes.com
    [("1 jar", 1111.11111111), ("5 jars", 5555.55555556), ("0.002 uF", 1.8 * 1111.11111111)],
)
def test_jars(read, text, value):
    assert read(text)[0][:2] == (pytest.approx(value, abs=1e-6), "pF")


def test_a_code_with_several_meanings_has_all_of_them(read, said):
    """From memory: figures and zeros on capacitors, resistors, chokes; a letter as point and unit."""
    assert read("103K") == [
        (10_000, "pF", 10, None), (10_000, "ohm", 10, None), (10_000, "uH", 10, None), (103_000, "ohm", None, None)
    ]  # fmt: skip
    assert [one[:2] for one in read("4R7")] == [(4.7, "ohm"), (4.7, "pF"), (4.7, "uH")]
    assert [one[:2] for one in read("4m7")] == [(4_700_000_000, "pF"), (4_700_000, "ohm")]
    assert [one[:2] for one in read("47")] == [(47, "pF"), (47, "ohm")]
    assert [one[:2] for one in read("470")] == [(47, "pF"), (47, "ohm"), (47, "uH"), (470, "pF"), (470, "ohm")]
    assert "Several codes" in said("103K") and said("4K7") == ""


def test_mf_is_microfarad_and_as_it_is_written_today_millifarad_too(read):
    assert read("4 mF") == [(4_000_000, "pF", None, None), (4_000_000_000, "pF", None, None)]
    assert read("4 mf") == read("4 MF") == [(4_000_000, "pF", None, None)]


def test_a_tolerance_below_ten_picofarad_is_in_picofarad(read):
    """From memory: C is 0.25 pF there."""
    assert (4.7, "pF", 5.319149, None) in read("4R7C")


def test_a_tolerance_that_is_not_even(read, tables):
    """From memory: Z is -20 to +80 %."""
    found = decode("104Z", tables).readings[0]
    assert (found.value, found.tolerance_pct) == (Decimal(100_000), None) and "-20 to +80 %" in " ".join(found.notes)


@pytest.mark.parametrize(
    "text",
    [
        "4 7",
        "12 34",
        "0",
        "000",
        "1,500",
        "mf 3",
        "3 mA",
        "47 ohm 5 % 5 %",
        "103 1 W 2 W",
        "100 pF 1 W",
        "4K7X",
        "-47k",
        "47 V",
        "R",
        "K",
    ],
)
def test_what_is_no_value_code(read, said, text):
    assert read(text, "value-code") == [] and "expected such as 4K7" in said(text, "value-code")


# --- crystals and wire --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "kc"),
    [
        # L7.12 (F. Dupont, ka7exm.net): (20 + ch/10)/54 Mc, ch/720 Mc
        ("FT-241 channel 0", 370.37037037),
        ("FT-241 channel 79", 516.666666667),
        ("FT-241 channel 300", 416.666666667),
        ("FT-241 channel 300 (3-digit)", 416.666666667),
        ("FT-241 channel 45", 24.5 / 54 * 1000),
        ("ft241a ch. 45", 24.5 / 54 * 1000),
        ("FT-241-A, channel no. 07", 20.7 / 54 * 1000),
        ("FT-241 24.5 Mc", 24.5 / 54 * 1000),
        ("FT-241 30.0 Mc", 416.666666667),
        # marked in kc: common practice, no source
        ("FT-241 45", 24.5 / 54 * 1000),
        ("FT-241 24.5", 24.5 / 54 * 1000),
        ("FT-243 7010", 7010),
        ("FT-243 7.010", 7010),
        ("FT-171-B 3885 kc", 3885),
        ("HC-6/U 3.579545 MHz", 3579.545),
        ("CR-1A/AR 7000 kc", 7000),
        ("crystal 7000 kc", 7000),
        ("7.010 Mc", 7010),
        ("FT-243 7010.5 kc", 7010.5),
        ("FT243 7.01 Mc", 7010),
    ],
)
def test_crystals(read, text, kc):
    found = read(text)
    assert found == [(pytest.approx(kc, abs=1e-6), "kc", None, None)] == read(text, "crystal")


@pytest.mark.parametrize("text", ["80.5893704301 m", "80.5893704301 metres", "xtal 80,5893704301 meters"])
def test_a_wavelength_has_both_readings(read, said, text):
    """L7.10: by the speed of light, and by the 300 of old dials."""
    assert read(text, "crystal") == [
        (pytest.approx(3720, rel=1e-11), "kc", None, None), (pytest.approx(3720 * 300 / 299.792458), "kc", None, None)
    ]  # fmt: skip
    assert "old dials" in said(text, "crystal")


def test_a_large_m_is_no_wavelength(read):
    assert read("80 M", "crystal") == [] and {unit for _, unit, *_ in read("80 M")} == {"ohm"}


def test_units_of_the_military_standard(tables):
    """MIL-C-3098, from memory: CR-18/U is cut for 32 pF and holds 0.005 %."""
    (reading,) = decode("CR18/U 7010", tables).readings
    assert (reading.value, reading.tolerance_pct, reading.standard) == (7010, Decimal("0.005"), "CR-18/U")
    assert "32 pF" in " ".join(reading.notes)


def test_a_frequency_that_both_series_have(read, said):
    """27.0 to 27.9 Mc: 54 times the one crystal, 72 times the other (F. Dupont)."""
    assert read("FT-241 27.5 Mc") == [
        (pytest.approx(27500 / 54), "kc", None, None), (pytest.approx(27500 / 72), "kc", None, None)
    ]  # fmt: skip
    assert "both series" in said("FT-241 27.5 Mc")


def test_a_channel_that_was_not_made(read, said):
    assert len(read("FT-241 channel 85")) == 1 and "not among those that were made" in said("FT-241 channel 85")


@pytest.mark.parametrize(
    "text",
    ["channel 45", "FT-241", "FT-241 channel 999", "FT-241 channel 045", "FT-241 7010 kc", "FT-243 channel 20",
     "FT-243 7010 pF", "FT-242 channel 4", "FT-241 24.55 Mc", "FT-243 5", "0 m", "900000 m"],
)  # fmt: skip
def test_crystals_that_are_not_read(read, said, text):
    assert read(text, "crystal") == [] and "expected such as FT-241 channel 45" in said(text, "crystal")


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        # L7.11 (forums.mikeholt.com): 0.127*92^((36-n)/39)
        ("AWG 36", 0.127),
        ("AWG 18", 1.02368734283),
        ("AWG 10", 2.58818672801),
        ("AWG 0000", 11.684),
        ("4/0 AWG", 11.684),
        ("AWG 4/0", 11.684),
        ("B&S 36", 0.127),
        ("No. 18 B and S", 1.02368734283),
        ("18 awg", 1.02368734283),
        ("AWG18", 1.02368734283),
        ("#10 AWG", 2.58818672801),
        # sdiy.info, Standard wire gauge: 7/0 is 0.500 in, No. 50 0.001 in; No. 18 0.048 in from memory
        ("SWG 7/0", 12.7),
        ("SWG 0000000", 12.7),
        ("S.W.G. 50", 0.0254),
        ("18 SWG", 1.2192),
        ("SWG 22", 0.7112),  # the table but for its ends: from memory
        ("SWG 0", 8.2296),
    ],
)
def test_wire(read, text, mm):
    found = read(text)
    assert found == [(pytest.approx(mm, abs=1e-8), "mm", None, None)] == read(text, "wire")


def test_each_step_of_awg_is_the_same_ratio(read):
    """92^(1/39) from one number to the next, by definition."""
    numbers = ["0000", "000", "00", "0", *map(str, range(1, 57))]
    mm = [read(f"AWG {number}")[0][0] for number in numbers]
    assert all(a / b == pytest.approx(92 ** (1 / 39), rel=1e-6) for a, b in pairwise(mm))


def test_a_number_without_its_gauge_has_both_meanings(read, said):
    assert [one[0] for one in read("No. 18")] == [1.0236873428, 1.2192] == [one[0] for one in read("18", "wire")]
    assert "gauge is not named" in said("#18")


@pytest.mark.parametrize(
    "text", ["SWG 51", "SWG 8/0", "AWG 57", "AWG", "AWG 5/0", "AWG -1", "AWG SWG 22", "BWG 18", "AWG 22.5"]
)
def test_wire_that_is_not_read(read, said, text):
    assert read(text, "wire") == [] and said(text, "wire")


def test_the_table_of_swg_falls_in_even_steps(tables):
    """Each step about 10.6 % in diameter (sdiy.info, Standard wire gauge), from 0.500 in to 0.001 in over 56 steps."""
    inches = [float(inch) for (gauge, _), (inch, _) in tables.gauges.items() if gauge == "SWG"]
    assert len(inches) == 57 and (inches[0], inches[-1]) == (0.5, 0.001)
    assert all(1.03 < a / b < 1.35 for a, b in pairwise(inches))
    assert (inches[0] / inches[-1]) ** (1 / 56) == pytest.approx(1.117, abs=0.002)


# --- altogether ---------------------------------------------------------------------------------------------------


def test_without_a_kind_a_text_is_tried_in_all(tables):
    kinds = [one.kind for one in decode("green black yellow", tables).readings]
    assert kinds == ["resistor-bands", "resistor-bands", "resistor-bed"]


def test_the_shape_of_the_answer(tables):
    assert decode("RC20BF103K", tables).as_dict() == {
        "text": "RC20BF103K",
        "readings": [
            {
                "kind": "type-designation", "value": 10000, "unit": "ohm", "tolerance_pct": 10, "rating": "0.5 W",
                "standard": "JAN-R-11 / MIL-R-11",
                "note": "Composition resistor, style RC20, characteristic BF. From memory, no text read.",
            }
        ],
        "warnings": [],
    }  # fmt: skip


@pytest.mark.parametrize("kind", [None, *KINDS])
def test_what_is_unreadable_has_a_warning_that_says_what_was_expected(tables, kind):
    found = decode("zz top", tables, kind)
    assert found.readings == () and "expected" in " ".join(found.warnings)


@pytest.mark.parametrize("text", ["", "  ", "9" * (LONGEST + 1)])
def test_an_empty_or_endless_text_is_refused(tables, text):
    with pytest.raises(ValueError, match="expected"):
        decode(text, tables)


def test_a_kind_that_is_none_is_refused(tables):
    with pytest.raises(ValueError, match="no kind of marking"):
        decode("4K7", tables, "resistor")


def test_every_reading_names_its_source_or_that_it_is_from_memory(tables):
    for text in ("brown black red gold", "103K", "RC20BF103K", "CP40", "FT-243 7010", "SWG 18", "0.01 mfd", "4K7"):
        for one in decode(text, tables).readings:
            assert any(word in " ".join(one.notes) for word in ("Source:", "rom memory", "no source")), one


def test_a_k_that_stands_apart_with_watts_behind_is_kilohm(read, said):
    """As old drawings and bench notes write it (common practice, no source); without either both readings stand."""
    assert read("270 K 1W") == [(270_000, "ohm", None, "1 W")]
    assert "as kilohm alone" in said("270 K 1W")
    for text in ("270K 1W", "270 K"):
        assert (27, "ohm", 10) in [one[:3] for one in read(text)]


def test_five_dots_have_a_reading_by_each_code(read, said, tables):
    """The codes differ from maker to maker; no text was at hand that says which is whose (from memory)."""
    text = "red green brown silver green"
    found = read(text, "mica-dots")
    assert found == [(250, "pF", 10, "500 V"), (25_100_000, "pF", 10, None)]
    assert "differ from maker to maker" in said(text, "mica-dots")
    every = decode(text, tables, "mica-dots").readings
    assert [encode(one, tables) for one in every] == [text, text]
    assert read("red green brown brown red", "mica-dots") == [
        (250, "pF", 1, "200 V"), (25_100, "pF", 1, None)
    ]  # fmt: skip
    assert "none of the codes with five dots" in said("black green brown silver green", "mica-dots")
    assert all(one[1] == "ohm" for one in read(text)) and "they are read by each" in said(text)


@pytest.mark.parametrize(
    ("text", "value", "rating"),
    [
        (".01-400", 10_000, "400 V"),
        (".25/200", 250_000, "200 V"),
        (".05 - 600 WVDC", 50_000, "600 V"),
        ("0.1 uF X2 275 VAC", 100_000, "275 V AC, class X2"),
        ("4700 pF Y2", 4700, "class Y2"),
        ("472M X1/Y2 300 V AC", 4700, "300 V AC, class X1/Y2"),
    ],
)
def test_a_capacitor_with_its_voltage_or_class(tables, text, value, rating):
    """Microfarad and working voltage on paper capacitors: common practice, no source. Classes: IEC 60384-14."""
    (one,) = decode(text, tables, "value-code").readings
    assert (one.value, one.unit, one.rating) == (value, "pF", rating)


@pytest.mark.parametrize("text", ["40/40 mfd 450 V", "3-30 pF", "4K7 X2", "0.1 uF X2 Y2"])
def test_sections_and_a_class_of_no_capacitor_are_no_value_code(tables, text):
    assert decode(text, tables, "value-code").readings == ()
