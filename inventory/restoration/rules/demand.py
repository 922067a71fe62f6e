"""How many failures a time ahead brings, and how many spares are enough for it.

At a known constant rate the number is Poisson (MIL-HDBK-338B); from ``r`` failures in ``T`` unit-hours the rate is
itself uncertain, a Gamma distribution (prior shape 0.5 is Jeffreys'), and the number in the next ``t`` unit-hours is
negative binomial with shape ``0.5 + r`` and ``p = T / (T + t)``. The plain quotient ``r t / T`` is too sure of itself.
Where tubes wear out, a constant rate understates what comes late: then lives are drawn and renewed (``renewed``).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

JEFFREYS = 0.5  # shape of the prior: half a failure
MOST_MEAN = 100_000.0  # failures ahead; no collection is as large
MOST_FAILED = 10_000_000  # failures on record; likewise
SHAPES = 0.05, 100.0  # of Weibull lives; beyond these the draws leave the numbers that a machine holds
OLDEST = 1_000.0  # times eta; likewise
MOST_TOLD = 1_000  # chances that are written out one by one
TAIL = 1e-9  # chances further out are not written out
FINEST, MOST_THINNED = 1e-12, 2_000.0  # where the sum over failures of ``still_working`` ends, and where it is not made
MOST_SUMMED, MOST_FAILURES = 4_000_000, 5_000  # of that sum: numbers added up, and failures looked at

POISSON, NEGATIVE_BINOMIAL, RENEWAL = "poisson", "negative binomial", "renewal"
SOURCES = {
    POISSON: "Poisson failures at a constant rate: worked examples after MIL-HDBK-338",
    NEGATIVE_BINOMIAL: "Poisson failures at a rate that is a Gamma variable: standard result of Bayes, derived here",
    RENEWAL: "Weibull lives by maximum likelihood (NIST/SEMATECH e-Handbook 8.4.1.3), each renewed as it fails",
}


class DemandRefused(ValueError):
    """Figures that give no answer; the text is one line."""


@dataclass(frozen=True)
class Prior:
    """What is held of a rate before one's own record: Gamma of ``shape`` failures in ``hours`` unit-hours."""

    shape: float = JEFFREYS
    hours: float = 0.0
    source: str = "Jeffreys: half a failure in no time"


@dataclass(frozen=True)
class Demand:
    """Failures in a time ahead. ``shape`` and ``share`` are of the negative binomial; ``drawn`` of a simulation.

    ``method``: how it was got, in words.
    """

    kind: str
    expected: float
    method: str
    shape: float = 0.0
    share: float = 1.0
    drawn: tuple[float, ...] = ()

    @property
    def source(self) -> str:
        """The text that the way rests on."""
        return SOURCES[self.kind]

    def at_most(self, number: int) -> float:
        """The chance that no more than ``number`` fail."""
        if number < 0:
            return 0.0
        from scipy import stats  # takes a second to load: only when asked

        if self.kind == POISSON:
            return float(stats.poisson.cdf(number, self.expected))
        if self.kind == NEGATIVE_BINOMIAL:
            return float(stats.nbinom.cdf(number, self.shape, self.share))
        return min(1.0, math.fsum(self.drawn[: number + 1]))

    def exactly(self, number: int) -> float:
        """The chance that ``number`` fail."""
        from scipy import stats

        if self.kind == POISSON:
            return float(stats.poisson.pmf(number, self.expected))
        if self.kind == NEGATIVE_BINOMIAL:
            return float(stats.nbinom.pmf(number, self.shape, self.share))
        return self.drawn[number] if number < len(self.drawn) else 0.0

    def first(self, number: int) -> list[float]:
        """The chances of 0, 1, 2, ... failures, so many of them."""
        from scipy import stats

        each = np.arange(number)
        if self.kind == POISSON:
            return list(map(float, stats.poisson.pmf(each, self.expected)))
        if self.kind == NEGATIVE_BINOMIAL:
            return list(map(float, stats.nbinom.pmf(each, self.shape, self.share)))
        return [*self.drawn[:number], *[0.0] * (number - len(self.drawn))]

    def chances(self, at_least: int = 0) -> tuple[float, ...]:
        """The chances of 0, 1, 2, ... failures, to where next to nothing is left, but ``at_least`` so many.

        At most a thousand are written out.
        """
        told: list[float] = []
        while len(told) < MOST_TOLD and (len(told) < at_least or 1 - self.at_most(len(told) - 1) > TAIL):
            told.append(self.exactly(len(told)))
        return tuple(told) or (1.0,)

    def spares_for(self, assurance: float) -> int:
        """The least number of spares that are enough with a chance of ``assurance`` or more. Raises DemandRefused."""
        check_assurance(assurance)
        low, high = -1, 1
        while self.at_most(high) < assurance:
            low, high = high, high * 2
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (low, middle) if self.at_most(middle) >= assurance else (middle, high)
        return high


