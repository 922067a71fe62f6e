"""What a place gives and what is only assumed of it; rectifiers; what a row forbids or warns of."""

from dataclasses import replace

import pytest

from tests.tubes.rules.bench import as_judged, bench, judged, rated
from tubes.rules.figures import GAS, MERCURY, VACUUM, XENON, TypeFigures, Word, filling_of
from tubes.rules.judge import Bench, judge
from tubes.rules.judge_parts import Conditions, Judgement
from tubes.rules.relations import kinship
from tubes.rules.stamp import DesignationRow

FITS, CARE, REWIRE, UNKNOWN, NO = "fits", "with care", "rewire or adapter", "not known", "unsuitable"


def finding(judgement: Judgement, check: str) -> tuple[str, str]:
    found = judgement.of(check)
    assert found is not None, check
    return found.verdict, found.text


# --- what is assumed ------------------------------------------------------------------------------------------------


def test_an_assumed_value_that_falls_short_by_little_names_what_to_measure() -> None:
    """78 and 6D6: screens of 125 V and 100 V, one base, one kind (fixtures/reference/ratings.csv)."""
    found = judged("78", "6D6")
    assert found.verdict == CARE
    verdict, text = finding(found, "screen voltage")
    assert verdict == CARE and text.endswith("Depends on the screen voltage: measured at most 100 V.")
    assert judged("78", "6D6", screen_v=90).of("screen voltage").verdict == FITS  # type: ignore[union-attr]
    measured = judged("78", "6D6", screen_v=125)  # known, and a quarter over: no more to hope for
    assert measured.verdict == NO and "Depends" not in finding(measured, "screen voltage")[1]


def test_an_assumed_value_far_beyond_says_what_it_would_have_to_be() -> None:
    verdict, text = finding(judged("6L6", "6V6"), "plate dissipation")
    assert verdict == NO and text.endswith("It would have to be measured at most 12 W.")  # 19 W: stokes-70y


@pytest.mark.parametrize(
    ("watts", "verdict"), [(0.3, FITS), (0.42, CARE), (0.5, NO), (None, CARE)], ids=["under", "over", "beyond", "none"]
)
def test_screen_dissipation_is_stated(watts: float | None, verdict: str) -> None:
    """6SK7 for 6AC7: 0.4 W; stated, a tenth over is with care, as for the plate."""
    wanted = rated()["6AC7"]
    wanted = replace(wanted, numbers={**wanted.numbers, "screen_w_max": replace(wanted.numbers["cgp_pf"], value=0.46)})
    found = judge(wanted, rated()["6SK7"], Conditions(screen_w=watts), bench())
    assert finding(found, "screen dissipation")[0] == verdict


# --- rectifiers -----------------------------------------------------------------------------------------------------


def test_what_a_rectifier_holds() -> None:
    """Read off the notes of ratings.csv by eye."""
    held = {name: rated()[name].filling for name in ("866A", "3B28", "836", "5U4G", "0Z4", "83", "6SN7GT")}
    assert held == {
        "866A": MERCURY, "3B28": XENON, "836": VACUUM, "5U4G": VACUUM, "0Z4": GAS, "83": MERCURY, "6SN7GT": "",
    }  # fmt: skip
    assert filling_of("", "", "Mercury vapour: keep upright.") == MERCURY  # no figures, but a caution
    assert filling_of("gas-rectifier", "", "") == "" and filling_of("gas-rectifier", "argon; no mercury", "") == GAS


@pytest.mark.parametrize(
    ("wanted", "candidate", "conditions", "verdict", "words"),
    [
        # 30 s of filament alone, upright only: uli-866a; 30 minutes when new or moved: hifitubes-mercury (L2.6)
        ("836", "866A", {}, CARE, ["preheat (30 s", "30 minutes", "upright"]),
        ("3B28", "866A", {}, CARE, ["Mercury vapour for xenon", "preheat", "upright"]),
        ("5Z3", "83", {}, CARE, ["preheat", "upright"]),
        ("836", "866A", {"switched_together": True}, NO, ["switches plate and filament together"]),
        ("3B28", "866A", {"on_side": True}, NO, ["lie on their side"]),
        # from mercury to xenon: any position, no preheat (note of the 3B28; common practice, no source)
        ("866A", "3B28", {}, FITS, ["any position, no preheat"]),
        ("866A", "3B28", {"switched_together": True, "on_side": True}, FITS, ["any position"]),
        ("83", "5Z3", {}, FITS, ["High vacuum for mercury vapour", "no preheat"]),
        ("82", "83", {"on_side": True}, CARE, ["Both: mercury vapour", "lie on their side"]),
        ("5U4G", "5R4GY", {"on_side": True, "switched_together": True}, FITS, ["Both: high vacuum"]),
    ],
)
def test_filling(wanted: str, candidate: str, conditions: dict[str, object], verdict: str, words: list[str]) -> None:
    told, text = finding(judged(wanted, candidate, **conditions), "filling")
    assert told == verdict and all(word in text for word in words), text


def test_mercury_for_xenon_is_with_care_or_not_at_all() -> None:
    assert judged("3B28", "866A").verdict == CARE
    assert judged("3B28", "866A", switched_together=True).verdict == NO
    assert judged("866A", "3B28", on_side=True).verdict == CARE  # the drop is in no table


