"""What lacks of a type, by its kind; and figures as they stand on sheets, typed in.

Which figures a data sheet of each kind states: common practice, no source (the RCA Receiving Tube Manual lists no
transconductance of a rectifier). Units: SI prefixes; 1000 micromho = 1 mA/V; 1 mmf = 1 pF (laws.md, units).
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.tubes.rules.bench import bench, formed
from tubes.rules.figures import Figure, TypeFigures, Word, form_of, known_type
from tubes.rules.gaps import LABELS, Gap, lacking
from tubes.rules.sheet_figures import UNITS, parse_figure
from tubes.rules.sheet_words import with_words
from tubes.rules.units import UnitFault


def made(kind, cathode="oxide-indirect", note="", **numbers):  # type: ignore[no-untyped-def]
    words = {"kind": Word(kind), "cathode": Word(cathode), "note": Word(note)}
    return known_type("ZZ1", {k: Figure(v) for k, v in numbers.items()}, {k: w for k, w in words.items() if w.value})


@pytest.mark.parametrize(
    ("kind", "cathode", "note", "asked", "never"),
    [
        ("rectifier", "oxide-direct", "", {"plate_v_max", "plate_ma_typ", "wave"}, {"gm_umho", "mu", "screen_v_max"}),
        ("rectifier", "oxide-direct", "full-wave", {"plate_v_max"}, {"wave"}),
        ("triode", "oxide-indirect", "", {"heater_v", "heater_a", "mu", "gm_umho", "plate_w_max"}, {"screen_v_max"}),
        ("triode", "thoriated-tungsten", "zero-bias class B tube", {"plate_w_max"}, {"mu", "gm_umho"}),
        ("pentode", "oxide-indirect", "", {"screen_v_max", "screen_w_max", "gm_umho"}, {"mu", "gc_umho"}),
        ("heptode", "oxide-indirect", "", {"gc_umho", "screen_v_max"}, {"gm_umho"}),
        ("gas-regulator", "cold", "", {"regulation_v", "regulation_ma", "start_v"}, {"heater_v", "plate_v_max"}),
        ("magnetron", "oxide-indirect", "", {"heater_v", "base"}, {"mu", "plate_v_max"}),
        ("", "", "", {"kind", "cathode", "base", "pins", "heater_v"}, {"mu", "gm_umho", "plate_v_max"}),
    ],
)
def test_what_is_asked_of_a_kind(kind, cathode, note, asked, never) -> None:  # type: ignore[no-untyped-def]
    found = set(lacking(made(kind, cathode, note), {}))
    assert asked <= found and not never & found


def test_a_code_without_a_diagram_lacks_its_pins() -> None:
    drawn, undrawn = formed()["6SN7GT"], TypeFigures("ZZ1", {}, {"basing": Word("99ZZ")})
    assert "pins" not in lacking(drawn, bench().basings) and "pins" in lacking(undrawn, bench().basings)


def test_ranks_by_positions_then_tubes() -> None:
    gaps = [Gap("a", "", ("kind",), owned=9), Gap("b", "", ("kind",), positions=1), Gap("c", "", ("kind",), 9, 1)]
    assert [gap.type for gap in sorted(gaps, key=lambda gap: gap.rank)] == ["c", "b", "a"]
    assert gaps[0].as_dict()["words"] == "kind"


@pytest.mark.parametrize(
    ("text", "field", "value"),
    [
        ("6.3 V", "heater_v", 6.3), ("6,3", "heater_v", 6.3), ("6.3", "heater_v", 6.3),
        ("300 mA", "heater_a", 0.3), ("700 mA", "heater_a", 0.7), ("1.6 mA/V", "gm_umho", 1600),
        ("1600 micromho", "gm_umho", 1600), ("0.7 megohm", "rp_ohm", 700_000), ("0.01 mmf", "cgp_pf", 0.01),
        ("1 kV", "plate_v_max", 1000), ("30 Mc", "freq_max_mhz", 30), ("3600 kc", "freq_max_mhz", 3.6),
        ("20", "mu", 20),
    ],
)  # fmt: skip
def test_figures_with_and_without_their_unit(text: str, field: str, value: float) -> None:
    assert parse_figure(text, UNITS[field]) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "field"),
    [("six", "heater_v"), ("6.3 A", "heater_v"), ("-6.3", "heater_v"), ("0", "mu"), ("20 V", "mu"), ("nan", "mu"),
     ("1e12", "rp_ohm"), ("6.3 6.3", "heater_v"), ("٦", "heater_v"), ("1_0", "heater_v")],
)  # fmt: skip
def test_what_is_no_figure_is_refused(text: str, field: str) -> None:
    with pytest.raises(UnitFault, match="expected"):
        parse_figure(text, UNITS[field])


@given(st.text(max_size=20), st.sampled_from(sorted(UNITS)))
def test_any_text_is_a_figure_or_a_fault(text: str, field: str) -> None:
    try:
        assert 0 < parse_figure(text, UNITS[field]) <= 1e9
    except UnitFault as fault:
        assert "expected" in str(fault)


def test_words_go_into_the_note_and_are_read_there() -> None:
    note = with_words("glass", running=150.0, least=5.0, most=40.0, start=185.0)
    read = known_type("ZZ1", {}, {"kind": Word("gas-regulator"), "note": Word(note)})
    assert {n: read.number(n) for n in ("regulation_v", "regulation_ma", "start_v")} == {
        "regulation_v": 150, "regulation_ma": 40, "start_v": 185,
    }  # fmt: skip
    again = with_words(note, running=105.0, least=5.0, most=30.0)
    assert again.count("about") == 2 and "105 V, 5 to 30 mA" in again and again.endswith("glass")
    assert form_of("rectifier", with_words("", wave="half-wave")).wave == "half-wave"
    assert known_type("ZZ1", {}, {"note": Word(with_words("", gc=450.0))}).number("gc_umho") == 450
    assert with_words("glass") == "glass"


def test_every_figure_that_can_lack_has_a_label() -> None:
    assert all(set(lacking(one, bench().basings)) <= LABELS.keys() for one in formed().values())
