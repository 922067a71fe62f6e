"""Which end of the range a top price stands at: our own rule, no source; the cases are counted by hand."""

import pytest

from inventory.valuation.rules.top_price import End, Gap, end_of


@pytest.mark.parametrize(
    ("positions", "wanting", "spares", "end", "words"),
    [
        (0, 0, 0, End.MIDDLE, "no set here calls for it"),
        (0, 0, 9, End.MIDDLE, "no set here calls for it"),
        (1, 1, 0, End.HIGH, "1 of 1 position wants one, and there is no good spare"),
        (5, 3, 1, End.HIGH, "3 of 5 positions want one, and there is only 1 good spare"),
        (2, 1, 1, End.HIGH, "no good spare is left for 2 positions"),
        (2, 0, 0, End.HIGH, "no good spare is left for 2 positions"),
        (4, 0, 2, End.MIDDLE, "2 good spares for 4 positions"),
        (4, 1, 4, End.MIDDLE, "fewer than one for each"),
        (2, 0, 2, End.LOW, "one more is beyond what they need"),
        (2, 1, 9, End.LOW, "9 good spares for 2 positions"),
    ],
)
def test_the_wider_the_gap_the_more_one_may_cost(positions, wanting, spares, end, words):
    found, why = end_of(Gap(positions, wanting, spares))
    assert found == end and words in why


def test_one_more_spare_never_raises_the_price():
    order = [End.LOW, End.MIDDLE, End.HIGH]
    for positions in range(1, 5):
        for wanting in range(positions + 1):
            ends = [order.index(end_of(Gap(positions, wanting, spares))[0]) for spares in range(12)]
            assert ends == sorted(ends, reverse=True)
