"""Several types, or several verdicts, on one row. Ways of writing: common practice, no source."""

import pytest

from inventory.holdings.rules.facts import READING
from inventory.lists.rules import fields as f
from inventory.lists.rules.row_facts import facts_of_row
from inventory.lists.rules.rows import NOT_AN_ITEM, REFUSED, Group, RowReading, read_row
from inventory.lists.rules.understood import understood
from tests.lists.rules.reference import context

COLUMNS = (f.MARK, f.QUANTITY, f.STATE, f.READING, f.SERIAL, f.NOTE)


def row(mark: str, count: str = "", state: str = "", test: str = "", serial: str = "", note: str = "") -> RowReading:
    return read_row((mark, count, state, test, serial, note), COLUMNS, context())


@pytest.mark.parametrize("cells", [("954/955/956", "1 each"), ("954/955/956 1 each", ""), ("954, 955, 956 je 1", "3")])
def test_what_a_row_of_several_types_says_is_said_of_the_row(cells: tuple[str, str]) -> None:
    found = row(*cells, test="70", serial="")
    assert found.split is not None and (found.split.each, found.split.total, found.split.count) == (1, 3, "")
    assert sum(group.count for group in found.groups) == 3
    assert understood(found, "", "")["count"] == 3
    assert understood(found, "", "")["marks"] == ["954", "955", "956"]
    reading = next(fact for fact in facts_of_row(found, str) if fact.about == READING)
    assert (reading.per, reading.of_count) == ("row", 3)


def test_another_count_beside_the_types_is_told() -> None:
    found = row("954/955/956 1 each", "6")
    assert found.split is not None and found.split.count == "6"
    assert sum(group.count for group in found.groups) == 3


def states(found: RowReading) -> list[str]:
    return [group.state for group in found.groups for _ in range(group.count)]


def test_a_dud_of_the_count_and_of_the_readings_is_one_dud() -> None:
    found = row("6SN7GT", "4 (1 dud)", "", "70, dead, 66, 71")
    assert states(found) == ["untested", "dud", "untested", "untested"]
    assert not found.by_count


def test_two_numbers_of_duds_are_asked_about() -> None:
    found = row("6SN7GT", "4 (2 dud)", "good", "70, dead, 66, 71")
    assert states(found) == ["good", "dud", "good", "good"]
    assert [(group.count, group.state) for group in found.by_count] == [(2, "good"), (2, "dud")]
    more = row("6SN7GT", "4 (1 dud)", "", "70, dead, dead, 71")
    assert states(more) == ["untested", "dud", "dud", "untested"] and more.by_count


def test_words_of_readings_alone_ask_nothing() -> None:
    found = row("6SN7GT", "4", "", "70, dead, 66, 71")
    assert states(found).count("dud") == 1 and not found.by_count
    assert row("6SN7GT", "4 (1 dud)", "", "70, 66, 71, 68").groups[0] == Group(3, "untested")


@pytest.mark.parametrize("mark", ["-", "none", "leer", "пусто"])
def test_an_empty_place_is_empty_only_if_nothing_is_said_of_it(mark: str) -> None:
    assert row(mark).outcome == NOT_AN_ITEM
    assert row(mark, "0", note="-").outcome == NOT_AN_ITEM
    for note in ("12 unmarked tubes, sort out", "unmarked, tested good"):
        found = row(mark, note=note)
        assert found.outcome == REFUSED and "what it is" in found.why
