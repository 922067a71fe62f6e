"""The tables of marks: each row has a source that is named, and a damaged one is told by its words."""

import pytest

from inventory.holdings.rules.markings.tables import read_tables
from tests.holdings.rules.conftest import rows

NAMES = (
    "marking_colours",
    "marking_colour_words",
    "marking_letters",
    "marking_styles",
    "wire_gauges",
    "marking_sources",
)


def test_every_source_is_named_and_asked(tables):
    used = {row["source"] for name in NAMES[:-1] for row in rows(name)}
    asked_by_rules = {"heathkit-t2", "ka7exm-dupont", "amradio-ft243", "mikeholt-awg", "sizes-jar"}
    assert used | asked_by_rules == set(tables.titles)


def test_all_colours_of_the_code_have_a_figure_and_a_word(tables):
    assert [tables.of("figure", colour)[0].said for colour in tables.colours_for("figure")] == list("0123456789")
    assert set(tables.words.values()) == {*tables.colours_for("figure"), "gold", "silver", "pink"}


@pytest.mark.parametrize(
    ("name", "column", "value", "words"),
    [
        ("marking_colours", "source", "hearsay", "'hearsay' is no source"),
        ("marking_colours", "meaning", "much", "'much' in meaning is no number"),
        ("marking_colours", "colour", "mauve", "no word of the table of colour words"),
        ("marking_letters", "meaning", "ten", "'ten' in meaning is no number"),
        ("wire_gauges", "inch", "thin", "'thin' in inch is no number"),
        ("marking_styles", "source", "", "'' is no source"),
    ],
)
def test_a_damaged_row_is_told(name, column, value, words):
    found = {one: rows(one) for one in NAMES}
    found[name][0][column] = value
    with pytest.raises(ValueError, match=words):
        read_tables(*(found[one] for one in NAMES))
