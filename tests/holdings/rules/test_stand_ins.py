"""The curated stand-ins: every row is sourced; who is named by a text; what other people say stands beside it.

That silicon in place of selenium raises the output: B. Ornitz (L7.6). That a 26Z5W replaced by silicon lifted the plate
supply from 243 to 264 V without a delay, and that others saw no harm: both letters are kept.
"""

import csv
from pathlib import Path

import pytest

from inventory.holdings.rules.stand_ins import CHANGES, for_tube, named_by, read_stand_ins

REFERENCE = Path(__file__).resolve().parents[3] / "fixtures" / "reference"


def rows(name):
    with (REFERENCE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.fixture(scope="module")
def table():
    return read_stand_ins(rows("stand_ins.csv"), rows("stand_in_sources.csv"))


def keys(found):
    return [one.key for one in found]


def test_every_source_is_used_and_every_row_says_what_changes_and_what_to_mind(table):
    used = " ".join(row["source"] + row["other_source"] for row in rows("stand_ins.csv"))
    assert all(row["key"] in used for row in rows("stand_in_sources.csv"))
    for one in table:
        assert one.caution and one.source and one.on and len(one.changes) >= 3 and one.undone
        assert all(change.source for change in one.changes)


@pytest.mark.parametrize(
    ("kind", "text", "named"),
    [
        ("microphone", "carbon microphone", ["carbon-microphone-amplified"]),
        ("microphone", "dynamic microphone", []),
        ("dynamotor", "28 V in, 220 V out", ["dynamotor-supply"]),
        ("vibrator", "", ["vibrator-solid-state"]),
        ("rectifier", "selenium, 6 plates", ["selenium-silicon"]),
        ("rectifier", "copper oxide", []),
        ("capacitor", "electrolytic", ["electrolytic-film"]),
        ("capacitor", "wet electrolytic", ["electrolytic-film", "wet-electrolytic-dry"]),
        ("capacitor", "boiled", []),
        ("capacitor", "paper in oil", ["paper-film", "oil-film"]),
        ("resistor", "paper", []),
    ],
)
def test_named_by_its_words(table, kind, text, named):
    assert keys(named_by(table, kind, text)) == named


def test_tubes_go_by_kind_and_filling(table):
    assert keys(for_tube(table, "rectifier")) == ["rectifier-tube-silicon"]
    assert keys(for_tube(table, "gas-rectifier", "mercury")) == ["mercury-xenon", "mercury-silicon"]
    assert keys(for_tube(table, "triode")) == [] == keys(for_tube(table, ""))


def test_selenium_raises_the_output_on_a_named_word(table):
    (one,) = named_by(table, "rectifier", "selenium")
    levels = next(change for change in one.changes if change.what == CHANGES["levels"])
    assert "rises" in levels.words and "series" in levels.words and "Ornitz" in levels.source
    hum = next(change for change in one.changes if change.what == CHANGES["hum"])
    assert hum.source == "common practice, no source"


def test_two_views_of_silicon_for_a_rectifier_tube_are_both_kept(table):
    told = for_tube(table, "rectifier")[0].as_dict()
    words = " ".join(change["words"] for change in told["changes"])
    assert "243 V" in words and "264 V" in words and "no delay" in words
    assert "no loss of reliability" in told["other_view"] and "2013" in told["other_source"]


@pytest.mark.parametrize(
    ("column", "value", "words"),
    [
        ("caution", "", "caution is empty"), ("source", "hearsay", "'hearsay' is no source"),
        ("kind", "gadget", "'gadget' is no kind"), ("reversible", "maybe", "expected yes, no"),
        ("source", "from memory[colour]", "colour in source"), ("source", "from memory[levels]", "no source for"),
        ("other_view", "another", "go together"), ("on", "today", "Invalid isoformat"),
    ],
)  # fmt: skip
def test_a_damaged_row_is_told_by_its_key(column, value, words):
    damaged = rows("stand_ins.csv")
    damaged[0][column] = value
    with pytest.raises(ValueError, match=f"carbon-microphone-amplified: .*{words}"):
        read_stand_ins(damaged, rows("stand_in_sources.csv"))


def test_a_key_stands_once():
    twice = rows("stand_ins.csv")
    with pytest.raises(ValueError, match="stands there twice"):
        read_stand_ins([*twice, twice[0]], rows("stand_in_sources.csv"))
