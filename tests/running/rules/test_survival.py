"""How long they last, beside published figures.

NIST/SEMATECH e-Handbook: Kaplan-Meier 8.2.1.5 (L4.4), Weibull 8.4.1.3 (L4.6), MTBF bounds 8.4.5.1 (L4.8). L4.5: the
6-MP arm of Freireich 1963, as lifelines ships it (load_leukemia). L4.7: lifelines' load_waltons. L4.9: MIL-HDBK-217E
base rates as summarized at jacmusic.com (which turns 2.5 per million hours into 250 000 h: a slip). L4.10: ARINC.
"""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.running.rules.survival import (
    Life,
    SurvivalRefused,
    Weibull,
    mtbf_bounds,
    parse_lives,
    stretches,
    survival,
)

NIST_WEIBULL = [Life(t, True) for t in (54, 187, 216, 240, 244, 335, 361, 373, 375, 386)] + [Life(500, False)] * 10


def lives(failed, working):
    return [Life(t, True) for t in failed] + [Life(t, False) for t in working]


def shares(found):
    return {step.t: step.s for step in found.steps}


def test_l4_4_kaplan_meier_of_nist():
    found = survival(lives([10, 32, 56, 98, 122, 181], [50, 100, 125, 150] + [200] * 10))
    expected = [0.95, 0.90, 0.847058823529, 0.794117647059, 0.737394957983, 0.670359052712]
    assert [step.s for step in found.steps] == pytest.approx(expected, abs=1e-9)
    assert found.steps[-1].se == pytest.approx(0.112140685877, abs=1e-9)
    assert (found.events, found.censored, found.median) == (6, 14, None)


def test_l4_5_remission_data():
    failed, working = [6, 6, 6, 7, 10, 13, 16, 22, 23], [6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35]
    found = survival(lives(failed, working))
    expected = {
        6: 0.857142857143, 7: 0.806722689076, 10: 0.752941176471, 13: 0.690196078431, 16: 0.627450980392,
        22: 0.53781512605, 23: 0.448179271709,
    }  # fmt: skip
    assert shares(found) == pytest.approx(expected, abs=1e-9)
    assert found.steps[0].se == pytest.approx(0.076360354832, abs=1e-9)
    assert (found.median, found.events) == (23, 9)
    total = sum(failed) + sum(working)
    assert total == 359
    assert found.events / total == pytest.approx(0.025069637883, abs=1e-9)


def test_l4_5_is_what_lifelines_ships():
    from lifelines.datasets import load_leukemia

    rows = load_leukemia()
    rows = rows[rows["Rx"] == 0]
    found = survival([Life(float(t), bool(s)) for t, s in zip(rows["t"], rows["status"], strict=True)])
    assert (found.median, found.events, found.censored) == (23, 9, 12)


def test_l4_6_weibull_of_nist():
    found = survival(NIST_WEIBULL)
    fit = found.weibull
    assert (fit.eta, fit.beta, fit.loglik) == pytest.approx((606.5280, 1.7208, -75.135), rel=1e-4)
    assert 2 * 2 - 2 * fit.loglik == pytest.approx(154.27, rel=1e-4)  # AIC
    assert fit.mean == pytest.approx(540.737, rel=1e-4)
    second = fit.eta**2 * math.gamma(1 + 2 / fit.beta)
    assert math.sqrt(second - fit.mean**2) == pytest.approx(323.806, rel=1e-4)
    assert found.mtbf == mtbf_bounds(sum(one.hours for one in NIST_WEIBULL), 10)
    assert fit.b10 == pytest.approx(164.022441, rel=1e-4)
    assert fit.surviving(500) == pytest.approx(0.488102310, rel=1e-4)
    for value, (low, high) in (
        (fit.eta, fit.eta_interval),
        (fit.beta, fit.beta_interval),
        (fit.b10, fit.b10_interval),
    ):
        assert 0 < low < value < high
    assert found.median == 386  # the share is one half there, which binary figures may miss by a hair


