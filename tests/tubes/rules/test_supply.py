"""Heater circuits and their supply. Check values L2.12 to L2.15 are Ohm's law on published ratings."""

import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.tubes.rules.bench import bench
from tubes.rules.circuit import CircuitFault, Parallel, Series, Tube, branches, parse_circuit, tubes_in
from tubes.rules.supply import Heater, Supply, filament_supply

HEATERS = {
    "12SK7": Heater("12SK7", 12.6, 0.15, "oxide-indirect"),
    "35L6": Heater("35L6", 35, 0.15, "oxide-indirect"),
    "50L6": Heater("50L6", 50, 0.15, "oxide-indirect"),
    "12SQ7": Heater("12SQ7", 12.6, 0.15, "oxide-indirect"),
    "6BA6": Heater("6BA6", 6.3, 0.30, "oxide-indirect"),
    "6C4": Heater("6C4", 6.3, 0.15, "oxide-indirect"),
    "211": Heater("211", 10, 3.25, "thoriated-tungsten"),
    "838": Heater("838", 10, 3.25, "thoriated-tungsten", from_memory=True),
    "801A": Heater("801A", 7.5, 1.25, "thoriated-tungsten"),
    "304TL": Heater("304TL", 5, 25, "thoriated-tungsten"),
}


def supply(circuit: str, volts: float, budget: float | None = None) -> Supply:
    return filament_supply(parse_circuit(circuit), HEATERS, volts, bench().limits, budget)


def test_l2_12_string_on_the_line() -> None:
    """Five heaters of a table set on 117 V: 122.8 V, so no dropper and 4.7 % under."""
    (branch,) = supply("12SK7+12SQ7+12SK7+35L6+50L6", 117).branches
    assert branch.load.volts == pytest.approx(122.8, abs=1e-9)
    assert 1 + branch.deviation_pct / 100 == pytest.approx(0.952768729642, abs=1e-9)
    assert (branch.dropper.ohm, branch.dropper.watts) == (0, 0)
    assert any("4.7 % under" in words for words in supply("12SK7+12SQ7+12SK7+35L6+50L6", 117).warnings)


def test_l2_13_two_in_series_on_28_v() -> None:
    (branch,) = supply("12SK7 + 12SK7", 28).branches
    assert branch.dropper.ohm == pytest.approx(18.6666666667, abs=1e-9)
    assert branch.dropper.watts == pytest.approx(0.42, abs=1e-9)


def test_l2_14_shunt_across_the_smaller_heater() -> None:
    (branch,) = supply("6BA6 + 6C4", 12.6).branches
    (shunt,) = branch.load.shunts
    assert shunt.tubes == ("6C4",)
    assert shunt.ohm == pytest.approx(42, abs=1e-9)
    assert shunt.watts == pytest.approx(0.945, abs=1e-9)
    assert branch.load.amperes == 0.30


def test_l2_15_four_in_parallel() -> None:
    """Inrush 2.7 to 7.2 times: measured, 211 among them (audioXpress, Sept. 2004)."""
    found = supply("211|211|211|211", 10)
    assert (found.amperes, found.watts) == (13.0, 130)
    heater = HEATERS["211"]
    assert heater.volts / heater.amperes == pytest.approx(3.07692307692, abs=1e-9)
    one = supply("211", 10)
    assert one.inrush_a == (pytest.approx(8.775, abs=1e-9), pytest.approx(23.4, abs=1e-9))


def test_the_circuit_of_the_contract() -> None:
    """Ohm's law by hand: 4 V at 3.25 A is 1.2308 ohm and 13 W; 16.5 V at 1.25 A is 13.2 ohm and 20.625 W."""
    told = supply("(838+838) | (838+838) | 801A", 24).as_dict()
    branches = told["branches"]
    assert isinstance(branches, list)
    assert [b["tubes"] for b in branches] == [["838", "838"], ["838", "838"], ["801A"]]
    assert [b["volts_needed"] for b in branches] == [20, 20, 7.5]
    assert [b["current_a"] for b in branches] == [3.25, 3.25, 1.25]
    assert [b["dropper_ohm"] for b in branches] == pytest.approx([4 / 3.25, 4 / 3.25, 13.2])
    assert [b["dropper_w"] for b in branches] == pytest.approx([13, 13, 20.625])
    assert told["total_current_a"] == 7.75
    assert told["total_w"] == 186


def test_thoriated_is_warned_on_both_sides() -> None:
    """RCA wartime notice and later messages: 5 % is the usual tolerance, and too little can cost more than too much."""
    low, high = supply("211", 9.2).warnings, supply("211", 10.8).warnings
    assert any("8.0 % under: the supply is too low" in words for words in low)
    assert any("8.0 % over without a dropper: not without one" in words for words in high)
    for words in (low, high):
        assert any("suffers from too little as from too much" in one and "Disputed" in one for one in words)


