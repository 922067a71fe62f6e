"""Which type a stamp settles, and why it settles none.

STV 280/80 and STV 280/40 are glow-gap dividers for 280 V at 80 and 40 mA, 80 is a rectifier (fixtures/reference);
UX-280 and CX-380 are early names of the 80 (fixtures/reference/designations.csv). Two numbers tied by a stroke as two
names of one tube, dates and words of cartons: common practice, no source.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.lists.rules.reference import tables
from tubes.rules.forms import Forms
from tubes.rules.stamp import read_stamp
from tubes.rules.this_tube import Doubt, form_marked, left_unread, this_tube


def settled(text):
    return this_tube(read_stamp(text, tables()), lambda name: frozenset({name}), frozenset())


@pytest.mark.parametrize(
    ("text", "beside"),
    [
        ("Stabi STV 280/80", "STV 280/80"), ("STV 280/80", "STV 280/80"), ("280/80", "280/80"), ("80/280", "80/280"),
        ("T 80", "T 80"), ("LF 1 80", "LF 1 80"),
    ],
)  # fmt: skip
def test_the_end_of_a_longer_number_is_not_that_tube(text, beside):
    found = settled(text)
    assert (found.type, found.doubt, found.beside) == (None, Doubt.PART_OF_MORE, beside)


@pytest.mark.parametrize(
    ("text", "form"),
    [
        ("6SN7GTD", "6SN7GTD"), ("JAN-CHS-6SN7-GTD", "6SN7GTD"), ("6sn7gtd strong", "6SN7GTD"),
        ("6SN7", ""),  # which form it is, it does not say
        ("6SN7GT", ""),  # a type
        ("6SN70", ""), ("6XX7GT", ""), ("nothing at all", ""),
        ("6SN7GTY / 6SL7GTY", ""), ("6SNX/6SN7GTY", ""),
        ("VT-231A", ""),  # a letter behind a Signal Corps number tells no form
    ],
)  # fmt: skip
def test_a_form_that_is_no_type_is_named_by_its_letters(text, form):
    """What the letters mean: tcuk-retma, wiki-list."""
    answer, types = read_stamp(text, tables()), frozenset({"6SN7GT", "6SL7GT", "VT-231"})
    assert form_marked(answer, settled(text), Forms.of(types), types) == form
    assert settled(text).type == ("6SN7GT" if text == "6SN7GT" else None)


def test_a_half_that_is_not_in_the_tables():
    assert settled("STV285/40").doubt == settled("6SNX/6SN7GT").doubt == Doubt.OTHER_HALF
    assert settled("6AC7/1855").type == "6AC7"


@pytest.mark.parametrize(
    "text",
    ["80", "RCA 80", "Type 80", "UX-280", "Cunningham CX-380/80", "KEN-RAD 80 NOS", "80 44-12", "Valvo 80", "GE 80"],
)
def test_words_makers_and_dates_raise_no_doubt(text):
    assert settled(text).type == "80" and left_unread(read_stamp(text, tables())) == ""


@pytest.mark.parametrize(
    ("text", "left"),
    [("EF 80 Telefunken", ""), ("807 NOS boxed", ""), ("807 3/44", ""), ("807 Mar 44", ""), ("Stabi 80", "Stabi"),
     ("ACT 97 tube 807", "ACT 97"), ("VT-231 foo 12", "foo 12"), ("nothing at all", "")],
)  # fmt: skip
def test_what_is_left_unread(text, left):
    assert left_unread(read_stamp(text, tables())) == left


def test_why_nothing_is_settled():
    assert settled("VT-60").doubt == Doubt.SEVERAL and settled("6SN7").doubt == Doubt.OPEN
    assert settled("6SN7GT").doubt == Doubt.NONE


@given(text=st.text(alphabet="STV280/4 -GT6N7x.", max_size=24))
def test_no_stamp_upsets_it(text):
    found = settled(text)
    assert (found.type is None) == bool(found.doubt)
