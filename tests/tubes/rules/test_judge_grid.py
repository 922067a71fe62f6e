"""Cutoff and zero-bias tubes as the judge tells them.

The 6SK7 and 78 are remote-cutoff, the 6SJ7 and 77 sharp ones (RCA Receiving Tube Manual, from memory); that AVC wants
the former and a limiter or plate detector the latter: common practice, no source. The 805, 838 and 811A are sold as
zero-bias class B tubes (from memory).
"""

import pytest

from tests.tubes.rules.bench import as_judged, formed, rated
from tubes.rules.figures import cutoff_in, form_of
from tubes.rules.judge_grid import cutoff_answer, unbiased_rank
from tubes.rules.judge_parts import CARE, UNKNOWN, UNSUITABLE

SHARP, REMOTE = "6SJ7", "6SK7"


@pytest.mark.parametrize(
    ("wanted", "candidate", "gain", "verdict", "words"),
    [
        (REMOTE, SHARP, True, "with care", "gain control cuts it off early"),
        (REMOTE, SHARP, None, "with care", "whether gain is controlled there is unchecked"),
        (REMOTE, SHARP, False, "fits", "where no gain is controlled"),
        (SHARP, REMOTE, True, "with care", "takes hold of it late"),
        (SHARP, REMOTE, None, "with care", "is unchecked"),
        (SHARP, REMOTE, False, "with care", "bends sooner"),
        (SHARP, SHARP, None, "fits", "same cutoff"),
    ],
)
def test_cutoff_by_what_the_place_does(wanted, candidate, gain, verdict, words) -> None:  # type: ignore[no-untyped-def]
    found = as_judged(wanted, candidate, gain_controlled=gain).of("cutoff")
    assert found is not None and found.verdict == verdict and words in found.text and found.source


@pytest.mark.parametrize(
    ("wanted", "candidate", "gain", "verdict", "words"),
    [
        (
            "6AS6",
            "6AK5",
            None,
            "with care",
            "Cutoff sharp given, that of the wanted tube is not known: how gain",
        ),
        ("6AS6", "6AK5", False, "fits", "serves where no gain is controlled"),
        ("6AK5", "6AS6", None, "with care", "Cutoff sharp wanted, that of this tube is not known"),
        ("6E5", "6U5", None, "with care", "where its shadow closes may differ"),
        ("Y63", "6U5", None, "with care", "shadow closes"),
    ],
)
def test_a_cutoff_that_nobody_knows_and_that_of_an_eye(wanted, candidate, gain, verdict, words) -> None:  # type: ignore[no-untyped-def]
    """An eye with a remote-cutoff triode closes at about -22 V, with a sharp one at -8 V (6U5, 6E5: from memory)."""
    assert cutoff_answer("sharp", "remote", None, True)[1].endswith("its shadow closes at more control voltage")
    found = as_judged(wanted, candidate, gain_controlled=gain).of("cutoff")
    assert found is not None and found.verdict == verdict and words in found.text
    assert "not stated" not in found.text and "watch" not in found.text


def test_idle_current_without_bias_goes_by_mu() -> None:
    ranks = [unbiased_rank(160, mu, 0.8) for mu in (None, 29, 127, 128, 170)]
    assert ranks == [
        UNKNOWN,
        UNSUITABLE,
        UNSUITABLE,
        CARE,
        CARE,
    ]
    assert unbiased_rank(None, 12, 0.8) == UNSUITABLE and unbiased_rank(None, None, 0.8) == UNKNOWN


def test_a_cutoff_is_told_by_words_and_nothing_is_told_of_a_triode() -> None:
    found = as_judged(REMOTE, SHARP).of("cutoff")
    assert found is not None and (found.wanted, found.candidate) == ("remote", "sharp")
    assert as_judged("6J5", "6C5").of("cutoff") is None
    assert [cutoff_in(note) for note in ("semi-remote cutoff; metal", "remote cutoff", "sharp cutoff", "metal")] == [
        "semi-remote", "remote", "sharp", "",
    ]  # fmt: skip


def test_zero_bias_tubes_are_called_so() -> None:
    called = {name for name, one in rated().items() if one.form.zero_bias}
    assert {"805", "838", "811A", "3-500Z"} <= called
    assert not called & {"211", "203A", "845", "810"}
    assert formed()["805"].words["bias"].value == "zero-bias class B"


@pytest.mark.parametrize(
    ("wanted", "candidate", "verdict", "words"),
    [
        ("838", "805", "fits", "Zero-bias class B tubes both"),
        ("838", "211", "unsuitable", "mu 12 against that of 838, which is not known"),
        ("805", "211", "unsuitable", "unsuitable unless a bias supply is fitted first"),
        ("811A", "812A", "unsuitable", "unsuitable unless a bias supply is fitted first"),
        ("811A", "811", "with care", "its mu is as high"),
        ("203A", "838", "with care", "must be set anew"),
    ],
)
def test_a_zero_bias_tube_and_another(wanted, candidate, verdict, words) -> None:  # type: ignore[no-untyped-def]
    found = as_judged(wanted, candidate).of("grid bias")
    assert found is not None and found.verdict == verdict and words in found.text


def test_mu_is_not_asked_of_a_zero_bias_tube_that_states_none() -> None:
    """It varies with plate current: ratings.csv leaves it empty and says so."""
    assert as_judged("838", "805").of("mu") is None and as_judged("838", "805").verdict == "rewire or adapter"
    assert as_judged("811A", "812A").of("mu") is not None


@pytest.mark.parametrize(
    ("note", "zero"),
    [
        ("zero-bias class B tube: mu varies with current", True), ("CCS; 1500 V / 65 W ICAS; zero-bias class B", True),
        ("class B battery power type; idle current per plate at zero bias", True),
        ("not zero-bias; needs 40 V", False), ("class B modulator; current at zero bias 30 mA", False),
        ("class B power tube; grid at zero bias in class AB", False),
        ("class B driver; 250 V; idle current per plate at zero bias", False), ("", False),
    ],
)  # fmt: skip
def test_only_the_fixed_words_of_a_note_call_a_tube_a_zero_bias_one(note: str, zero: bool) -> None:
    """The words of the 838, 811A and 19 in the tables; the others are made up."""
    assert form_of("triode", note).zero_bias is zero
