"""Texts named by their titles: invented keys and titles."""

import pytest

from tubes.rules.limits import Limit, Limits
from tubes.rules.sources import in_titles

TITLES = {
    "leaf-9": "Bench book, leaf 9", "sheet-1": "Sheet, part 1", "from memory": "recalled", "limit": "A text on limits",
    "common practice, no source": "the usual way",
}  # fmt: skip


@pytest.mark.parametrize(
    ("keys", "told"),
    [
        ("leaf-9", "Bench book, leaf 9"),
        ("limit", "A text on limits"),
        ("leaf-9, sheet-1", "Bench book, leaf 9, Sheet, part 1"),
        ("wanted: leaf-9, odd; candidate: from memory; limit: common practice, no source, sheet-1",
         "wanted: Bench book, leaf 9, odd; candidate: from memory; limit: common practice, no source, Sheet, part 1"),
        ("limit: sheet-1", "limit: Sheet, part 1"),
        ("common practice, no source", "common practice, no source"),
        ("leaf-99", "leaf-99"),
        ("", ""),
    ],
)  # fmt: skip
def test_keys_become_titles_and_all_else_stays(keys, told):
    assert in_titles(keys, TITLES) == told


def test_what_stands_for_a_title_is_up_to_the_caller():
    assert in_titles("wanted: leaf-9", TITLES, lambda key, title: f"<{key}|{title}>") == (
        "wanted: <leaf-9|Bench book, leaf 9>"
    )


def test_limits_name_their_texts_by_title_and_keep_the_keys():
    rows = [
        Limit(f"test.{n}", 3, "%", "", key, source_title=TITLES[key]) for n, key in enumerate(("leaf-9", "sheet-1"))
    ]
    found = Limits({row.key: row for row in rows}, {"other": "Another text"})
    assert found.source("test.0", "test.1") == "leaf-9, sheet-1"
    assert found.told("test.0", "test.1", "test.0") == "Bench book, leaf 9; Sheet, part 1"
    assert (found.title("other"), found.title("unheard-of")) == ("Another text", "unheard-of")
    assert found.row("test.0").source_told == "Bench book, leaf 9"
    assert Limit("test.2", 3, "%", "", "leaf-9").source_told == "leaf-9"  # a title that nobody gave