def check_assurance(assurance: float) -> None:
    """Refuse what is no chance; nothing is ever quite sure."""
    if not 0 < assurance < 1:
        raise DemandRefused(f"assurance {assurance:g}: expected above 0 and below 1, for example 0.95")


def _check(name: str, value: float, *, above: bool = False) -> None:
    if not math.isfinite(value) or value < 0 or (above and value == 0):
        raise DemandRefused(f"{name} {value:g}: expected {'more than 0' if above else '0 or more'}")


def at_mean(expected: float, said: str = "the mean that was given") -> Demand:
    """Failures where the mean number ahead is known (Poisson). Raises DemandRefused."""
    _check("mean demand", expected)
    if expected > MOST_MEAN:
        raise DemandRefused(f"mean demand {expected:g}: more than {MOST_MEAN:,.0f}; look at the figures again")
    return Demand(POISSON, expected, f"Poisson with {said}")


def at_rate(rate: float, in_use: float, hours: float) -> Demand:
    """Failures of ``in_use`` tubes in ``hours`` at a constant ``rate`` an hour each. Raises DemandRefused."""
    _check("rate", rate)
    _check("hours", hours)
    _check("number in use", in_use)
    return at_mean(rate * in_use * hours, f"mean {in_use:g} x {hours:g} h x {rate:g} an hour, at a constant rate")


def from_record(failures: int, unit_hours: float, in_use: float, hours: float, prior: Prior | None = None) -> Demand:
    """Failures of ``in_use`` tubes in ``hours`` from one's own record: so many in so many unit-hours.

    Raises DemandRefused, also where nothing at all is known (no hours, and a prior without hours).
    """
    prior = prior or Prior()
    if failures < 0:
        raise DemandRefused(f"failures {failures}: expected 0 or more")
    if failures > MOST_FAILED:
        raise DemandRefused(f"failures: more than {MOST_FAILED:,}; look at the figures again")
    _check("unit-hours", unit_hours)
    _check("hours", hours)
    _check("number in use", in_use)
    _check("prior shape", prior.shape, above=True)
    _check("prior hours", prior.hours)
    ahead, seen = in_use * hours, unit_hours + prior.hours
    if not ahead:
        return Demand(POISSON, 0.0, "nothing is in use, or for no time")
    if not seen:
        raise DemandRefused("No unit-hours are on record and no rate is presumed: nothing can be said of failures.")
    shape = prior.shape + failures
    if (mean := shape * ahead / seen) > MOST_MEAN:
        raise DemandRefused(f"{mean:g} failures ahead by this record: more than {MOST_MEAN:,.0f}; look at it again")
    said = f"negative binomial: {failures} failed in {unit_hours:g} unit-hours, {ahead:g} ahead; prior {prior.source}"
    return Demand(NEGATIVE_BINOMIAL, mean, said, shape, 1 / (1 + ahead / seen))


def renewed(
    eta: float, beta: float, ages: Sequence[float | None], hours: float, *, runs: int = 20_000, seed: int = 1
) -> Demand:
    """Failures in ``hours`` of tubes of these ``ages``, each replaced by a new one as it fails, where tubes wear out.

    Lives are Weibull (``eta`` hours, ``beta``), drawn by inversion, the first of each given that it has reached its
    age; the same seed gives the same answer. An age of None is not known: then the tube is one of a socket that has
    always been renewed so, met at any time (the stationary renewal process: hours / mean life are expected of it).
    Raises DemandRefused.
    """
    for name, value in (("eta", eta), ("beta", beta)):
        _check(name, value, above=True)
    if not SHAPES[0] <= beta <= SHAPES[1]:
        raise DemandRefused(f"beta {beta:g}: expected from {SHAPES[0]:g} to {SHAPES[1]:g}")
    _check("hours", hours)
    for age in ages:
        _check("age", age or 0.0)
        if (age or 0.0) > OLDEST * eta:
            raise DemandRefused(f"age {age:g}: more than {OLDEST:,.0f} times eta {eta:g}; look at the figures again")
    if not ages or not hours:
        return Demand(POISSON, 0.0, "nothing is in use, or for no time")
    mean_life = eta * math.gamma(1 + 1 / beta)
    if len(ages) * hours / mean_life > MOST_MEAN / 100 or len(ages) > 1_000:
        raise DemandRefused("So many failures are ahead that drawing them takes too long; use a constant rate.")
    draw = np.random.default_rng(seed)
    counts = np.zeros(runs, int)
    with np.errstate(over="ignore"):  # a life that is longer than any number is infinite, and right so
        for age in ages:  # one tube after the other: room for one, however many there are
            at = _first_failure(draw, eta, beta, age, runs)
            while (failed := at <= hours).any():
                counts += failed
                at = np.where(failed, at + eta * draw.exponential(size=runs) ** (1 / beta), np.inf)
    chances = np.bincount(counts) / runs
    said = f"{runs} histories drawn, each tube renewed as it fails; Weibull eta {eta:.6g} h, beta {beta:.4g}"
    return Demand(RENEWAL, float(counts.mean()), said, drawn=tuple(chances.tolist()))


