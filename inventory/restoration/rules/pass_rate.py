"""How many untested tubes prove good: the keeper's own share with its interval, and how many to test for so many good.

Beta-binomial with Jeffreys' prior (half a good one, half a bad one); the interval is its equal-tailed one, which holds
about as often as it says (Brown, Cai, DasGupta, Statistical Science 16, 2001, 101-133).
"""

from dataclasses import dataclass

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

        bad = self.tested - self.good
        return float(stats.betabinom.sf(wanted - 1, untested, HALF + self.good, HALF + bad))


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
