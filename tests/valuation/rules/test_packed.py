"""Rows that are packed come out as they went in, wherever one begins and however long they are."""

import pytest

from inventory.valuation.rules import packed as packing
from inventory.valuation.rules.packed import Rows, packed


@pytest.mark.parametrize("count", [0, 1, 3, 6, 7])
def test_what_is_packed_comes_out_as_it_went_in(count, monkeypatch):
    monkeypatch.setattr(packing, "AT_ONCE", 3)
    told = [{"row": str(number), "source": "ж", "by": [number]} for number in range(count)]
    rows = Rows(packed(iter(told)), count)
    assert (list(rows), len(rows), rows[2:5]) == (told, count, told[2:5])
    with pytest.raises(IndexError):
        rows[count]
