"""Mated sets: matched by number, digit for digit. What counts more than what: common practice, no source."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.pairing.rules.companions import COMPANION_STATES
from inventory.pairing.rules.events import Plate
from inventory.pairing.rules.mated import PartFacts, state_of_part

ON = date(2026, 6, 1)


def facts(**more):
    return PartFacts(**({"name": "thermocouple", "here": True, "plate": Plate("3317"), "shared": "3317"} | more))


@pytest.mark.parametrize(
    ("more", "state", "says"),
    [
        ({}, "matched", "the one they share"),
        ({"plate": Plate("03317")}, "not matched", "bears 03317, the set is 3317"),  # a leading zero is another number
        ({"here": False}, "mate missing", "Its thermocouple is not here."),
        ({"here": False, "gone": "left on 2025-01-02: sold"}, "mate missing", "left on 2025-01-02: sold."),
        ({"plate": Plate("", "unreadable")}, "unknown", "cannot be read"),
        ({"plate": Plate("", "missing")}, "unknown", "bears no number"),
        ({"plate": Plate("", "missing"), "matched": True}, "matched", "found to belong"),
        ({"matched": False, "compared_on": date(2026, 5, 1), "compared_by": "Ines Farrow"}, "not matched", "by Ines"),
        ({"matched": False, "compared_on": date(2026, 7, 1)}, "matched", "share"),  # not yet compared on that day
        ({"shared": ""}, "unknown", "nothing here to hold against it"),
        ({"shared": "", "others": ("3317", "3317")}, "matched", "as every other piece"),
        ({"shared": "", "others": ("3317", "88")}, "unknown", "nobody has written"),
    ],
)
def test_states(more, state, says):
    answer = state_of_part(facts(**more), ON)
    assert answer.state == state
    assert says in answer.reasons[0].text


@given(
    st.booleans(),
    st.text(max_size=6),
    st.sampled_from(["read", "unreadable", "missing"]),
    st.text(max_size=6),
    st.lists(st.text(max_size=4), max_size=3),
    st.sampled_from([None, True, False]),
)
def test_always_a_state_and_a_reason_and_matched_never_by_nothing(here, number, reading, shared, others, matched):
    answer = state_of_part(
        facts(here=here, plate=Plate(number, reading), shared=shared, others=tuple(others), matched=matched), ON
    )
    assert answer.state in COMPANION_STATES and all(reason.text for reason in answer.reasons)
    if answer.state == "matched":
        assert here and (matched or Plate(number, reading).readable)
