"""Verdicts and advice. Sources beside the cases; "our default" is in no manual and stands in the table of limits."""

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.running.rules.advice import KEEP, LAST_WORD, SCRAP, SELL, TEST, USE, AdviceFacts, advise
from inventory.running.rules.gas import judge_gas, reads_current
from inventory.running.rules.verdicts import (
    BORDERLINE,
    GOOD,
    NOT_COMPARABLE,
    REJECT,
    Reading,
    activity,
    fall_pct,
    judge,
    whole_tube,
)
from tubes.rules.limits import Limit, Limits

NO_SOURCE = "common practice, no source"


def limits(**values):
    rows = {"test.borderline_pct": 10.0, "activity.fall_pct": 10.0}
    rows |= {key.replace("__", "."): value for key, value in values.items()}
    return Limits({key: Limit(key, value, "%", "", NO_SOURCE) for key, value in rows.items()})


def verdict(figure, **more):
    return judge(Reading(figure, shorted=False, **more), limits())


def test_l3_1_fall_of_transconductance():
    assert fall_pct(4000, 3100) == pytest.approx(22.5, abs=1e-9)
    with pytest.raises(ValueError, match="first reading of 0"):
        fall_pct(0, 1)


def test_l3_2_scatter_of_new_tubes():
    """R. Matthews, leedsradio.com/technical/testslikenew.html: new tubes lie from 0.66 to 1.33 of the centre value."""
    table = Path(__file__).parents[3] / "fixtures" / "reference" / "limits.csv"
    with table.open(encoding="utf-8-sig", newline="") as file:
        values = {row["key"]: float(row["value"]) for row in csv.DictReader(file)}
    assert 1600 * values["judge.gm_low"] == pytest.approx(1056, abs=1e-9)
    assert 1600 * values["judge.gm_high"] == pytest.approx(2128, abs=1e-9)


@pytest.mark.parametrize(
    ("figure", "expected"), [(24, REJECT), (25, BORDERLINE), (27, BORDERLINE), (27.5, BORDERLINE), (28, GOOD)]
)
def test_l3_3_against_a_minimum_of_25(figure, expected):
    """Minimum of the 6SQ7 triode: TM 11-6625-316-12 par. 21-23; at the limit it is kept: TM 11-6625-542-14-1 par. 6-7.
    The ten percent above it are our default."""
    found = verdict(figure, type_minimum=25, minimum_source="roll chart")
    assert (found.verdict, found.limit) == (expected, 25)
    assert "roll chart" in found.limit_from


def test_l3_7_activity():
    """W. Donzelli on margin checking (classiccmp list): ten percent less filament voltage; the limit has no source."""
    found = activity(3000, 2700, limits())
    assert found.fall_pct == pytest.approx(10, abs=1e-9)
    assert found.strong and not activity(3000, 2699, limits()).strong


def test_its_own_minimum_comes_first():
    assert verdict(50, minimum=60, type_minimum=25).verdict == REJECT
    assert verdict(50, minimum=30, type_minimum=60).limit_from == "its own minimum"


def test_without_a_minimum_nothing_compares():
    found = verdict(50, first=80)
    assert (found.verdict, found.percent_of_first, found.limit) == (NOT_COMPARABLE, 62.5, None)


def test_a_shorted_tubes_other_readings_are_not_taken():
    found = judge(Reading(500, shorted=True, minimum=25, first=480, gas="4"), limits())
    assert (found.verdict, found.percent_of_first) == (REJECT, None)
    assert not any("500" in reason or "Gas" in reason for reason in found.reasons)


def test_what_else_was_seen_is_told():
    found = judge(Reading(50, None, minimum=25, first=100, gas="2 divisions", noisy=True), limits())
    told = " ".join(found.reasons)
    assert all(words in told for words in ("50.0 % of its own first", "not looked at", "2 divisions", "Noisy"))
    assert judge(Reading(None, False, minimum=25), limits()).verdict == NOT_COMPARABLE


def test_a_double_tube_is_its_worst_section():
    good, near, bad, none = (verdict(figure, minimum=25) for figure in (50, 26, 10, None))
    assert whole_tube({"1": good, "2": near}, ("1", "2")).verdict == BORDERLINE
    assert whole_tube({"1": good, "2": bad}, ("1", "2")).verdict == REJECT
    assert whole_tube({"1": near, "2": none}, ("1", "2")).verdict == NOT_COMPARABLE
    half = whole_tube({"1": good}, ("1", "2"))
    assert half.verdict == NOT_COMPARABLE and "Section 2 not read in the last test." in half.reasons
    assert whole_tube({"": good}, ("",)) == good
    with pytest.raises(ValueError):
        whole_tube({}, ())


