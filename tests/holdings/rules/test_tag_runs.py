"""Runs of tags (common practice, no source)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.holdings.rules.tag_runs import MOST, with_runs


@pytest.mark.parametrize(
    ("text", "tags"),
    [
        ("T-0003..T-0005", ["T-0003", "T-0004", "T-0005"]),
        ("t-3 to 5", ["T-3", "T-4", "T-5"]),
        ("T-0098 – T-0101, C-0001", ["T-0098", "T-0099", "T-0100", "T-0101", ",", "C-0001"]),
        ("T-0003…T-0003", ["T-0003"]),
        ("T-0003..C-0005", ["T-0003..C-0005"]),
        ("DRAWER 9 to 11", ["DRAWER", "9", "to", "11"]),
    ],
)
def test_runs(text, tags):
    assert with_runs(text).split() == tags


@pytest.mark.parametrize("text", ["T-0009..T-0003", f"T-1..T-{MOST + 1}", "T-1 to 99999999"])
def test_what_is_no_run_is_said(text):
    with pytest.raises(ValueError, match="no run of tags"):
        with_runs(text)


@given(st.sampled_from("TCUKP"), st.integers(0, 99_000), st.integers(0, 300), st.sampled_from(["..", " to ", " – "]))
def test_a_run_holds_every_tag_once_and_in_order(prefix, first, more, between):
    tags = [f"{prefix}-{number:04d}" for number in range(first, first + more + 1)]
    assert with_runs(f"{tags[0]}{between}{tags[-1]}").split() == tags


@given(st.text("TC-0129. to…–\n", max_size=40))
def test_any_text_is_read_or_refused_in_words(text):
    try:
        assert set(with_runs(text).split()) >= {word for word in text.split() if word.isalpha() and word != "to"}
    except ValueError as fault:
        assert "no run of tags" in str(fault)