def test_l4_7_waltons():
    from lifelines.datasets import load_waltons

    rows = load_waltons()
    found = survival([Life(float(t), bool(e)) for t, e in zip(rows["T"], rows["E"], strict=True)])
    fit = found.weibull
    assert (len(rows), found.events, found.median) == (163, 156, 56)
    assert (fit.eta, fit.beta, fit.loglik) == pytest.approx((55.733096995, 3.450505411, -672.062187272), rel=1e-4)


def test_l4_8_bounds_of_a_constant_rate():
    assert mtbf_bounds(4500, 3) == pytest.approx((513.272480987, 7273.642747856), abs=1e-3)
    assert mtbf_bounds(1600, 2, 0.90) == pytest.approx((254.137936549, 4502.457221251), abs=1e-3)
    low, high = mtbf_bounds(1000, 0)
    assert low == pytest.approx(1000 / -math.log(0.05)) and high is None
    for bad in ((0, 1, 0.9), (10, -1, 0.9), (10, 1, 1.0), (math.inf, 1, 0.9)):
        with pytest.raises(SurvivalRefused):
            mtbf_bounds(*bad)


def test_l4_9_and_l4_10_rates_and_means():
    """Arithmetic that the pages quote, one of them wrongly: 2.5 per million hours are 400 000 h, not 250 000."""
    rate = 5 * 0.5 * 1 / 1e6
    assert 1 / rate == pytest.approx(400_000, abs=1e-6)
    assert pytest.approx(200_000, abs=1e-6) == 1 / (10 * 0.5 / 1e6)
    assert pytest.approx(26666.6666667, abs=1e-6) == 1 / (75 * 0.5 / 1e6)
    removed = [100 / -math.log(1 - part) for part in (0.01, 0.03)]
    assert removed == pytest.approx([9949.91624734, 3283.07951053], abs=1e-5)


# --- late entry, little data ------------------------------------------------------------------------------------------


def test_late_entry_by_hand():
    """At 30 h the four under watch by then are at risk and three are left; at 60 h two of three."""
    found = survival(
        [
            Life(30, True),
            Life(60, True, entry=10),
            Life(80, False, entry=20),
            Life(90, False),
            Life(50, False, entry=40),
        ]
    )
    assert [step.at_risk for step in found.steps] == [4, 3]
    assert [step.s for step in found.steps] == pytest.approx([0.75, 0.5])
    assert found.late == 3 and any("3 tubes came with hours" in remark for remark in found.remarks)


def test_late_entry_moves_the_weibull_fit():
    plain = survival(NIST_WEIBULL).weibull
    late = survival([Life(one.hours, one.failed, entry=50) for one in NIST_WEIBULL]).weibull
    by_hand = sum(
        one.failed * math.log(late.beta / late.eta * (one.hours / late.eta) ** (late.beta - 1))
        - (one.hours / late.eta) ** late.beta
        + (50 / late.eta) ** late.beta
        for one in NIST_WEIBULL
    )
    assert late.loglik == pytest.approx(by_hand, rel=1e-6)
    assert late.beta != pytest.approx(plain.beta, rel=1e-3)


def test_one_is_no_plural():
    one = survival([Life(100, True), Life(300, False, entry=50)], left_out=1)
    assert one.remarks[0] == "No Weibull fit from 1 failure; it needs 3."
    assert one.remarks[1].startswith("1 failure only:")
    assert "1 tube came with hours on it and counts from those hours on." in one.remarks
    assert "1 tube of unknown hours is left out." in one.remarks
    with pytest.raises(SurvivalRefused, match="1 tube and no failure"):
        survival(lives([], [500]))


