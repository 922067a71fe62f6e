"""Cutoff and zero-bias tubes as the judge tells them.

The 6SK7 and 78 are remote-cutoff, the 6SJ7 and 77 sharp ones (RCA Receiving Tube Manual, from memory); that AVC wants
the former and a limiter or plate detector the latter: common practice, no source. The 805, 838 and 811A are sold as
zero-bias class B tubes (from memory).
"""

import pytest

from tests.tubes.rules.bench import as_judged, formed, rated
from tubes.rules.figures import cutoff_in

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
    assert not called & {"211", "203A", "845", "810", "6N7"}
    assert formed()["805"].words["bias"].value == "zero-bias class B"


@pytest.mark.parametrize(
    ("wanted", "candidate", "verdict", "words"),
    [
        ("838", "805", "fits", "Zero-bias class B tubes both"),
        ("805", "211", "not known", "without grid bias it may run away"),
        ("811A", "812A", "with care", "without grid bias it may run away"),
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
