"""The neutralizing bridge.

The ratios follow from two currents that cancel (worked out by hand); the tapped tank, the tapped grid coil and the
cross connection are in Terman, Radio Engineers' Handbook (1943) and in C. W. Rice, US patent 1,334,118 (1920), from
memory; the grid bridge is common practice, no source. Cases L1.1 to L1.7.
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.pairing.rules.bridge import (
    ABOVE,
    BELOW,
    CIRCUITS,
    IN_RANGE,
    MEANINGS,
    NEEDS,
    Bridge,
    BridgeFault,
    cn_pf,
    in_parallel,
    lies_in_range,
    reactance_ohm,
    residual_pf,
    substitute,
)

CASES = [
    ("L1.1", Bridge("plate-tap", cgp=14.5, np=10, nn=10), 14.5),
    ("L1.2", Bridge("plate-tap", cgp=14.5, np=20, nn=10), 29),
    ("L1.3", Bridge("plate-tap", cgp=14.5, np=12, nn=18), 9.666666666666666),
    ("L1.4", Bridge("split-stator", cgp=14.5, ca=100, cb=100, cpk=5.5), 13.744075829383886),
    # near the 10 pF trimmer of a circuit of 1962 with a 680 pF bypass, described on a mailing list; tube from memory
    ("L1.5", Bridge("grid-bridge", cgp=0.24, cb=680, cgf=13), 12.553846153846154),
    ("L1.6", Bridge("cross", cgp=5.5), 5.5),
    ("L1.6 parallel", Bridge("plate-tap", cgp=in_parallel(5.5, 5.5), np=10, nn=10), 11.0),
    ("mirror of L1.3", Bridge("grid-tap", cgp=14.5, ng=12, nx=18), 9.666666666666666),
]


@pytest.mark.parametrize(("bridge", "expected"), [case[1:] for case in CASES], ids=[case[0] for case in CASES])
def test_the_capacitance_at_balance(bridge, expected):
    assert cn_pf(bridge) == pytest.approx(expected, abs=1e-9)


def test_l1_7_reactance_of_what_is_left():
    assert reactance_ohm(0.6, 3500) == pytest.approx(75788.068139, abs=1e-3)
    assert reactance_ohm(0.6, 7000) == pytest.approx(37894.0340695, abs=1e-3)
    assert reactance_ohm(-0.6, 3500) == reactance_ohm(0.6, 3500)
    assert reactance_ohm(0, 3500) == math.inf


figures = st.floats(0.01, 1000)


@given(st.sampled_from(CIRCUITS), st.lists(figures, min_size=4, max_size=4))
def test_the_right_capacitor_leaves_nothing(circuit, values):
    bridge = Bridge(circuit, cgp=values[0], **dict(zip(NEEDS[circuit], values[1:], strict=False)))
    assert residual_pf(bridge, cn_pf(bridge)) == pytest.approx(0, abs=1e-9 * values[0])
    assert residual_pf(bridge, 0) == values[0]
    assert residual_pf(bridge, 2 * cn_pf(bridge)) == pytest.approx(-values[0])


@given(figures, figures, figures, figures)
def test_residual_of_a_tapped_tank_as_printed(cgp, cn, plate, other):
    """Cr = Cgp - Cn Nn/Np."""
    left = residual_pf(Bridge("plate-tap", cgp=cgp, np=plate, nn=other), cn)
    assert left == pytest.approx(cgp - cn * other / plate, rel=1e-9, abs=1e-9)


def test_currents_cancel_in_a_split_stator():
    """By hand: the tank voltage divides inversely as the capacitances; both currents into the grid add to nothing."""
    ca, cb, cpk, cgp = 80.0, 120.0, 6.0, 14.5
    plate_v = 1.0
    other_v = -plate_v * (ca + cpk) / cb
    cn = cn_pf(Bridge("split-stator", cgp=cgp, ca=ca, cb=cb, cpk=cpk))
    assert cgp * plate_v + cn * other_v == pytest.approx(0, abs=1e-12)


def test_whether_a_capacitor_reaches_it():
    assert lies_in_range(14.5, 5, 25).verdict == IN_RANGE and lies_in_range(14.5, 5, 25).fits
    assert lies_in_range(15, 5, 25).place == 0.5
    assert lies_in_range(5, 5, 25).fits and lies_in_range(25, 5, 25).fits
    low, high = lies_in_range(3, 5, 25), lies_in_range(29, 5, 25)
    assert (low.verdict, low.missing_pf) == (BELOW, 2) and (high.verdict, high.missing_pf) == (ABOVE, 4)
    assert not low.fits and not high.fits


def test_what_a_substitute_needs():
    found = substitute(Bridge("plate-tap", cgp=14.5, np=20, nn=10), cgp=12, least_pf=5, most_pf=20)
    assert found.cn_pf == pytest.approx(24) and found.change_pf == pytest.approx(-5)
    assert found.ratio == pytest.approx(12 / 14.5)
    assert found.in_range.verdict == ABOVE
    assert substitute(Bridge("cross", cgp=5.5), cgp=6, cpk=3, cgf=4).cn_pf == 6  # figures it does not turn on
    assert substitute(Bridge("cross", cgp=5.5), cgp=6).in_range is None


def test_a_substitute_brings_all_the_figures_that_count():
    bridge = Bridge("split-stator", cgp=14.5, ca=100, cb=100, cpk=5.5)
    assert substitute(bridge, cgp=14.5, cpk=11).cn_pf == pytest.approx(14.5 * 100 / 111)
    with pytest.raises(BridgeFault, match="cpk is missing"):
        substitute(bridge, cgp=14.5)
    grid = Bridge("grid-bridge", cgp=0.24, cb=680, cgf=13)
    assert substitute(grid, cgp=0.24, cgf=26).ratio == pytest.approx(0.5)
    with pytest.raises(BridgeFault, match="cgf is missing"):
        substitute(grid, cgp=0.24)


@pytest.mark.parametrize("circuit", CIRCUITS)
def test_each_figure_is_needed_and_above_zero(circuit):
    whole = dict.fromkeys(("cgp", *NEEDS[circuit]), 10.0)
    cn_pf(Bridge(circuit, **whole))
    for name in whole:
        for wrong, words in (
            (None, "missing"),
            (0, "above 0"),
            (-1, "above 0"),
            (math.nan, "above"),
            (math.inf, "abov"),
        ):
            with pytest.raises(BridgeFault, match=f"^{name} .*{words}") as refusal:
                Bridge(circuit, **(whole | {name: wrong}))
            assert refusal.value.option == name and MEANINGS[name] in str(refusal.value)


def test_a_figure_of_another_circuit_is_refused():
    with pytest.raises(BridgeFault, match="ng has no place in plate-tap"):
        Bridge("plate-tap", cgp=14.5, np=10, nn=10, ng=4)
    with pytest.raises(BridgeFault, match=r"circuit 'tapped' .*plate-tap"):
        Bridge("tapped", cgp=14.5)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: in_parallel(),
        lambda: in_parallel(5.5, -1),
        lambda: residual_pf(Bridge("cross", cgp=5.5), -1),
        lambda: residual_pf(Bridge("cross", cgp=5.5), math.nan),
        lambda: reactance_ohm(0.6, 0),
        lambda: reactance_ohm(math.nan, 3500),
        lambda: lies_in_range(5, -1, 10),
        lambda: lies_in_range(5, 10, 10),
        lambda: lies_in_range(0, 1, 10),
        lambda: substitute(Bridge("cross", cgp=5.5), cgp=6, least_pf=1),
    ],
)
def test_what_makes_no_sense_is_refused(wrong):
    with pytest.raises(BridgeFault):
        wrong()


@pytest.mark.parametrize(("np", "nn"), [(1e-200, 18), (12, 1e-200), (1e-300, 1e300), (1e300, 1e-300)])
def test_arms_that_no_bridge_has(np, nn):
    """Figures within what a float holds that would leave it, or the sense, once divided."""
    with pytest.raises(BridgeFault, match="look at np, nn"):
        Bridge("plate-tap", cgp=14.5, np=np, nn=nn)
