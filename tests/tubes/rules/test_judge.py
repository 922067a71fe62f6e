"""The judge: every check, what is assumed, what is not known, and what never happens."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.tubes.rules.bench import as_judged, bench, judged, rated
from tubes.rules import judge_figures
from tubes.rules.figures import Figure, TypeFigures, Word, form_like, form_of, known_type
from tubes.rules.judge import Bench, judge
from tubes.rules.judge_figures import bands_for, capacitances_for, ceilings_for
from tubes.rules.judge_heater import EMITTER_OF, of_any_emitter, rank_of_any, tolerance_of
from tubes.rules.judge_open import lacking_of, lacking_words
from tubes.rules.judge_parts import VERDICTS, Conditions, Judgement
from tubes.rules.limits import Limits
from tubes.rules.relations import kinship
from tubes.rules.stamp import DesignationRow

NAMES = sorted(rated())


def without(figures: TypeFigures, name: str) -> TypeFigures:
    numbers = {key: value for key, value in figures.numbers.items() if key != name}
    words = {key: value for key, value in figures.words.items() if key != name}
    return replace(figures, numbers=numbers, words=words)


def with_number(figures: TypeFigures, name: str, value: float) -> TypeFigures:
    return replace(figures, numbers={**figures.numbers, name: Figure(value)})


def plain(wanted: TypeFigures, candidate: TypeFigures, **conditions: object) -> Judgement:
    return judge(wanted, candidate, Conditions(**conditions), bench())  # type: ignore[arg-type]


def verdicts(judgement: Judgement) -> dict[str, str]:
    return {finding.check: finding.verdict for finding in judgement.findings}


# --- the whole table -------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def all_pairs() -> dict[tuple[str, str], str]:
    """Verdicts on types of ratings.csv, each finding looked at on the way.

    Every type in every place would be half a million pairs: a type meets itself, its kin, and each twelfth of the rest.
    """
    told, kin = {}, bench().kin
    for at, wanted in enumerate(NAMES):
        near = {wanted, *kin.same_as(wanted), *(one.type for one in kin.relatives(wanted))} & set(NAMES)
        for candidate in sorted(near | set(NAMES[at % 12 :: 12])):
            found = judged(wanted, candidate)
            assert found.findings and all(finding.text[-1] == "." for finding in found.findings)
            told[wanted, candidate] = found.verdict
    return told


def test_every_pair_is_judged(all_pairs: dict[tuple[str, str], str]) -> None:
    assert len(all_pairs) > 35_000 and {name for name, _ in all_pairs} == set(NAMES)
    assert set(all_pairs.values()) == set(VERDICTS)


def test_nothing_fits_by_what_is_not_known(all_pairs: dict[tuple[str, str], str]) -> None:
    """By a list of its own: figures that a judgement needs, by the kind that is wanted.

    Of a type itself nothing is asked that is not known; of its forms, what is not known of the type neither.
    """
    usable = {"itself": 0, "form": 0, "stranger": 0}
    for (wanted, candidate), verdict in all_pairs.items():
        open_of = {name: _needed(wanted, name) - _known(name) for name in (wanted, candidate)}
        if wanted == candidate:
            whose = "itself"
            assert verdict == "fits"
        elif candidate in bench().kin.same_as(wanted):  # one tube under two names: as of itself
            whose = "itself"
        elif bench().kin.forms.between(wanted, candidate):
            whose = "form"
            if verdict == "fits":
                assert not open_of[wanted], (wanted, candidate)
            if verdict != "unsuitable" and open_of[candidate] - open_of[wanted]:
                assert verdict == "not known", (wanted, candidate)
        else:
            whose = "stranger"
            if verdict in USABLE:
                assert not any(open_of.values()), (wanted, candidate)
        usable[whose] += verdict in USABLE
    assert usable["itself"] >= len(NAMES) and usable["form"] > 10 and usable["stranger"] > 100, usable


USABLE = ("fits", "with care", "rewire or adapter")


def _known(name: str) -> set[str]:
    return set(rated()[name].numbers) | set(rated()[name].words)


def _needed(wanted: str, name: str) -> set[str]:
    """What must be known of a type to judge it in the place of another, by the kind that is wanted."""
    amplifier = {"plate_v_max", "plate_w_max"}
    by_kind = {
        "triode": amplifier | {"mu"},
        "duotriode": amplifier | {"mu"},
        "tetrode": amplifier | {"screen_v_max", "screen_w_max", "gm_umho"},
        "beam-tetrode": amplifier | {"screen_v_max", "screen_w_max", "gm_umho"},
        "pentode": amplifier | {"screen_v_max", "screen_w_max", "gm_umho"},
        "heptode": amplifier | {"screen_v_max", "screen_w_max"},
        "rectifier": {"plate_v_max", "plate_ma_typ"},
        "gas-rectifier": {"plate_v_max", "plate_ma_typ"},
        "duodiode": {"plate_v_max", "plate_ma_typ"},
    }
    heater = set() if rated()[name].cold else {"heater_v", "heater_a"}
    always = {"kind", "cathode", "base", "basing", "cap"}
    return always | heater | by_kind.get(rated()[wanted].word("kind"), set())


def test_identity_wins() -> None:
    """A type fits itself whatever is not known of it; what was not asked is named. EF50 has no figures at all."""
    for name in NAMES:
        found = judged(name, name)
        assert found.verdict == "fits" and not found.unknown
    bare = plain(TypeFigures("EF50"), TypeFigures("EF50"), plate_v=250, neutralized=True)
    assert bare.verdict == "fits"
    kinship = bare.of("kinship")
    assert kinship is not None and kinship.text.startswith("The same type. Not known of it, and not asked: ")
    assert "kind" in kinship.text and "grid-plate capacitance" in kinship.text
    assert plain(TypeFigures("6CA7"), rated()["EL34"]).verdict == "fits"  # one tube under two names (relations)
    assert judged("28D7", "28D7").verdict == "fits"


def test_only_what_lacks_is_called_not_known() -> None:
    """EL33 of avo-vdm23: heater 6.3 V on octal pins; neither cathode nor basing stands there."""
    bare = TypeFigures("EL33", {"heater_v": Figure(6.3)}, {"base": Word("octal"), "cap": Word("none")})
    itself = plain(bare, bare).of("kinship")
    assert itself is not None
    assert itself.text == "The same type. Not known of it, and not asked: heater current, kind, cathode, basing."
    half = TypeFigures("9Q9", {"heater_v": Figure(6.3)}, {"kind": Word("triode"), "base": Word("octal")})
    form = TypeFigures("9Q9G", {"heater_v": Figure(6.3)}, {"base": Word("octal"), "cap": Word("none")})
    forms = Bench(bench().limits, bench().basings, kinship([], ["9Q9", "9Q9G"]))
    told = judge(half, form, Conditions(), forms).of("kinship")
    assert told is not None and "; of 9Q9G: heater current, cathode, basing" in told.text
    assert "Not known of 9Q9, and not asked: heater current, cathode" in told.text and "heater voltage" not in told.text
    assert lacking_words(half, form, ["kind", "top cap"]) == "Not known of 9Q9, and not asked: top cap; of 9Q9G: kind."
    assert lacking_of(TypeFigures("9R9", words={"kind": Word("rectifier")}), ["kind"]) == ("full-wave or half-wave",)


def test_identity_hides_no_working_value_that_is_too_much() -> None:
    assert judged("12AX7", "12AX7", plate_v=340).verdict == "unsuitable"  # 300 V: Tung-Sol sheet (tungsol-12ax7)


@pytest.mark.parametrize("name", ["6SN7GT", "807", "211", "5U4G", "0D3", "6SK7", "6SA7", "2D21", "829B", "6K8"])
def test_each_figure_that_is_taken_away_leaves_it_open(name: str) -> None:
    figures = rated()[name]
    conditions = {"neutralized": True, "tuned": True} if "cin_pf" in figures.numbers else {}
    before = plain(figures, figures, **conditions)
    assert before.verdict == "fits", verdicts(before)
    given = Conditions(**conditions)
    needed = {c.figure for c in ceilings_for(figures, given)} | {b.figure for b in bands_for(figures)}
    needed |= {c.figure for c in capacitances_for(figures, given)} | {"kind", "cathode", "base", "basing", "cap"}
    needed |= {"regulation_v", "start_v"} & figures.numbers.keys()
    if not figures.cold:
        needed |= {"heater_v", "heater_a"}
    for figure in needed:
        less = without(figures, figure)
        other = replace(less, name="another")
        assert plain(figures, other, **conditions).verdict == "not known", figure


# --- worse figures never make a better verdict -----------------------------------------------------------------------

_WORSE_DOWN = ("plate_v_max", "plate_w_max", "screen_v_max", "screen_w_max", "plate_ma_typ", "freq_max_mhz")
_CONDITIONS = st.builds(
    Conditions,
    series=st.booleans(),
    plate_v=st.none() | st.floats(min_value=10, max_value=3000),
    plate_w=st.none() | st.floats(min_value=0.1, max_value=200),
    screen_v=st.none() | st.floats(min_value=10, max_value=500),
    frequency_mhz=st.none() | st.floats(min_value=0.1, max_value=300),
    neutralized=st.booleans(),
    tuned=st.booleans(),
)


@settings(deadline=None)
@given(
    st.sampled_from(NAMES),
    st.sampled_from(NAMES),
    st.sampled_from(_WORSE_DOWN),
    st.floats(min_value=0.05, max_value=0.999),
    _CONDITIONS,
)
def test_less_of_a_maximum_is_never_better(
    wanted: str, candidate: str, figure: str, part: float, conditions: Conditions
) -> None:
    before = rated()[candidate]
    value = before.number(figure)
    if value is None:
        return
    after = with_number(before, figure, value * part)
    found = [judge(rated()[wanted], one, conditions, bench()).rank for one in (before, after)]
    assert found[1] >= found[0]


@settings(deadline=None)
@given(
    st.sampled_from(NAMES),
    st.sampled_from(NAMES),
    st.sampled_from(["heater_v", "mu", "gm_umho", "gc_umho", "cgp_pf", "cin_pf", "cout_pf", "regulation_v"]),
    st.floats(min_value=1.001, max_value=5),
    _CONDITIONS,
)
def test_farther_from_the_wanted_value_is_never_better(
    wanted: str, candidate: str, figure: str, times: float, conditions: Conditions
) -> None:
    need, value = rated()[wanted].number(figure), rated()[candidate].number(figure)
    if need is None or value is None:
        return
    farther = value * times if value >= need else value / times
    before, after = rated()[candidate], with_number(rated()[candidate], figure, farther)
    found = [judge(rated()[wanted], one, conditions, bench()).rank for one in (before, after)]
    assert found[1] >= found[0]


@settings(deadline=None)
@given(st.sampled_from(NAMES), st.sampled_from(NAMES), st.floats(min_value=1.001, max_value=9), st.booleans())
def test_more_heater_current_is_never_better(wanted: str, candidate: str, times: float, series: bool) -> None:
    need, value = rated()[wanted].number("heater_a"), rated()[candidate].number("heater_a")
    if need is None or value is None or (series and value < need):
        return
    after = with_number(rated()[candidate], "heater_a", value * times)
    found = [plain(rated()[wanted], one, series=series).rank for one in (rated()[candidate], after)]
    assert found[1] >= found[0]


# --- heaters ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cathode", "volts", "supply", "verdict"),
    [
        # oxide 5 % best, swings near 10 % tolerated (tubecad-2000-10)
        ("oxide-indirect", 6.0, 6.3, "fits"),
        ("oxide-indirect", 6.3, 5.7, "with care"),
        ("oxide-indirect", 6.3, 6.9, "with care"),
        ("oxide-indirect", 6.3, 5.6, "unsuitable"),
        ("oxide-indirect", 6.3, 7.0, "rewire or adapter"),  # a dropper mends it
        # thoriated 5 % either way, and no further (rca-wartime)
        ("thoriated-tungsten", 10, 9.5, "fits"),
        ("thoriated-tungsten", 10, 9.4, "unsuitable"),
        ("thoriated-tungsten", 10, 10.6, "rewire or adapter"),
        # pure tungsten as low as gives emission: 15 % less is in the notice (rca-wartime)
        ("tungsten", 10, 8.6, "with care"),
        ("tungsten", 10, 8.4, "unsuitable"),
        ("tungsten", 10, 10.6, "rewire or adapter"),
    ],
)
def test_tolerance_by_emitter(cathode: str, volts: float, supply: float, verdict: str) -> None:
    tube = rated()["211"]
    tube = replace(
        with_number(with_number(tube, "heater_v", volts), "heater_a", 1), words={**tube.words, "cathode": Word(cathode)}
    )
    found = plain(tube, tube, supply_v=supply).of("heater voltage")
    assert found is not None and found.verdict == verdict


@pytest.mark.parametrize(
    ("volts", "verdict"),
    [(3.2, "rewire or adapter"), (6.3, "fits"), (6.8, None), (7.5, "unsuitable"), (25.2, "unsuitable")],
)
def test_an_emitter_that_is_not_known_matters_only_where_emitters_differ(volts: float, verdict: str | None) -> None:
    """Bands of tubecad-2000-10 and rca-wartime: 5 % is right for each, 15 % under and 10 % over the most of any."""
    tube = with_number(without(rated()["6SN7GT"], "cathode"), "heater_v", volts)
    found = plain(rated()["6SN7GT"], replace(tube, name="another")).of("heater voltage")
    assert found is not None and found.verdict == (verdict or "not known")
    if verdict:
        assert "of any emitter" in found.text


def test_without_limits_an_emitter_that_is_not_known_stays_open() -> None:
    """A house whose reference tables are not loaded yet."""
    band = of_any_emitter(Limits({}))
    assert {rank_of_any(off, None, Limits({})) for off in (-80.0, 0.0, 300.0)} == {VERDICTS.index("not known")}
    assert band.low < 0 < band.care_low


def test_what_was_assumed_is_said() -> None:
    found = judged("6SN7GT", "6SL7GT")
    texts = {finding.check: finding.text for finding in found.findings}
    assert texts["heater voltage"].startswith("Assumed: heaters in parallel on the 6.3 V of 6SN7GT")
    assert "(assumed: the rating of 6SN7GT)" in texts["plate voltage"]
    given = judged("6SN7GT", "6SL7GT", supply_v=6.3, plate_v=250, plate_w=1, frequency_mhz=1)
    texts = {finding.check: finding.text for finding in given.findings}
    assert "Assumed" not in texts["heater voltage"] and "(given)" in texts["plate voltage"]
    assert "(given)" in texts["frequency"]


def test_conditions_narrow_and_widen() -> None:
    """5692 for 6SN7GT: 275 V and 1.75 W (from memory) do for a place that asks no more."""
    assert judged("6SN7GT", "5692").verdict == "unsuitable"
    assert judged("6SN7GT", "5692", plate_v=250, plate_w=1.5).verdict == "fits"
    assert judged("12AX7", "12AX7", plate_v=320).verdict == "with care"
    assert judged("12AX7", "12AX7", plate_v=340).verdict == "unsuitable"


def test_tapped_heater_in_its_other_connection() -> None:
    """12AU7: 12.6 V 0.15 A or 6.3 V 0.3 A (Tung-Sol sheet)."""
    assert judged("12AU7", "12AU7", supply_v=6.3).verdict == "fits"
    found = judged("12AU7", "12AX7", supply_v=6.3)
    assert verdicts(found)["heater voltage"] == "fits" and "its other connection" in found.findings[0].text + str(found)
    # where the place is wired for 12.6 V, nothing changes; where a 6.3 V tube of other pins stood, the heater does
    other = judged("5670", "12AU7")
    assert verdicts(other)["heater voltage"] == "rewire or adapter"
    assert any("connect the heater for 6.3 V" in words for words in other.consequences)
    string = judged("12AU7", "12AU7", series=True, string_a=0.3)
    assert verdicts(string)["heater current"] == "fits"


@pytest.mark.parametrize("name", ["12AU7", "12BH7", "5814"])
def test_a_tapped_heater_is_wired_for_the_voltage_that_is_there(name: str) -> None:
    """Noval 9A: 12.6 V across 4 and 5, or 6.3 V from 4 and 5 joined to 9 (Tung-Sol sheet of the 12AU7)."""

    def line(wanted: str, candidate: str, **conditions: object) -> str:
        told = judged(wanted, candidate, **conditions)
        (words,) = (said for said in told.consequences if said.startswith("adapter"))
        assert words.split("adapter")[1] in told.of("base").text  # type: ignore[union-attr]
        return words.split(": ")[1].split(", cathode")[0]

    assert line("6SN7GT", name) == "heater 7 -> 4+5, 8 -> 9"
    assert name != "12AU7" or line("6SN7GT", name, series=True, string_a=0.3) == "heater 7 -> 4+5, 8 -> 9"
    series = "heater 7 and 8 -> 4 and 5, heater middle none -> 9 (left free)"
    assert line("6SN7GT", name, supply_v=12.6) == line("12SN7GT", name) == series
    assert line(name, "6SN7GT", supply_v=6.3) == "heater 4+5 -> 7, 9 -> 8"
    assert line(name, "12SN7GT") == "heater 4 and 5 -> 7 and 8, heater middle 9 -> none"


def test_series_string_by_ohms_law() -> None:
    """6C4 for 6BA6 in a 0.30 A string: shunt of 42 ohm, 0.945 W (L2.14). No heater: 21 ohm, 1.9 W in its place."""
    found = judged("6BA6", "6C4", series=True)
    assert "heater wiring: a shunt of 42.0 ohm, 0.94 W across it" in found.consequences
    cold = judged("6X5GT", "0Z4", series=True).of("heater current")
    assert cold is not None and "10.5 ohm, 3.8 W" in cold.text  # 6.3 V / 0.6 A


def test_deviation_of_a_whole_string() -> None:
    """12.6 V for 6.3 V in a string of 117 V: 117 / 123.3 of every heater, 5.1 % under: with care for oxide."""
    wanted = with_number(rated()["12SK7"], "heater_v", 6.3)
    found = plain(wanted, rated()["12SK7"], series=True, supply_v=117).of("heater voltage")
    assert found is not None and found.verdict == "with care" and "5.1 % under" in found.text
    assert plain(wanted, rated()["12SK7"], series=True).of("heater voltage").verdict == "unsuitable"  # type: ignore[union-attr]


def test_conditions_that_cannot_be() -> None:
    with pytest.raises(ValueError, match="of 12SK7 alone"):
        judged("12SK7", "12SK7", series=True, supply_v=6.3)
    for bad in (0, -1, float("inf"), float("nan")):
        with pytest.raises(ValueError, match="plate_v is"):
            judged("6SN7GT", "6SN7GT", plate_v=bad)


def test_budget_of_a_supply() -> None:
    assert judged("6SL7GT", "5691", budget_a=0.6).of("heater current").verdict == "fits"  # type: ignore[union-attr]
    assert judged("6SL7GT", "5691", budget_a=0.5).of("heater current").verdict == "unsuitable"  # type: ignore[union-attr]
    assert "filament budget: +0.30 A at 6.3 V" in judged("6SL7GT", "5691").consequences


# --- capacitances, frequency, consequences ---------------------------------------------------------------------------


def test_capacitances_count_only_where_they_do() -> None:
    assert "grid-plate capacitance" not in verdicts(judged("211", "838"))
    found = judged("203A", "211", neutralized=True)
    assert verdicts(found)["grid-plate capacitance"] == "fits"  # 14.5 pF both (rca-amt-1934, gluisf-ltspice)
    assert "re-neutralize: another tube in a neutralized position" in found.consequences
    other = judged("211", "838", neutralized=True)
    assert verdicts(other)["grid-plate capacitance"] == "with care"
    assert "re-neutralize: grid-plate capacitance 14.5 -> 8 pF" in other.consequences
    far = judged("211", "805", neutralized=True)
    assert verdicts(far)["grid-plate capacitance"] == "rewire or adapter"
    tuned = judged("6J5", "6C5", tuned=True)
    assert verdicts(tuned)["output capacitance"] == "with care"  # 3.6 and 11 pF
    assert any(words.startswith("realign the plate circuit") for words in tuned.consequences)


def test_to_neutralize_is_told_once_whatever_it_is_called(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whether it was told is carried as a fact, not read back out of the words."""
    told = judged("211", "838", neutralized=True).consequences
    assert "re-neutralize: grid-plate capacitance 14.5 -> 8 pF" in told
    called = replace(judge_figures.CGP, entails="set the neutralizing capacitor anew")
    monkeypatch.setattr(judge_figures, "CGP", called)
    monkeypatch.setattr(judge_figures, "CAPACITANCES", (called, judge_figures.CIN, judge_figures.COUT))
    again = judged("211", "838", neutralized=True).consequences
    assert "set the neutralizing capacitor anew: grid-plate capacitance 14.5 -> 8 pF" in again
    assert len(again) == len(told) and not any("re-neutralize" in words for words in again)