# --- advice (common practice, no source, unless named) ----------------------------------------------------------------


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        (AdviceFacts(None), TEST),
        (AdviceFacts(NOT_COMPARABLE), TEST),
        (AdviceFacts(REJECT, rejects=1, good=9), TEST),
        (AdviceFacts(REJECT, rejects=2, good=9), SCRAP),
        (AdviceFacts(REJECT, rejects=2, good=0), KEEP),  # rare types are kept even weak
        (AdviceFacts(REJECT, shorted=True, rejects=1), TEST),
        (AdviceFacts(REJECT, shorted=True, rejects=2), SCRAP),
        (AdviceFacts(BORDERLINE, fitted=True), USE),  # slightly weak ones stay while the set works (wartime practice)
        (AdviceFacts(BORDERLINE, places=2), USE),
        (AdviceFacts(BORDERLINE, good=9), SELL),
        (AdviceFacts(BORDERLINE, good=1), KEEP),
        (AdviceFacts(GOOD, fitted=True), USE),
        (AdviceFacts(GOOD, places=2, good=5, rank=2), KEEP),
        (AdviceFacts(GOOD, places=2, good=5, rank=3), USE),
        (AdviceFacts(GOOD, good=9), SELL),
        (AdviceFacts(GOOD, good=5), KEEP),
        (AdviceFacts(GOOD, good=9, age_months=30, old_months=24), TEST),
        (AdviceFacts(REJECT, rejects=2, good=9, age_months=30, old_months=24), SCRAP),
    ],
)
def test_advice(facts, expected):
    found = advise(facts)
    assert found.advice == expected
    assert len(found.reasons) >= 2 and found.reasons[-1] == LAST_WORD


def test_nothing_untested_goes_to_scrap():
    """A collector's rule from 211s out of rotted cartons (amradio list)."""
    for shorted in (False, True):
        for rejects in range(4):
            assert advise(AdviceFacts(None, shorted, rejects, good=99, age_months=99, old_months=1)).advice == TEST


def test_a_place_among_the_good_ones_is_never_beyond_their_number():
    """The good ones at hand are fewer than those read: some are in sets, and one may not be called good yet."""

    def said(**facts):
        return advise(AdviceFacts(GOOD, places=1, **facts)).reasons[0]

    assert said(good=10, rank=1).startswith("Good, number 1 of 10: the best are put by")
    assert said(good=0, rank=1).startswith("Good, the only one of its type that was read: ")
    assert said(good=1, rank=1, others_read=3).startswith(
        "Good, the only one called good; 3 others of its type were read, and not called good yet: "
    )
    assert said(good=2, rank=4).startswith("Good, number 4 of 4: ")
    assert "1 good of its type is here" in advise(AdviceFacts(REJECT, rejects=2, good=1)).reasons[0]
    aged = advise(AdviceFacts(GOOD, good=1, age_months=1, old_months=0.5)).reasons
    assert "Its last test is 1 month old." in aged


# --- gas, shorts, leakage ---------------------------------------------------------------------------------------------


def table_limits():
    table = Path(__file__).parents[3] / "fixtures" / "reference" / "limits.csv"
    with table.open(encoding="utf-8-sig", newline="") as file:
        rows = [Limit(r["key"], float(r["value"]), r["unit"], r["meaning"], r["source"]) for r in csv.DictReader(file)]
    return Limits({row.key: row for row in rows})


def test_the_limit_of_gas_is_a_row_with_its_source():
    """TM 11-6625-316-12, page 120049: in the gas test the pointer must stay within 3 divisions."""
    row = table_limits().row("test.gas_div")
    assert (row.value, row.unit, row.source) == (3, "divisions", "tm-11-6625-316-12")


OVER_THE_LIMIT = [
    "4", "4 divisions", "3.5 div", "3,5", "3½", "2-4", "2 to 5 divisions", ">3", "over 3", "3+", "gas 6", "moves 5",
    "8 at 250 V", "5 uA", "5 µA", "2.5 microamperes", "0.01 mA", "gassy", "off scale", "high", "Yes.",
    "2 or 4", "2 and 4", "4/10", "1, then 4", "2 or 4 div", "12000 nA", "ionised", "haze between the electrodes",
]  # fmt: skip
WITHIN = ["0", "3", "3 divisions", "2 div.", "1-3", "<3", "none", "no gas", "ok", "1 µA", "2 uA", "0.001 mA", "-2",
    "no", "nil", "none at 250 V", "gas: none", "not gassy", "12 nA", "500 nA", "2 or 3", "1 div after 5 min",
    "no gas at all",
]  # fmt: skip
NOT_READ = ["-", "?", "not tested", "n/a"]
ONLY_TOLD = [
    "slight", "trace of gas", "trace", "some", "not high", "blue glow", "blue glow in the bulb", "purple", "12 %",
    "15 %", "3 V",
]  # fmt: skip


@pytest.mark.parametrize("written", OVER_THE_LIMIT)
def test_gas_above_its_limit_is_never_good(written):
    found = judge(Reading(80, False, minimum=25, gas=written), table_limits())
    assert (found.verdict, found.doubt) == (BORDERLINE, "gas")
    assert advise(AdviceFacts(found.verdict, doubt=found.doubt)).advice == TEST
    assert found.reasons[0].startswith(f"Gas as read: {written.rstrip('.')}")
    assert judge(Reading(20, False, minimum=25, gas=written), table_limits()).verdict == REJECT
    assert judge(Reading(80, False, gas=written), table_limits()).verdict == BORDERLINE  # no minimum is known


