"""What people say of a weak part: one word acts, words that differ act as a check and are all told.

The dispute itself is of the trade: none good of five pulled (milsurplus list 2019, 059626); four of some forty sets
(boatanchors list 2022, 052270). Names here are invented.
"""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.restoration.rules.weak import ALWAYS, CHECK, LEAVE, VERDICTS, WeakWord, standing_of_words

FIVE = WeakWord(ALWAYS, "bench book", "leaf 12", date(2025, 3, 2), "five of five leaked")
FORTY = WeakWord(LEAVE, "letter of T. Lunt", "", date(2024, 11, 1), "four of forty sets needed it")


@pytest.mark.parametrize(
    ("given_words", "acts_as", "differs"),
    [
        ([], ALWAYS, False), ([FIVE], ALWAYS, False), ([FORTY], LEAVE, False), ([FIVE, FIVE], ALWAYS, False),
        ([FIVE, FORTY], CHECK, True), ([WeakWord(CHECK, "x"), FORTY], CHECK, True),
        ([WeakWord(CHECK, "x"), FIVE], CHECK, True), ([WeakWord(CHECK, "x")], CHECK, False),
    ],
)  # fmt: skip
def test_how_a_plan_takes_them(given_words, acts_as, differs):
    found = standing_of_words(given_words)
    assert (found.acts_as, found.differs, bool(found.differs_words)) == (acts_as, differs, differs)


def test_every_word_is_told_with_its_evidence_by_day():
    found = standing_of_words([FIVE, FORTY, WeakWord(CHECK, "unsigned sheet")])
    assert found.reasons == (
        "Words on it differ: always fails (1), check (1), leave alone (1). None is chosen: look at it before power, "
        "and decide on this set.",
        "Leave alone, says letter of T. Lunt, 2024-11-01: four of forty sets needed it.",
        "Always fails, says bench book, leaf 12, 2025-03-02: five of five leaked.",
        "Check, says unsigned sheet.",
    )
    assert [word["verdict"] for word in found.as_dict()["words"]] == [LEAVE, ALWAYS, CHECK]


@given(st.lists(st.sampled_from(VERDICTS), min_size=1, max_size=6))
def test_no_word_is_lost_and_none_outvotes_another(verdicts):
    found = standing_of_words([WeakWord(one, f"source {number}") for number, one in enumerate(verdicts)])
    assert len(found.words) == len(verdicts) and set(found.verdicts) == set(verdicts)
    assert found.acts_as == (verdicts[0] if len(set(verdicts)) == 1 else CHECK)