def _first_failure(
    draw: np.random.Generator, eta: float, beta: float, age: float | None, runs: int
) -> NDArray[np.float64]:
    """Hours until a tube of an age fails. Of unknown age: any part of a life that was met in proportion to its length,
    whose (life / eta) ** beta is Gamma(1 + 1 / beta).
    """
    if age is None:
        life: NDArray[np.float64] = eta * draw.gamma(1 + 1 / beta, size=runs) ** (1 / beta)
        return life * draw.uniform(size=runs)
    reached: NDArray[np.float64] = eta * ((age / eta) ** beta + draw.exponential(size=runs)) ** (1 / beta)
    return reached - age


def percent(chance: float, places: int = 1) -> str:
    """A chance in per cent, told so finely that it is neither 0 nor 100 where it is not: 99.97, 0.3.

    ``places``: behind the point, where so many are enough.
    """
    for some in range(places, 5):
        told = f"{100 * chance:.{some}f}"
        if 0 < float(told) < 100 or chance in (0, 1):
            return told
    return "more than 99.9999" if chance > 0.5 else "less than 0.0001"


def few(expected: float) -> str:
    """Failures expected, to two places; what is less than those is never told as none."""
    if not expected:
        return "0"
    return "under 0.01" if expected < 0.01 else f"{expected:.2f}"


def still_working(demand: Demand, number: int, needed: int, spares: int) -> float:
    """The chance that at least ``needed`` of ``number`` alike tubes work all the time, failed ones replaced while there
    are ``spares``.

    With as many needed as in use it is ``at_most(spares)``; without a spare, at a constant rate, k of n independent
    tubes (binomial, MIL-HDBK-338B 7.5.3.2). Once the spares are gone fewer are in use and fail, so of the failures that
    ``number`` tubes would have, each is one only by the share that is left (thinning; exact where the rate is constant,
    known or not). Of renewals, and of very many failures, it is a lower bound, which counts all of them or ends
    the sum early. Raises DemandRefused.
    """
    if number < 0 or not 0 <= needed <= number:
        raise DemandRefused(f"{needed} of {number}: expected from 0 to {number} needed")
    if spares < 0:
        raise DemandRefused(f"spares {spares}: expected 0 or more")
    dead = number - needed  # how many positions may be without a working tube
    if not needed:
        return 1.0
    least = demand.at_most(spares + dead)
    if not dead or demand.kind == RENEWAL or demand.expected > MOST_THINNED or least > 1 - FINEST:
        return least
    return min(1.0, max(least, _thinned(demand, number, spares, spares + dead + 1)))


def _thinned(demand: Demand, number: int, spares: int, states: int) -> float:
    """The sum over failures of ``still_working``; ``states``: how many have failed in truth, while enough are left."""
    fails = np.minimum(number, number + spares - np.arange(states)) / number
    chance = np.zeros(states)
    chance[0] = 1.0
    total, left = 0.0, 1.0
    most = min(MOST_FAILURES, max(1, MOST_SUMMED // states))
    for told in demand.first(most):
        working = float(chance.sum())
        if left <= FINEST or working <= FINEST:
            break
        total, left = total + told * working, left - told
        failed = chance * fails
        chance -= failed
        chance[1:] += failed[:-1]
    return total


def spares_for_needed(demand: Demand, number: int, needed: int, assurance: float) -> int:
    """The least number of spares with which ``needed`` of ``number`` work all the time with a chance of ``assurance``.

    Raises DemandRefused.
    """
    check_assurance(assurance)
    low, high = -1, max(0, demand.spares_for(assurance) - (number - needed))  # enough where every failure counts
    while high - low > 1:
        middle = (low + high) // 2
        enough = still_working(demand, number, needed, middle) >= assurance
        low, high = (low, middle) if enough else (middle, high)
    return high


def of_a_kit(chances: Sequence[float]) -> float:
    """The chance that the spares of every type are enough: the product, since types fail independently."""
    return math.prod(chances)
