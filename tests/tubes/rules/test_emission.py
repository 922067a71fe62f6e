"""Emission and life against voltage: check values L2.1 to L2.11, each with the text it comes from."""

import math

import pytest

from tests.tubes.rules.bench import bench
from tubes.rules.emission import (
    EMITTERS,
    Emitter,
    emission,
    emission_ratio,
    exponent,
    lamp_at,
    life_ratio,
    life_sayings,
    percent_per_percent,
    percent_per_percent_volt,
)

W, TH, OXIDE = EMITTERS["tungsten"], EMITTERS["thoriated"], EMITTERS["oxide"]


def test_l2_1_exponent_from_five_per_cent_doubles_life() -> None:
    """RCA wartime notice, quoted by W. Donzelli on classiccmp.org: pure tungsten, 5 % less doubles life."""
    assert exponent(2, -5) == pytest.approx(13.513407334, abs=1e-8)


@pytest.mark.parametrize(("part", "times"), [(0.85, 8.99064411432), (1.05, 0.517202208331), (1.10, 0.275831451503)])
def test_l2_2_life_by_that_exponent(part: float, times: float) -> None:
    """Same notice: 15 % less gives "nearly tenfold"; the same exponent gives 8.99."""
    assert life_ratio(part, exponent(2, -5)) == pytest.approx(times, abs=1e-8)


@pytest.mark.parametrize(("n", "times"), [(12, 1.85061780622), (16, 2.2720731808)])
def test_l2_3_lamp_range(n: float, times: float) -> None:
    """Wikipedia, Lamp rerating: exponents 12 to 16."""
    assert life_ratio(0.95, n) == pytest.approx(times, abs=1e-8)


def test_l2_4_measures() -> None:
    """R. L. Measures, Amps list, June 1997: each 3 % over halves emissive life of thoriated tungsten (disputed)."""
    n = exponent(0.5, 3)
    assert n == pytest.approx(23.4497722504, abs=1e-8)
    assert life_ratio(1.06, n) == pytest.approx(0.255025274056, abs=1e-8)
    assert life_ratio(1.05, n) == pytest.approx(0.318504639348, abs=1e-8)


def test_l2_5_lamp_of_the_field_guide() -> None:
    """SPIE Field Guide to Illumination (2007), p. 21: 6.02 A, 10.8 V, 1000 h, 2900 K at +5 % of current; it prints
    11.8 V, 295 h, 3015 K."""
    lamp = lamp_at(1.05)
    assert 10.8 * lamp.volts == pytest.approx(11.849047, abs=1e-5)
    assert 1000 * lamp.life == pytest.approx(295.302772, abs=1e-5)
    assert 2900 * lamp.kelvin == pytest.approx(3015.431291, abs=1e-5)


@pytest.mark.parametrize(
    ("emitter", "kelvin", "amperes"),
    [
        (W, 2500, 0.264115617889),  # L2.6
        (W, 2400, 0.101156392541),
        (TH, 1900, 1.14423292961),  # L2.7
        (TH, 2000, 2.83056369592),
        (OXIDE, 1000, 0.163008677453),  # L2.8
        (OXIDE, 1100, 0.537340610892),
    ],
)
def test_l2_6_to_l2_8_saturation_emission(emitter: Emitter, kelvin: float, amperes: float) -> None:
    """Constants of B. Wolf, Handbook of Ion Sources (1995), p. 27, and Smithells (1967), by simion.com."""
    assert emission(emitter, kelvin) == pytest.approx(amperes, rel=1e-6)


def test_l2_9_textbook_item() -> None:
    """Textbook item at vidyadip.com/406057: thoriated 100 mA at 2000 K (A 3e4, W 2.6); pure tungsten of the same area
    (A 60e4, W 4.5): the book's answer is about 33 uA."""
    pure, thoriated = Emitter(4.5, 60e4, 2000), Emitter(2.6, 3e4, 2000)
    milliamperes = 100 * emission(pure, 2000) / emission(thoriated, 2000)
    assert milliamperes == pytest.approx(0.0326017354907, rel=2e-2)
    assert 1000 * milliamperes == pytest.approx(33, rel=2e-2)


@pytest.mark.parametrize(
    ("emitter", "by_kelvin", "by_volt"),
    [
        (W, 23.0738049091, 9.69099806),
        (TH, 17.651221877, 7.41351319),
        (OXIDE, 12.4993259197, 5.24971689),
    ],
)
def test_l2_10_per_cent_of_emission(emitter: Emitter, by_kelvin: float, by_volt: float) -> None:
    """2 + W/(kT), and by the lamp exponent 0.42 of temperature (Wikipedia, Lamp rerating)."""
    assert percent_per_percent(emitter) == pytest.approx(by_kelvin, abs=1e-6)
    assert percent_per_percent_volt(emitter) == pytest.approx(by_volt, abs=1e-6)


@pytest.mark.parametrize(
    ("emitter", "part", "ratio"),
    [(W, 0.95, 0.605313488396), (TH, 0.95, 0.681184781452), (OXIDE, 0.90, 0.569187126841)],
)
def test_l2_11_emission_left_at_less_voltage(emitter: Emitter, part: float, ratio: float) -> None:
    assert emission_ratio(emitter, part) == pytest.approx(ratio, abs=1e-8)


# --- what is said of life, and where nothing is said -----------------------------------------------------------------


def test_life_of_thoriated_names_its_author_and_stops_at_five_per_cent() -> None:
    limits = bench().limits
    (saying,) = life_sayings("thoriated", -5, limits)
    assert "Measures" in saying.author and "disputed" in saying.author
    assert saying.n == (pytest.approx(23.4497722504, abs=1e-8),)
    assert saying.times[0] == pytest.approx(0.95**-23.4497722504, abs=1e-8)
    assert life_sayings("thoriated", 5.01, limits) == life_sayings("thoriated", -5.01, limits) == ()


def test_life_of_pure_tungsten_shows_every_author_within_his_range() -> None:
    limits = bench().limits
    told = {saying.source: saying for saying in life_sayings("tungsten", -5, limits)}
    assert told["rca-wartime"].times == (pytest.approx(2),)
    assert told["wiki-lamp"].times == (pytest.approx(1.85061780622), pytest.approx(2.2720731808))
    assert told["spie-fg11 (derived)"].times == (pytest.approx(0.95 ** (-25 / 1.9)),)
    assert [s.source for s in life_sayings("tungsten", -15, limits)] == ["rca-wartime"]
    assert life_sayings("tungsten", -15.1, limits) == ()
    assert "rca-wartime" not in {
        s.source for s in life_sayings("tungsten", 2, limits)
    }  # it speaks of less voltage only


def test_no_law_for_oxide_cathodes() -> None:
    """No law was found; the maker's bulletin emissionlabs.com TB-02 puts the most life at no deviation."""
    assert life_sayings("oxide", -3, bench().limits) == ()


def test_constants_are_those_of_the_cited_table() -> None:
    assert [(e.work_ev, e.constant) for e in (W, TH, OXIDE)] == [(4.54, 60), (2.63, 3.0), (0.95, 0.01)]
    assert math.isclose(emission(W, 2500) / (60 * 2500**2), math.exp(-4.54 / (8.617333262e-5 * 2500)))