def test_little_data_is_flagged_or_refused():
    found = survival(lives([100, 300], [500]), left_out=2)
    assert found.weibull is None and any("needs 3" in remark for remark in found.remarks)
    assert any("2 failures only" in remark for remark in found.remarks)
    assert any("2 tubes of unknown hours" in remark for remark in found.remarks)
    assert found.as_dict()["weibull"] is None
    assert survival(lives([100] * 4, [500])).weibull is None
    assert survival(lives([0, 100, 200, 300], [500])).weibull is None
    for nothing in (
        [],
        lives([0], []),
        lives([], [100, 200]),
        [Life(-1, True)],
        [Life(5, True, entry=9)],
        [Life(math.nan, True)],
    ):
        with pytest.raises(SurvivalRefused):
            survival(nothing)


def test_none_is_left_at_the_end():
    found = survival(lives([10, 20, 30], []))
    assert (found.steps[-1].s, found.steps[-1].se, found.median) == (0, None, 20)


def test_long_lives():
    found = survival([Life(life.hours * 200, life.failed) for life in NIST_WEIBULL])
    assert (found.weibull.eta, found.weibull.beta) == pytest.approx((606.5280 * 200, 1.7208), rel=1e-3)


# --- tables -----------------------------------------------------------------------------------------------------------


def test_tables_are_read():
    assert parse_lives("hours,failed\n10,1\n\n20,0\n") == [Life(10, True), Life(20, False)]
    text = "\ufeffFailed;Hours;entry\r\nyes;10,5;\r\nno;20;3,5\r\n;;\r\n"
    assert parse_lives(text) == [Life(10.5, True), Life(20, False, 3.5)]


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("", ""),
        ("hours\n1\n", ":1"),
        ("hours,failed,failed\n", ":1"),
        ("hours,failed\n1,1\nten,1\n", ":3"),
        ("hours,failed\n1,perhaps\n", ":2"),
        ("hours,failed\n-1,1\n", ":2"),
        ("hours,failed\nnan,1\n", ":2"),
        ("hours,failed\ninf,1\n", ":2"),
        ("hours,failed\n1e99,1\n", ":2"),
        ("hours,failed\n1_0,1\n", ":2"),
        ("hours,failed\n1\n", ":2"),
        ("hours,failed\n1,1,5\n", ":2"),
        ("hours,failed\n\x00,1\n", ":2"),
        ('hours,failed\n"1,1\n', ":2"),
        ("hours,failed,entry\n5,1,9\n", ":2"),
    ],
)
def test_bad_tables_name_the_line(text, line):
    with pytest.raises(SurvivalRefused, match=f"tubes.csv{line}") as refusal:
        parse_lives(text, "tubes.csv")
    assert "\n" not in str(refusal.value)


@given(st.text(alphabet="hoursfailed,;\t\n\r01.\"'x\x00é", max_size=60))
def test_any_text_is_read_or_refused(text):
    try:
        assert all(life.hours >= 0 for life in parse_lives("hours,failed\n" + text))
    except SurvivalRefused as refusal:
        assert str(refusal).startswith("lives:")


@given(st.lists(st.tuples(st.integers(0, 50), st.integers(1, 50), st.booleans()), min_size=1, max_size=30))
def test_stretches_hold_every_tube_once_and_touch_nowhere(rows):
    lives = [Life(float(entry + length), failed, float(entry)) for entry, length, failed in rows]
    parts = stretches(lives)
    assert sorted((one for part in parts for one in part), key=repr) == sorted(lives, key=repr)
    for before, after in pairwise(parts):
        assert max(one.hours for one in before) <= min(one.entry for one in after)


def test_a_weibull_share_of_those_that_got_so_far():
    """S(t)/S(t0), arithmetic; nothing is lost where S itself is too small for a float."""
    fit = Weibull(1000.0, 2.0, 0.0, 324.6, (1.0, 1.0), (1.0, 1.0), (1.0, 1.0))
    assert fit.surviving(1500.0, 500.0) == pytest.approx(fit.surviving(1500.0) / fit.surviving(500.0))
    assert fit.surviving(60_000.0, 60_000.0) == 1.0