@pytest.mark.parametrize("written", [*WITHIN, *NOT_READ])
def test_gas_within_its_limit_changes_nothing(written):
    found = judge(Reading(80, False, minimum=25, gas=written), table_limits())
    assert (found.verdict, found.doubt) == (GOOD, "")
    assert any(reason.startswith("Gas as read") for reason in found.reasons)


@pytest.mark.parametrize("written", ONLY_TOLD)
def test_gas_that_is_told_and_cannot_be_judged_is_no_spare(written):
    found = judge(Reading(80, False, minimum=25, gas=written), table_limits())
    assert (found.verdict, found.doubt) == (BORDERLINE, "gas that cannot be judged")
    assert "cannot be judged: read it again." in found.reasons[0]
    advice = advise(AdviceFacts(found.verdict, places=2, doubt=found.doubt))
    assert advice.advice == TEST
    assert "fluorescence and no gas, a haze between the electrodes is gas (common practice, no source)" in str(advice)


@pytest.mark.parametrize("written", ["blue glow", "6 divisions", "gassy"])
def test_a_tube_filled_with_mercury_glows_by_nature(written):
    """A mercury vapour rectifier (866A) glows blue when it conducts: common practice, no source."""
    found = judge(Reading(80, False, minimum=25, gas=written, filled="mercury"), table_limits())
    assert (found.verdict, found.doubt) == (GOOD, "")
    assert found.reasons[-1] == f"Gas as read: {written}; its type is filled with mercury, so that does not count."


def test_a_bare_figure_has_the_unit_in_which_the_instrument_is_read_otherwise():
    def said(gas):
        return judge(Reading(80, False, minimum=25, gas=gas, gas_in_current=True), table_limits())

    assert (said("2.5").verdict, said("2.5 div").verdict, said("1.5").verdict) == (BORDERLINE, GOOD, GOOD)
    assert "counts as microamperes" in said("2.5").reasons[0] and "2 microampere" in said("2.5").reasons[0]
    assert reads_current(["2.5 uA", "none", "3"]) and not reads_current(["2.5 uA", "2 div"])
    assert not reads_current(["3", "none"]) and not reads_current([])


@given(st.text(max_size=40))
def test_whatever_is_written_of_gas_is_answered(written):
    found = judge_gas(written, table_limits())
    assert found is None or found.text.startswith("Gas as read: ")


def test_leakage_in_words_is_never_good():
    found = judge(Reading(80, minimum=25, leakage="grid to heater, 2 megohm"), table_limits())
    assert (found.verdict, found.doubt) == (BORDERLINE, "shorts or leakage")
    assert judge(Reading(80, minimum=25, leakage="none seen"), table_limits()).verdict == GOOD


def test_no_shorts_with_leakage_in_words_is_never_good():
    found = judge(Reading(80, False, minimum=25, leakage="h-k leakage 0.5 meg"), table_limits())
    assert (found.verdict, found.doubt) == (BORDERLINE, "shorts or leakage")
    for none in ("none", "none, tapped", "no h-k leakage", "no leakage found"):
        assert judge(Reading(80, False, minimum=25, leakage=none), table_limits()).verdict == GOOD


def test_a_gassy_section_makes_the_tube_borderline_and_says_so():
    gassy = judge(Reading(80, False, minimum=25, gas="6"), table_limits())
    whole = whole_tube({"1": verdict(50, minimum=25), "2": gassy}, ("1", "2"))
    assert (whole.verdict, whole.doubt) == (BORDERLINE, "gas")
    assert "Section 2: borderline. Gas as read: 6" in " ".join(whole.reasons)
    told = judge(Reading(20, False, minimum=25, gas="some"), table_limits())
    whole = whole_tube({"1": verdict(50, minimum=25), "2": told}, ("1", "2"))
    assert whole.verdict == REJECT and "Section 2: reject. 20 is below 25" in whole.reasons[1]
    assert "Gas as read: some" in whole.reasons[1]


def test_a_rectifier_has_no_grid_resistor():
    said = [advise(AdviceFacts(BORDERLINE, doubt="gas", gridless=one)).reasons[0] for one in (False, True)]
    assert "large grid resistor" in said[0] and "grid" not in said[1]
    assert said[1].startswith("Gas above its limit: no spare. ")


@pytest.mark.parametrize("doubt", ["gas", "shorts or leakage"])
@pytest.mark.parametrize("places", [0, 3])
@pytest.mark.parametrize("good", [0, 9])
def test_a_doubted_tube_is_no_spare(doubt, places, good):
    assert advise(AdviceFacts(BORDERLINE, places=places, good=good, doubt=doubt)).advice == TEST
