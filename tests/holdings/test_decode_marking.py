"""The command ``decode_marking``: its answer by the letter, and what it refuses."""

import pytest
from django.core.management import CommandError, call_command

from tests.commands import answer_of, refused, told


def test_the_answer():
    """L7.6 of the rules' tests: 49.9 ohm."""
    answer, beside = answer_of("decode_marking", "49R9")
    assert beside == "" and list(answer) == ["text", "readings", "warnings"]
    (reading,) = answer["readings"]
    assert list(reading) == ["kind", "value", "unit", "tolerance_pct", "rating", "standard", "note"]
    assert (reading["kind"], reading["value"], reading["unit"]) == ("value-code", 49.9, "ohm")
    assert (reading["tolerance_pct"], reading["rating"], answer["warnings"]) == (None, None, [])


def test_in_one_kind_alone():
    """L7.5: green, black, yellow as body, end and dot are 500 kohm; as bands also 4 megohm from the other end."""
    answer, _ = answer_of("decode_marking", "green black yellow", "--kind", "resistor-bed")
    assert [(one["kind"], one["value"]) for one in answer["readings"]] == [("resistor-bed", 500_000)]
    answer, _ = answer_of("decode_marking", "green black yellow")
    assert [one["value"] for one in answer["readings"]] == [500_000, 4_000_000, 500_000]


def test_what_cannot_be_read_is_answered():
    answer, _ = answer_of("decode_marking", "dk blue red red gold")
    assert answer["readings"] == [] and "expected" not in answer["text"] and "'dk' is no shade" in answer["warnings"][0]


def test_for_people():
    shown = told("decode_marking", "RC20BF103K")
    assert "10000 ohm, 10 %, 0.5 W  (type-designation, JAN-R-11 / MIL-R-11)" in shown and "rom memory" in shown
    assert "value not said" in told("decode_marking", "CP53B1EF504K")


@pytest.mark.parametrize("text", ["", " ", "9" * 121])
def test_refusals(text):
    assert "expected the colours of bands" in refused("decode_marking", text)


def test_a_kind_that_is_none():
    with pytest.raises(CommandError, match="invalid choice"):
        call_command("decode_marking", "4K7", "--kind", "resistor")