def test_missing_capacitance_in_a_tuned_place_is_not_known() -> None:
    assert judged("6SQ7", "6SR7", tuned=True).verdict == "unsuitable"  # mu says no, whatever else is unknown
    other = replace(rated()["6SR7"], name="another")
    assert verdicts(plain(rated()["6SR7"], other, tuned=True))["input capacitance"] == "not known"
    assert judged("6SR7", "6SR7").verdict == "fits"


def test_frequency() -> None:
    assert judged("807", "807", frequency_mhz=60).verdict == "fits"
    assert judged("807", "807", frequency_mhz=100).verdict == "with care"
    assert judged("807", "807", frequency_mhz=150).verdict == "unsuitable"
    other = replace(rated()["6SK7"], name="another")
    assert plain(rated()["6SK7"], other, frequency_mhz=3.6).verdict == "not known"


def test_re_bias_and_glass_for_metal_and_caution() -> None:
    assert "re-bias: mu or transconductance differs" in judged("12AX7", "5751").consequences
    assert any(words.startswith("glass for metal") for words in judged("6L6", "6L6GC").consequences)
    assert not any(words.startswith("glass for metal") for words in judged("6L6", "6L6").consequences)
    for wanted, candidate in (
        ("6SK7", "6SG7"),
        ("6SK7", "6K7"),
        ("6SK7", "12SK7"),
        ("6SK7", "6SS7"),
        ("6SK7GT", "6K7"),
    ):
        told = as_judged(wanted, candidate).consequences  # all metal, or from glass: RCA receiving tubes, from memory
        assert not any(words.startswith("glass for metal") for words in told)
    assert any(words.startswith("glass for metal") for words in as_judged("6K7", "6K7G").consequences)
    assert any(words.startswith("glass for metal") for words in as_judged("6SK7", "6BA6").consequences)  # miniature
    mercury = replace(rated()["866A"], caution="Mercury vapour: keep upright.")
    assert "caution: Mercury vapour: keep upright." in plain(rated()["3B28"], mercury).consequences
    assert judged("6SN7GT", "6SN7GT").consequences == ()


