"""Electrodes by pin. Diagrams checked here against the published ones as recalled: from memory."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.tubes.rules.bench import bench, rated, tables
from tubes.rules.basing import Basing, PinFault, parse_pins, pin_changes, same_socket
from tubes.rules.judge_form import plug_answer
from tubes.rules.judge_parts import VERDICTS

BASINGS = bench().basings


def told(wanted: str, candidate: str) -> list[str]:
    return [str(change) for change in pin_changes(BASINGS[wanted], BASINGS[candidate])]


def test_807_and_1625() -> None:
    """Five-pin 5AW and medium seven-pin 5AZ."""
    assert told("5AW", "5AZ") == [
        "heater 1 and 5 -> 1 and 7",
        "cathode 4 -> 6",
        "grid 1 3 -> 4",
        "grid 2 2 -> 3",
    ]


def test_el34_in_a_6l6_socket() -> None:
    """Pin 1 of the EL34 is its suppressor."""
    assert told("7AC", "8ET") == ["grid 3 none -> 1"]
    assert told("7AC", "7S") == []


def test_a_cathode_tied_to_the_heater_is_a_filament() -> None:
    """5V4G (5L) in a 5U4G (5T) socket: pins alike, the cathode lies on pin 8."""
    assert told("5T", "5L") == told("5L", "5T") == []
    assert "cathode none -> 8" in told("5T", "6S")


def test_top_caps_are_terminals() -> None:
    assert "grid 1 cap -> 4" in told("7R", "8N")
    assert "plate 3 -> cap" in told("7AC", "7CK")


def test_sections_are_named() -> None:
    assert "grid 1 of section 2 1 -> 5" in told("8BD", "8G")


def test_small_and_medium_four_pin_bases_share_a_socket() -> None:
    """The small four-pin base has the pins of the medium one: common practice, no source."""
    small = rated()["3C24"].word("base")
    assert small == "UX4-small"
    assert same_socket("UX4", small, BASINGS["2D"], BASINGS["2D"])
    assert not same_socket("UX4", "octal", BASINGS["2D"], BASINGS["7AC"])
    assert not same_socket("UX4", small, None, BASINGS["2D"])


@pytest.mark.parametrize(
    ("wanted", "candidate", "verdict", "words"),
    [
        (("octal", "7AC"), ("octal", "7AC"), "fits", ""),
        (("octal", "ZZ"), ("octal", "ZZ"), "fits", ""),
        (("octal", "7AC"), ("octal", "7S"), "fits", "the pins that are wired are the same"),
        (("octal", "7AC"), ("octal", "ZZ"), "rewire or adapter", "pin changes not known (no diagram of ZZ)"),
        (("octal", "7AC"), ("noval", "9CV"), "rewire or adapter", "adapter from noval to octal"),
        (("octal", "7AC"), ("octal", ""), "not known", "the basing is not known"),
        (("octal", "7AC"), ("noval", ""), "not known", "adapter from noval to octal"),
        (("octal", "7AC"), ("", "9CV"), "not known", "the base is not known"),
    ],
)
def test_plugs(wanted: tuple[str, str], candidate: tuple[str, str], verdict: str, words: str) -> None:
    rank, reason = plug_answer(wanted, candidate, BASINGS)
    assert VERDICTS[rank] == verdict and words in reason


def test_codes_are_those_of_the_ratings() -> None:
    """Every diagram belongs to a type of the tables, and its socket is that type's base (or the larger form of it)."""
    own = {(f.word("basing"), f.word("base")) for f in rated().values()}
    bases = own | {(code, base.removesuffix("-small")) for code, base in own}
    for row in tables().rows["basings.csv"]:
        assert (row.cells["code"], row.cells["socket"]) in bases


def test_top_caps_agree_with_the_ratings() -> None:
    """What the column says of the cap, the diagram says too: plate, grid or none."""
    kinds = {"P": "plate", "G1": "grid", "G3": "grid", "G4": "grid"}
    for name, figures in rated().items():
        basing = BASINGS.get(figures.word("basing"))
        if basing is not None and figures.word("cap"):  # not every row says it
            caps = [kinds[code] for pin, what in basing.pins if pin == "cap" for code in what]
            assert (caps or ["none"]) == [figures.word("cap")], name


def test_every_diagram_has_what_its_tubes_need() -> None:
    """Two heater pins unless the cathode is cold; plate, cathode or filament; a screen where the kind has one."""
    for name, figures in rated().items():
        basing = BASINGS.get(figures.word("basing"))
        if basing is None:
            continue
        codes = [code for _, what in basing.pins for code in what]
        assert figures.cold or sum(code in ("H", "F") for code in codes) >= 2, name
        assert "P" in codes and {"K", "F"} & set(codes), name
        if figures.word("kind") in ("pentode", "beam-tetrode", "tetrode"):
            assert "G2" in codes and "G1" in codes, name
        if figures.word("kind") == "duotriode":
            assert {"P", "Pb", "G1", "G1b"} <= set(codes), name


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "no pins"),
        ("3", "'3', expected pin=electrode"),
        ("15=P", "'15=P', expected pin=electrode"),
        ("1=P 1=K", "pin 1 again"),
        ("1=X", "'X' is no electrode"),
        ("1=P+", "'' is no electrode"),
    ],
)
def test_pin_faults(text: str, words: str) -> None:
    with pytest.raises(PinFault) as fault:
        parse_pins(text)
    assert words in str(fault.value)


@given(st.text(max_size=40))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        pins = parse_pins(text)
    except PinFault:
        return
    again = " ".join(f"{pin}={'+'.join(sorted(what))}" for pin, what in pins)
    assert parse_pins(again) == pins


@given(st.sampled_from(sorted(BASINGS)), st.sampled_from(sorted(BASINGS)))
def test_changes_are_the_same_both_ways(one: str, other: str) -> None:
    there, back = pin_changes(BASINGS[one], BASINGS[other]), pin_changes(BASINGS[other], BASINGS[one])
    assert [(c.electrode, c.candidate, c.wanted) for c in back] == [(c.electrode, c.wanted, c.candidate) for c in there]
    assert pin_changes(BASINGS[one], Basing("x", "y", BASINGS[one].pins)) == ()
