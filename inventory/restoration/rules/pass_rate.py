"""How many untested tubes prove good: the keeper's own share with its interval, and how many to test for so many good.

Beta-binomial with Jeffreys' prior (half a good one, half a bad one); the interval is its equal-tailed one, which holds
about as often as it says (Brown, Cai, DasGupta, Statistical Science 16, 2001, 101-133).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

HALF = 0.5


@dataclass(frozen=True)
class PassRate:
    """``good`` of ``tested`` proved good. ``share``: the mean; ``low``, ``high``: the interval."""

    good: int
    tested: int
    share: float
    low: float
    high: float

    def at_least(self, wanted: int, untested: int) -> float:
        """The chance that of ``untested`` more at least ``wanted`` prove good."""
        if wanted <= 0:
            return 1.0
        if wanted > untested:
            return 0.0
        from scipy import stats  # takes a second to load: only when asked

        return float(stats.betabinom.sf(wanted - 1, untested, *self._shape))

    def numbers(self, untested: int) -> NDArray[np.float64]:
        """The chance of each number of good ones, from none to all of ``untested`` more."""
        from scipy import stats

        found: NDArray[np.float64] = stats.betabinom.pmf(np.arange(untested + 1), untested, *self._shape)
        return found

    @property
    def _shape(self) -> tuple[float, float]:
        return HALF + self.good, HALF + self.tested - self.good


def chance_of(kinds: Sequence[tuple[PassRate, int]], wanted: int) -> float:
    """The chance that of untested ones of several kinds, each with its own share, at least ``wanted`` prove good."""
    if wanted <= 0:
        return 1.0
    if len(kinds) == 1:  # the tail of one kind is more exact than a sum
        rate, untested = kinds[0]
        return rate.at_least(wanted, untested)
    total = np.ones(1)
    for rate, untested in kinds:
        total = np.convolve(total, rate.numbers(untested))
    return float(min(1.0, total[wanted:].sum()))


def pass_rate(good: int, tested: int, level: float = 0.95) -> PassRate:
    """The share of good ones among those tested, with its interval. Raises ValueError for counts that cannot be."""
    if not 0 <= good <= tested:
        raise ValueError(f"{good} good of {tested} tested cannot be")
    if not 0 < level < 1:
        raise ValueError(f"level {level:g}: expected above 0 and below 1")
    from scipy import stats

    a, b, tail = HALF + good, HALF + tested - good, (1 - level) / 2
    low = 0.0 if good == 0 else float(stats.beta.ppf(tail, a, b))
    high = 1.0 if good == tested else float(stats.beta.isf(tail, a, b))
    return PassRate(good, tested, a / (a + b), low, high)