# --- what rests on what ----------------------------------------------------------------------------------------------


def test_memory_is_named() -> None:
    text = judged("6L6", "6L6GC").of("plate dissipation").text  # type: ignore[union-attr]
    assert "memory" not in text  # stokes-70y and wp-6l6 state both
    assert "(both figures from memory)" in judged("808", "808").of("mu").text  # type: ignore[union-attr]
    assert "(wanted: from memory)" in judged("6L6", "6L6GC").of("plate voltage").text  # type: ignore[union-attr]


def test_sources_stand_with_the_finding() -> None:
    found = judged("6L6", "6L6GC").of("plate dissipation")
    assert found is not None
    assert found.source == "wanted: stokes-70y; candidate: wp-6l6; limit: common practice, no source"
    assert (found.wanted, found.candidate) == (19, 30)
    assert judged("6L6", "1614").of("kinship").source == "tubecad-1614"  # type: ignore[union-attr]


def test_a_lead_is_no_finding() -> None:
    """The 1633 (25 V heater) is `near` the 6SN7GT only by an unchecked row."""
    rows = [
        DesignationRow("6SN7GT", "maker", "1633", "near", "25 V heater; unchecked: no second text"),
        DesignationRow("6SN7GT", "maker", "6SN7WGT", "ruggedized", ""),
    ]
    leads = Bench(bench().limits, bench().basings, kinship(rows, ["6SN7GT"]))
    wanted = rated()["6SN7GT"]
    assert judge(wanted, TypeFigures("1633"), Conditions(), leads).of("kinship") is None
    strong = judge(wanted, TypeFigures("6SN7WGT"), Conditions(), leads)
    assert strong.of("kinship").verdict == "fits"  # type: ignore[union-attr]
    assert strong.verdict == "not known"  # figures still count
    back = judge(TypeFigures("6SN7WGT"), wanted, Conditions(), leads).of("kinship")
    assert back is not None and back.verdict == "with care" and "plain form" in back.text


