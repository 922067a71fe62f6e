"""What a type without figures takes from the one that a row relates it to."""

import pytest

from tests.tubes.rules.bench import as_judged, formed
from tubes.rules.lending import Lender


def test_a_new_row_suffices():
    """6073, ruggedized 0A2 (from memory, twice): no letter of its name tells that."""
    one = formed()["6073"]
    assert (one.taken_from, one.word("base"), one.number("regulation_v")) == ("0A2", "7-pin-miniature", 150)
    found = as_judged("0A2", "6073")
    assert found.verdict == "with care"
    said = {finding.check: finding for finding in found.findings}["form"]
    assert "is taken from 0A2 (ruggedized" in said.text and "memory" in said.source


@pytest.mark.parametrize(
    ("note", "withheld"),
    [
        ("12.6 V heater", {"heater_v", "heater_a", "alt_heater_v", "alt_heater_a"}),
        ("loctal base", {"base", "basing"}), ("low-loss base", set()), ("special quality", set()),
        ("amplification factor 70 instead of 100", {"mu", "gm_umho", "gc_umho", "rp_ohm"}), ("higher ratings", set()),
    ],
)  # fmt: skip
def test_what_the_words_speak_of_is_not_taken(note, withheld):
    assert Lender("9Q9", "variant", note).withheld == withheld


def test_nothing_is_taken_from_what_is_only_near():
    """1633 near 6SN7GT: a heater of 25 V."""
    assert formed()["1633"].taken_from == ""
