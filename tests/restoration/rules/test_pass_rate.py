"""The share of untested tubes that prove good (Brown, Cai, DasGupta 2001 for the interval)."""

import numpy as np
import pytest
from scipy import stats

from inventory.restoration.rules.condition import past_of
from inventory.restoration.rules.pass_rate import chance_of, pass_rate


def test_interval_of_a_textbook_case():
    """Jeffreys' interval of 7 of 10 by the quantiles of Beta(7.5, 3.5), as Brown, Cai and DasGupta define it."""
    found = pass_rate(7, 10)
    assert (found.low, found.high) == pytest.approx(stats.beta(7.5, 3.5).interval(0.95))
    assert found.share == pytest.approx(7.5 / 11)


def test_all_or_none_reach_the_end():
    assert pass_rate(0, 8).low == 0
    assert pass_rate(8, 8).high == 1
    assert (pass_rate(0, 0).low, pass_rate(0, 0).high, pass_rate(0, 0).share) == (0, 1, 0.5)


@pytest.mark.parametrize("share", [0.2, 0.5, 0.7, 0.9])
def test_the_interval_holds_about_as_often_as_it_says(share):
    """Simulated with a fixed seed, 40 tubes tested: Brown, Cai and DasGupta find 0.93 to 0.97 there."""
    draw, runs = np.random.default_rng(11), 4000
    counts = draw.binomial(40, share, runs)
    ends = {count: pass_rate(int(count), 40) for count in np.unique(counts)}
    held = np.mean([ends[count].low <= share <= ends[count].high for count in counts])
    assert 0.92 < held < 0.985


def test_chance_of_enough_good_ones():
    found = pass_rate(14, 20)
    assert found.at_least(0, 3) == 1
    assert found.at_least(4, 3) == 0
    one = found.at_least(1, 1)
    assert one == pytest.approx(found.share)
    assert found.at_least(1, 3) > one > found.at_least(3, 3)
    rates = stats.beta(14.5, 6.5).rvs(200_000, random_state=3)
    assert found.at_least(2, 3) == pytest.approx(stats.binom.sf(1, 3, rates).mean(), abs=0.002)


def test_chance_of_enough_among_several_kinds():
    """By counting all ways in which 3 of one kind and 2 of another may turn out (beta-binomial of scipy)."""
    unused, used = pass_rate(18, 20), pass_rate(3, 9)
    ways = {
        (a, b): stats.betabinom.pmf(a, 3, 18.5, 2.5) * stats.betabinom.pmf(b, 2, 3.5, 6.5)
        for a in range(4) for b in range(3)
    }  # fmt: skip
    for wanted in range(6):
        enough = sum(chance for (a, b), chance in ways.items() if a + b >= wanted)
        assert chance_of([(unused, 3), (used, 2)], wanted) == pytest.approx(enough)
    assert chance_of([(unused, 3)], 2) == pytest.approx(unused.at_least(2, 3))
    assert chance_of([(unused, 3), (used, 2)], 6) == 0
    assert used.numbers(4).sum() == pytest.approx(1)


@pytest.mark.parametrize("counts", [(3, 2), (-1, 4)])
def test_counts_that_cannot_be(counts):
    with pytest.raises(ValueError, match="cannot be"):
        pass_rate(*counts)


@pytest.mark.parametrize(
    ("texts", "past"),
    [
        (("NOS",), "unused"), (("new old stock",), "unused"), (("new in box",), "unused"), (("New, boxed",), "unused"),
        (("neu",), "unused"), (("carton sealed", "bought"), "unused"), (("never used",), "unused"),
        (("", "bought in New York 1998"), "not said"), (("new price 12 EUR",), "not said"), (("not new",), "not said"),
        (("", "Neu-Ulm flea market"), "not said"), (("pulled from a set",), "used"), (("NOS", "used once"), "not said"),
    ],
)  # fmt: skip
def test_what_is_written_of_the_past_of_a_tube(texts, past):
    """Common practice, no source: the words of the trade for stock that was never in a socket."""
    assert past_of(*texts) == past