def test_unsuitable_stands_whatever_else_is_unknown() -> None:
    assert judged("6SN7GT", "5686").verdict == "unsuitable"
    assert VERDICTS == ("fits", "with care", "rewire or adapter", "not known", "unsuitable")
    assert Judgement("A", "B", ()).verdict == "not known"


# --- what the notes of the tables say --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "figures"),
    [
        ("12AU7", {"alt_heater_v": 6.3, "alt_heater_a": 0.3}),
        ("304TL", {"alt_heater_v": 10, "alt_heater_a": 12.5}),
        ("829B", {"alt_heater_v": 6.3, "alt_heater_a": 2.25, "plate_w_max": 20, "screen_w_max": 3.5}),
        ("3A4", {"alt_heater_v": 1.4, "alt_heater_a": 0.2}),
        ("6SA7", {"gc_umho": 450}),
        ("6K8", {"gc_umho": 350}),
        ("0D3", {"regulation_v": 150, "regulation_ma": 40, "start_v": 185}),
        ("991", {"regulation_v": 60, "regulation_ma": 2, "start_v": 87}),
    ],
)
def test_figures_of_a_note(name: str, figures: dict[str, float]) -> None:
    """Read off the notes of ratings.csv by eye."""
    assert {key: rated()[name].number(key) for key in figures} == figures