def test_no_warning_of_deviation_at_rated_voltage() -> None:
    found = supply("211", 10)
    assert not any("%" in words for words in found.warnings)
    assert found.branches[0].life == ()


def test_life_is_told_only_within_range() -> None:
    assert [saying.author for _, saying in supply("211", 9.7).branches[0].life] == ["R. L. Measures, 1997 (disputed)"]
    assert supply("211", 9.4).branches[0].life == ()


def test_budget_and_inrush_and_memory() -> None:
    found = supply("304TL | 838", 5, budget=20)
    assert any("8.25 A short" in words for words in found.warnings)
    assert any("304TL" in words and "2 times" in words for words in found.warnings)  # K5PRO, Amps list, Aug. 2010
    assert any("from memory: 838" in words for words in found.warnings)
    assert not any("short" in words for words in supply("304TL", 5, budget=25).warnings)


def test_a_parallel_pair_inside_a_string() -> None:
    """Two 0.15 A heaters side by side carry the 0.30 A of the string: no shunt."""
    (branch,) = supply("(6C4 | 6C4) + 6BA6", 12.6).branches
    assert branch.load.shunts == ()
    assert (branch.load.volts, branch.load.amperes) == (12.6, 0.30)


def test_unlike_heaters_side_by_side_inside_a_string() -> None:
    """801A beside 211 inside a string: 2.5 V at 1.25 A, 2 ohm and 3.125 W before the 801A; 211 needs a shunt after."""
    (branch,) = supply("(211 | 801A) + 211", 20).branches
    (dropper,) = branch.load.droppers
    assert (dropper.tubes, dropper.ohm, dropper.watts) == (("801A",), pytest.approx(2), pytest.approx(3.125))
    (shunt,) = branch.load.shunts
    assert (shunt.tubes, shunt.ohm) == (("211",), pytest.approx(10 / 1.25))


# --- the text of a circuit -------------------------------------------------------------------------------------------


def test_plus_binds_closer() -> None:
    assert parse_circuit("A+B|C") == Parallel((Series((Tube("A", 1), Tube("B", 3))), Tube("C", 5)))
    assert parse_circuit(" (A) ") == Tube("A", 3)
    assert parse_circuit("((A|B))+VT-4-C") == Series((Parallel((Tube("A", 3), Tube("B", 5))), Tube("VT-4-C", 9)))
    assert len(branches(parse_circuit("A|(B|C)"))) == 3
    assert [tube.text for tube in tubes_in(parse_circuit("(A+B)|6AC7/1852"))] == ["A", "B", "6AC7/1852"]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "character 1: found the end, expected a tube or ("),
        ("838+", "character 5: found the end, expected a tube or ("),
        ("838 | | 801A", "character 7: found '|', expected a tube or ("),
        ("(838+838", "character 9: found the end, expected )"),
        ("838)", "character 4: found ')', expected + or | or the end"),
        ("838 (801A)", "character 5: found '(', expected + or | or the end"),
        ("()", "character 2: found ')', expected a tube or ("),
        ("(" * 21 + "838" + ")" * 21, "character 21: found '(', expected at most 20 brackets within each other"),
        ("8" * 2001, "the circuit has 2001 characters; expected at most 2000"),
    ],
)
def test_faults_name_the_character(text: str, words: str) -> None:
    with pytest.raises(CircuitFault) as fault:
        parse_circuit(text)
    assert str(fault.value) == words


@given(st.text(alphabet=string.printable + "()+|\u0000Ж", max_size=80))
def test_any_text_is_read_or_refused_in_one_line(text: str) -> None:
    try:
        node = parse_circuit(text)
    except CircuitFault as fault:
        assert "\n" not in str(fault)
    else:
        found = list(tubes_in(node))
        assert found and all(tube.text and text[tube.at - 1 :].startswith(tube.text[0]) for tube in found)


_NODES = st.recursive(
    st.sampled_from(sorted(HEATERS)),
    lambda inner: st.tuples(st.sampled_from("+|"), st.lists(inner, min_size=2, max_size=3)).map(
        lambda pair: "(" + f" {pair[0]} ".join(pair[1]) + ")"
    ),
    max_leaves=8,
)


@given(_NODES, st.floats(min_value=5, max_value=300))
def test_currents_and_watts_add_up(text: str, volts: float) -> None:
    """Whatever the circuit: branches add to the total, and no resistor is negative."""
    found = supply(text, volts)
    assert found.amperes == pytest.approx(sum(branch.load.amperes for branch in found.branches))
    for branch in found.branches:
        resistors = (branch.dropper, *branch.load.shunts, *branch.load.droppers)
        assert all(r.ohm >= 0 and r.watts >= 0 for r in resistors)
        if branch.dropper.ohm:
            assert branch.load.volts + branch.dropper.ohm * branch.load.amperes == pytest.approx(volts)