@pytest.mark.parametrize(
    ("tick", "words"),
    [
        ("on_side", "(tubes lie on their side in it) contradict its own type"),
        ("switched_together", "(it switches plate and filament together) contradict its own type"),
    ],
)
def test_a_set_that_wants_mercury_and_is_ticked_to_bear_none_contradicts_itself(tick: str, words: str) -> None:
    """866A upright only, filament first: uli-866a, hifitubes-mercury. The verdict and its words say the same."""
    found = judged("866A", "866A", **{tick: True})
    assert found.verdict == CARE and words in finding(found, "filling")[1]
    assert "866A is mercury vapour itself" in finding(found, "filling")[1]
    for other in ("872A", "816"):
        verdict, text = finding(as_judged("866A", other, **{tick: True}), "filling")
        assert verdict == CARE and words in text and "goes in" not in text
    plain = judged("866A", "866A")
    assert plain.verdict == FITS and plain.of("filling") is None
    assert any("filament alone for 30 s" in said and "upright" in said for said in plain.consequences)
    old = replace(rated()["866A"], name="866", caution="Mercury vapour: keep upright.")
    improved = judge(old, rated()["866A"], Conditions(**{tick: True}), bench())
    assert words in finding(improved, "filling")[1] and "other one was used" not in finding(improved, "filling")[1]
    assert judged("5U4G", "5U4G", **{tick: True}).verdict == FITS


# --- what is only assumed -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("wanted", "candidate", "verdict"),
    [
        ("6SK7", "6SJ7", CARE),  # 4 W and 200 V against 2.5 W and 150 V: such a stage works at 2.3 W and 100 V
        ("6L6", "6V6", NO),  # an output tube works near its 19 W: 12 W is no little less
        ("813", "6V6", NO),
        ("807", "6SJ7", NO),
        ("6SK7", "954", NO),  # 0.5 W: an eighth
    ],
)
def test_where_by_little_ends(wanted: str, candidate: str, verdict: str) -> None:
    """Half the full rating is what a voltage amplifier uses (ratings.csv: typical figures of 6SK7); common practice."""
    assert judged(wanted, candidate).verdict == verdict


def test_an_assumed_rating_tells_its_limit_and_source() -> None:
    found = judged("6SK7", "6SJ7")
    for check, most in (("plate dissipation", "2.5 W"), ("screen voltage", "150 V")):
        one = found.of(check)
        assert one is not None and str(one.limit).endswith("with care 100 %") and "common practice" in one.source
        assert one.text.endswith(f"Depends on the {check}: measured at most {most}.")
    assert judged("6SK7", "6SJ7", plate_w=4).verdict == judged("6SK7", "6SJ7", screen_v=200).verdict == NO


def test_a_gas_that_is_not_told_may_be_mercury() -> None:
    other = replace(rated()["3B28"], name="another", words={**rated()["3B28"].words, "note": Word("half-wave")})
    told = judge(rated()["836"], other, Conditions(), bench())
    assert finding(told, "filling") == (UNKNOWN, "Whether another holds mercury, another gas or nothing is not known.")


# --- what a row says ------------------------------------------------------------------------------------------------


def test_what_a_row_forbids_is_unsuitable_both_ways() -> None:
    """VT-52, the 45 special: filament about 7 V, not 2.5 V; never plug one for the other (from memory)."""
    for wanted, candidate in (("45", "VT-52"), ("VT-52", "45")):
        pair = [rated().get(name) or TypeFigures(name) for name in (wanted, candidate)]
        found = judge(*pair, Conditions(), bench())
        assert found.verdict == NO and "never plug" in finding(found, "kinship")[1]


@pytest.mark.parametrize(
    ("wanted", "candidate", "words"),
    [("6146", "6146B", "neutralize again"), ("12SN7GT", "12SX7GT", "26.5 V"), ("12SX7GT", "12SN7GT", "26.5 V")],
)
def test_a_row_that_says_what_differs_is_at_least_with_care(wanted: str, candidate: str, words: str) -> None:
    """relations.csv, from memory; by their figures alone both would fit."""
    found = judged(wanted, candidate)
    assert found.verdict == CARE and words in finding(found, "kinship")[1]
    others = [one for one in found.findings if one.check != "kinship"]
    assert {one.verdict for one in others} <= {FITS}


def test_a_lead_forbids_nothing() -> None:
    rows = [DesignationRow("6SN7GT", "maker", "9ZZ9", "near", "unchecked: never plug one for the other")]
    other = replace(rated()["6SN7GT"], name="9ZZ9")
    found = judge(rated()["6SN7GT"], other, Conditions(), Bench(bench().limits, bench().basings, kinship(rows, [])))
    assert found.verdict == FITS


# --- power tubes ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("candidate", ["6AK6", "6AQ5", "6F6", "12A6", "EL84", "3Q4"])
@pytest.mark.parametrize("wanted", ["6BA6", "6SK7", "12BA6", "1T4"])
def test_no_power_tube_for_a_tube_of_an_if_stage(wanted: str, candidate: str) -> None:
    """Grid-plate capacitance of an r.f. pentode 0.003 pF, of a power tube 0.2 pF and more (ratings.csv)."""
    verdict, text = finding(judged(wanted, candidate), "kind")
    assert verdict == NO and "power tube where a voltage amplifier stands" in text
    assert judged("6F6", "6K6GT").of("kind").verdict == FITS  # type: ignore[union-attr]