def test_no_other_connection_where_the_note_names_none() -> None:
    for name in ("6159", "1625", "2C39A", "6SN7GT", "6C6"):
        assert "alt_heater_v" not in rated()[name].numbers


def test_forms() -> None:
    forms = {name: figures.form for name, figures in rated().items()}
    assert (forms["829B"].sections, forms["829B"].both) == (2, True)
    assert (forms["6SQ7"].diodes, forms["12SQ7"].diodes, forms["1S5"].diodes) == (2, 2, 1)
    assert [forms[name].cutoff for name in ("6SK7", "6SJ7", "6SG7", "12SK7", "57", "6L6")] == [
        "remote", "sharp", "semi-remote", "remote", "sharp", "",
    ]  # fmt: skip
    assert [forms[name].wave for name in ("5U4G", "866A", "25Z5")] == ["full-wave", "half-wave", "two separate diodes"]
    assert [forms[name].use for name in ("6E5", "6K8", "6L7", "12SA7")] == [
        "tuning indicator", "converter", "mixer", "converter",
    ]  # fmt: skip
    assert form_like("values per section; 12.6 V form of 6SN7GT") == "6SN7GT"
    assert form_like("42 with a 2.5 V heater") == "42" and form_like("transmitting form of 6F6 (metal)") == ""
    assert form_of("triode", "").sections == 1


