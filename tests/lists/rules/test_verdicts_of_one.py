"""A single tube that words call broken is never written as good. Ways of writing: common practice, no source."""

from itertools import product

import pytest

from inventory.lists.rules import fields as f
from inventory.lists.rules.rows import RowReading, read_row
from tests.lists.rules.reference import context

COLUMNS = ("tube", "count", "condition", "note", "test")
FIELDS = (f.MARK, f.QUANTITY, f.CONDITION, f.NOTE, f.READING)


def one(count: str = "1", condition: str = "", note: str = "", test: str = "") -> RowReading:
    return read_row(("6SN7GT", count, condition, note, test), FIELDS, context(headings=COLUMNS))


def told(found: RowReading) -> str:
    return "; ".join(remark.reason for remark in found.remarks)


@pytest.mark.parametrize(
    "words",
    ["dead", "BAD", "n.g.", "N.G., box only", "ng", "u/s", "dead heater", "filament broken, otherwise fine",
     "open heater", "taub", "Heizfaden durchgebrannt", "tube is dead", "spalona", "guasta", "нить сгорела",
     "HS / from the attic", "kapot"],
)  # fmt: skip
def test_a_plain_word_of_a_single_tube_makes_a_dud(words: str) -> None:
    assert one(note=words).state == "dud"
    assert one(condition=words).state == "dud"


@pytest.mark.parametrize(
    "words", ["one section dead", "sounds dead on one side", "second triode shorted", "ein System taub", "gassy triode"]
)
@pytest.mark.parametrize("condition", ["", "tests good"])
def test_words_of_a_dud_that_are_not_plain_are_remarked_and_never_good(words: str, condition: str) -> None:
    found = one(condition=condition, note=words)
    assert found.state == "untested"
    assert "speak of a" in told(found) and "not counted as good" in told(found)


@pytest.mark.parametrize("count", ["1", "3"])
def test_of_several_nothing_is_counted_as_good_either(count: str) -> None:
    assert one(count=count, condition="tests good", note="one section dead").state == "untested"


def test_a_word_for_a_reading_is_no_good_beside_a_bad_note() -> None:
    assert one(test="good").state == "good"
    for note in ("dead", "one section dead"):
        found = one(test="good", note=note)
        assert found.state == "untested" and found.remarks
    assert one(test="dead", note="from the attic").state == "dud"


@pytest.mark.parametrize(
    ("note", "state"),
    [("good for parts", "untested"), ("dead, good box", "dud"), ("weak", "weak"), ("heater good", "untested"),
     ("good", "untested")],
)  # fmt: skip
def test_words_of_box_and_use_are_no_verdict(note: str, state: str) -> None:
    """`good` alone in a note makes nothing good: whether it tells of a test is not said."""
    assert one(note=note).state == state


def test_good_in_one_cell_and_dead_in_another_is_never_good() -> None:
    for words in product(("tests good", "good"), ("dead", "n.g.", "one section dead", "filament broken", "weak")):
        for condition, note in (words, words[::-1]):
            found = one(condition=condition, note=note)
            assert found.state in ("untested", "dud", "weak") and found.remarks, (condition, note)


@pytest.mark.parametrize("words", ["bad", "dud", "defekt", "defect", "неисправна"])
def test_a_word_alone_in_the_condition_is_said_of_all_as_in_a_column_of_states(words: str) -> None:
    found = one(count="2", condition=words)
    assert [(group.count, group.state) for group in found.groups] == [(2, "dud")]
    asked = one(count="2", condition=words, note="one gassy")
    assert asked.state == "untested" and "not which" in told(asked)
    assert one(count="2", condition=f"one {words}").state == "untested"
