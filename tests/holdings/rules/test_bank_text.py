"""Capacitors of a bank as people write them; the notation is our own."""

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.holdings.rules.bank_text import MOST_CAPACITORS, Rated, read_bank


def test_pieces_and_ratings():
    texts = ["8 mfd", " 2 x 4 uF at 600 V", "", "3×0.01 mfd 1.5 kV"]
    assert read_bank(texts) == [Rated(8), Rated(4, 600, 2), Rated(0.01, 1500, 3)]


@given(st.integers(1, 999), st.integers(1, 10_000), st.integers(1, 50_000))
def test_what_is_written_is_read_back(pieces, nanofarad, volts):
    (found,) = read_bank([f"{pieces} x {nanofarad} nF {volts} V"])
    assert (found.pieces, found.volts) == (pieces, volts) and found.uf == pytest.approx(nanofarad / 1000)


@given(st.text(max_size=40))
def test_any_other_text_is_refused_in_words(text):
    with suppress(ValueError):
        assert all(one.pieces > 0 for one in read_bank(text.split(",")))


@pytest.mark.parametrize("texts", [["8"], ["0 x 8 mfd"], ["8 mfd 5 A"], ["8 mf"], ["1 mfd"] * (MOST_CAPACITORS + 1)])
def test_what_cannot_be_read(texts):
    with pytest.raises(ValueError, match=r"expected|mfd"):
        read_bank(texts)