def test_more_sections_make_up_for_no_missing_diode() -> None:
    """A 6SQ7 is a triode with two diodes, a 6SN7GT two triodes and no diode: fixtures/reference/ratings.csv."""
    (kind,) = (finding for finding in judged("6SQ7", "6SN7GT").findings if finding.check == "kind")
    assert kind.verdict == "unsuitable" and "no diodes where 2 are needed" in kind.text


class Asked(Limits):
    """Limits that remember which of them were asked for."""

    def __init__(self, limits: Limits) -> None:
        super().__init__({key: limits.row(key) for key in limits})
        self.asked: set[str] = set()

    def __getitem__(self, key: str) -> float:
        self.asked.add(key)
        return super().__getitem__(key)


def test_every_limit_of_the_judge_is_asked_for() -> None:
    """A limit that a keeper may change and that nothing goes by would be a promise not kept."""
    limits = Asked(bench().limits)
    watched = replace(bench(), limits=limits)
    places = [
        Conditions(), Conditions(neutralized=True, tuned=True, frequency_mhz=30.0),
        Conditions(plate_v=300.0, plate_w=5.0, screen_v=150.0, screen_w=0.5, output_ma=200.0),
    ]  # fmt: skip
    for name in ("6SN7GT", "807", "801A", "838", "866A", "0D3", "5U4G", "6SK7", "10", "861"):
        for other in NAMES[::3]:
            for place in places:
                judge(rated()[name], rated()[other], place, watched)
            if (volts := rated()[name].numbers.get("heater_v")) is not None:
                judge(rated()[name], rated()[other], Conditions(series=True, supply_v=10 * volts.value), watched)
    for cathode in EMITTER_OF:  # no type of the tables has a filament of plain tungsten
        tolerance_of(cathode, limits)
    assert {key for key in limits if key.startswith("judge.")} - limits.asked == set()


@pytest.mark.parametrize(
    ("wanted", "candidate", "verdict"),
    [
        ("6J5", "6SN7GT", "with care"),  # a section stands idle
        ("6SN7GT", "6J5", "unsuitable"),
        ("6SR7", "6J5", "unsuitable"),  # no diodes
        ("25Z5", "6X4", "unsuitable"),  # a doubler wants two separate diodes
        ("6L7", "6SA7", "unsuitable"),  # a mixer is no converter
        ("6E5", "6K8", "unsuitable"),
        ("6V6", "6F6", "with care"),
    ],
)
def test_kinds_and_sections(wanted: str, candidate: str, verdict: str) -> None:
    """Common practice, no source."""
    assert verdicts(judged(wanted, candidate))["kind"] == verdict


def test_a_nought_is_no_figure() -> None:
    made = known_type("made", {"heater_v": Figure(0), "mu": Figure(20)}, {})
    assert set(made.numbers) == {"mu"}
