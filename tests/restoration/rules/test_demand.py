"""Spares for failures ahead, beside published figures.

L5.1, L5.2: worked lamp and element examples as in MIL-HDBK-338 (reliabilityanalytics.com, Poisson distribution). L5.3:
figures of rmqsi.org, whose 42 % is the chance of at most 2. L5.6: k of n, MIL-HDBK-338B 7.5.3.2. L5.7: the case of
eng-tips.com 460715, whose own routine averages otherwise (88.9 % and 98.4 %) and is disputed. L5.4, L5.5, L5.8, L5.9
are arithmetic on the Poisson and the negative binomial distribution (any table of them). MIL-HDBK-217E rates: L4.9.
"""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats
from scipy.integrate import quad

from inventory.restoration.rules.demand import (
    MOST_FAILURES,
    Demand,
    DemandRefused,
    Prior,
    at_mean,
    at_rate,
    from_record,
    of_a_kit,
    renewed,
    spares_for_needed,
    still_working,
)


def up_to(demand, number):
    return [demand.at_most(few) for few in range(number + 1)]


def test_l5_1_lamp():
    demand = at_rate(0.001, 1, 500)
    assert demand.expected == pytest.approx(0.5)
    assert demand.at_most(2) == pytest.approx(0.985612322033, abs=1e-9)


def test_l5_2_ten_elements():
    demand = at_rate(0.001, 10, 50)
    expected = [0.606530659713, 0.303265329856, 0.0758163324641, 0.0126360554107]
    assert demand.chances()[:4] == pytest.approx(expected, abs=1e-9)


def test_l5_3_three_spares_are_not_two():
    demand = at_rate(1 / 8760, 1, 26280)
    assert demand.at_most(3) == pytest.approx(0.647231888782, abs=1e-9)
    assert demand.at_most(2) == pytest.approx(0.423190081127, abs=1e-9)


def test_l5_4_spares_at_a_mean_of_three():
    demand = at_mean(3)
    assert (demand.spares_for(0.95), demand.spares_for(0.90)) == (6, 5)
    assert demand.at_most(6) == pytest.approx(0.966491464691, abs=1e-9)
    assert demand.at_most(5) == pytest.approx(0.916082057969, abs=1e-9)


@pytest.mark.parametrize(("mean", "assurance", "spares"), [(0.5, 0.95, 2), (0.2, 0.99, 2), (0, 0.99, 0)])
def test_l5_5_small_means(mean, assurance, spares):
    assert at_mean(mean).spares_for(assurance) == spares


@pytest.mark.parametrize(
    ("wanted", "number", "chance", "expected"), [(4, 5, 0.9, 0.91854), (3, 4, 0.95, 0.98598125), (2, 3, 0.8, 0.896)]
)
def test_l5_6_k_of_n(wanted, number, chance, expected):
    """Without a spare: tubes of which each lasts with that chance."""
    demand = at_rate(-math.log(chance) / 700, number, 700)
    assert still_working(demand, number, wanted, 0) == pytest.approx(expected, abs=1e-9)


@given(st.integers(1, 8), st.integers(0, 8), st.integers(0, 6), st.floats(0.01, 12), st.booleans())
def test_some_of_them_are_enough(number, wanted, spares, mean, known):
    """Never less sure than with all of them needed, nor less than by counting every failure; scipy's binomial at 0."""
    wanted = min(wanted, number)
    demand = at_mean(mean) if known else from_record(int(mean), 1000, number, 800)
    chance = still_working(demand, number, wanted, spares)
    assert demand.at_most(spares + number - wanted) - 1e-9 <= chance <= 1 + 1e-9
    assert still_working(demand, number, number, spares) == demand.at_most(spares)
    assert chance >= demand.at_most(spares) - 1e-9
    if known:
        lasts = math.exp(-mean / number)
        plain = stats.binom.sf(wanted - 1, number, lasts)
        assert still_working(demand, number, wanted, 0) == pytest.approx(plain, abs=1e-9)


def test_two_of_three_with_a_spare_beside_drawing_them():
    """Each life drawn, the spare put in at the first failure: the share of histories in which two always work."""
    rate, hours, runs = 1 / 900, 1000, 200_000
    lives = np.random.default_rng(11).exponential(1 / rate, (runs, 4))
    ends = np.sort(lives[:, :3], axis=1)
    # the spare begins at the first failure; two of three stop working at the second failure among the three left
    left = np.sort(np.column_stack([ends[:, 1], ends[:, 2], ends[:, 0] + lives[:, 3]]), axis=1)
    share = float((left[:, 1] > hours).mean())
    promised = still_working(at_rate(rate, 3, hours), 3, 2, 1)
    assert abs(share - promised) < 4 * math.sqrt(promised * (1 - promised) / runs)


@settings(max_examples=25)
@given(st.integers(1, 5), st.integers(0, 12), st.floats(50, 1e4), st.floats(0.5, 0.99))
def test_spares_for_some_of_them_are_the_least_that_do(number, failures, ahead, assurance):
    demand = from_record(failures, 5000, number, ahead / number)
    for needed in range(1, number + 1):
        spares = spares_for_needed(demand, number, needed, assurance)
        assert still_working(demand, number, needed, spares) >= assurance
        assert not spares or still_working(demand, number, needed, spares - 1) < assurance
    assert spares_for_needed(demand, number, number, assurance) == demand.spares_for(assurance)


@pytest.fixture
def summed(monkeypatch):
    """How many failures each sum looked at, and in how many states: what it costs."""
    passes = []
    told = Demand.first

    def counted(demand, number):
        for chance in told(demand, number):
            passes.append(number)
            yield chance

    monkeypatch.setattr(Demand, "first", counted)
    return passes


@pytest.mark.parametrize(
    ("mean", "in_use", "needed", "assurance", "wanted"),
    [(2000, 100_000, 1, 0.95, 0), (5, 50_000, 1, 0.999, 0), (3, 8, 0, 0.95, 0), (500, 40_000, 39_000, 0.95, 0)],
)
def test_failures_that_may_stay_want_no_sum(summed, mean, in_use, needed, assurance, wanted):
    """Where so many may fail as will, no spare is wanted (Poisson quantile of scipy); that is seen at once."""
    assert stats.poisson.ppf(assurance, mean) <= in_use - needed
    demand = at_mean(mean)
    assert spares_for_needed(demand, in_use, needed, assurance) == wanted and not summed
    assert still_working(demand, in_use, needed, 100_000) == 1.0 and not summed


def test_a_sum_that_is_too_long_is_a_lower_bound(summed):
    """1,900 of 2,000 needed: without spares binomial (scipy); a record that leaves nearly all open is cut short."""
    demand = at_rate(1e-4, 2000, 1000)
    assert still_working(demand, 2000, 1900, 0) == pytest.approx(
        stats.binom.sf(1899, 2000, math.exp(-0.1)), abs=1e-9
    )  # fmt: skip
    summed.clear()
    vague = from_record(0, 1.0, 1000, 3.9)
    few, many = (still_working(vague, 1000, 1, spares) for spares in (0, 50_000))
    assert vague.at_most(999) <= few <= 1 and vague.at_most(50_999) <= many <= 1 and few <= many
    assert len(summed) <= 2 * MOST_FAILURES


def test_l5_7_no_failure_yet():
    demand = from_record(0, 100_000, 1, 150_000)
    expected = [0.632455532034, 0.822192191644, 0.907573688468, 0.950264436881]
    assert up_to(demand, 3) == pytest.approx(expected, abs=1e-9)
    assert demand.spares_for(0.95) == 3


def test_l5_8_three_failures():
    demand = from_record(3, 4500, 1, 3000)
    expected = [
        0.167312880556, 0.401550913335, 0.612365142836, 0.766962244469, 0.867450360531, 0.927743230169, 0.96190918963,
    ]  # fmt: skip
    assert up_to(demand, 6) == pytest.approx(expected, abs=1e-9)
    assert demand.spares_for(0.95) == 6
    assert at_mean(3 * 3000 / 4500).spares_for(0.95) == 5  # the plain quotient is too sure of itself


def test_l5_9_kit():
    chances = [at_mean(mean).at_most(spares) for mean, spares in ((0.5, 2), (0.2, 1), (1.2, 3))]
    assert of_a_kit(chances) == pytest.approx(0.935641454409, abs=1e-9)


def test_a_published_rate_as_prior():
    """MIL-HDBK-217E: receiving tubes 2.5 per million hours on the ground (L4.9), held as half a failure's worth."""
    prior = Prior(0.5, 0.5 / 2.5e-6, "MIL-HDBK-217E")
    assert from_record(0, 0, 4, 1000, prior).expected == pytest.approx(2.5e-6 * 4000)
    much = from_record(40, 1_000_000, 4, 1000, prior)
    assert much.expected == pytest.approx(40.5 * 4000 / 1_200_000)  # one's own record outweighs it


@given(st.integers(0, 30), st.floats(50, 1e6), st.floats(1, 1e5), st.floats(0.5, 0.999))
def test_the_number_named_is_the_least_that_is_enough(failures, seen, ahead, assurance):
    demand = from_record(failures, seen, 1, ahead)
    spares = demand.spares_for(assurance)
    assert demand.at_most(spares) >= assurance
    assert demand.at_most(spares - 1) < assurance


@given(st.integers(0, 30), st.floats(50, 1e5), st.floats(1, 1e5))
def test_negative_binomial_is_a_poisson_of_uncertain_rate(failures, seen, ahead):
    """The definition, integrated by scipy: a Poisson number whose mean is Gamma(0.5 + r, t / T)."""
    demand = from_record(failures, seen, 1, ahead)
    mean = stats.gamma(0.5 + failures, scale=ahead / seen)
    assert demand.expected == pytest.approx(mean.mean())
    assert demand.exactly(0) == pytest.approx((1 + ahead / seen) ** -(0.5 + failures))


def test_simulated_demand_confirms_the_assurance():
    """Rates drawn from what the record leaves open, then failures: the promised share of kits is enough."""
    demand, draw, runs = from_record(3, 4500, 1, 3000), np.random.default_rng(7), 200_000
    counts = draw.poisson(draw.gamma(3.5, 3000 / 4500, runs))
    for spares in range(8):
        share, promised = float((counts <= spares).mean()), demand.at_most(spares)
        assert abs(share - promised) < 4 * math.sqrt(promised * (1 - promised) / runs)


def test_renewals_with_no_wear_are_poisson():
    demand = renewed(1000, 1.0, [0, 500, 4000], 700, runs=100_000, seed=3)
    poisson = at_rate(1 / 1000, 3, 700)
    for spares in range(6):
        promised = poisson.at_most(spares)
        assert abs(demand.at_most(spares) - promised) < 4 * math.sqrt(promised * (1 - promised) / 100_000)


def test_first_renewal_is_the_weibull_given_its_age():
    """No failure in t at age a: S(a + t) / S(a), the conditional reliability of NIST/SEMATECH 8.1.2.1."""
    demand = renewed(1000, 3.0, [800], 300, runs=100_000, seed=5)
    promised = math.exp((800 / 1000) ** 3 - (1100 / 1000) ** 3)
    assert abs(demand.at_most(0) - promised) < 4 * math.sqrt(promised * (1 - promised) / 100_000)
    fresh = renewed(1000, 3.0, [0], 300, runs=100_000, seed=5)
    assert fresh.at_most(0) > demand.at_most(0) + 0.2


def test_a_tube_of_unknown_age_is_one_met_at_any_time():
    """Stationary renewals: hours / mean life are expected, and no failure in t has the chance of 1 - F_e(t), where
    F_e(t) is the integral of S from 0 to t over the mean life (renewal theory, e.g. Cox, Renewal Theory, 1962).
    """
    eta, beta, hours, runs = 1000, 3.0, 1500, 100_000
    mean = eta * math.gamma(1 + 1 / beta)
    found = renewed(eta, beta, [None], hours, runs=runs, seed=9)
    assert found.expected == pytest.approx(hours / mean, rel=0.01)
    soon = renewed(eta, beta, [None], 300, runs=runs, seed=9)
    promised = 1 - quad(lambda t: math.exp(-((t / eta) ** beta)), 0, 300)[0] / mean
    assert abs(soon.at_most(0) - promised) < 4 * math.sqrt(promised * (1 - promised) / runs)


def test_the_same_seed_gives_the_same_answer():
    assert renewed(900, 2.5, [10, 700], 800, seed=4) == renewed(900, 2.5, [10, 700], 800, seed=4)


def test_chances_are_written_out_to_the_end():
    assert math.fsum(at_mean(3).chances()) == pytest.approx(1, abs=1e-8)
    assert at_mean(0).chances() == (1.0,)
    assert len(at_mean(0.1).chances(at_least=9)) == 9
    assert len(at_mean(90_000).chances()) == 1000


@pytest.mark.parametrize(
    ("asked", "word"),
    [
        (lambda: at_mean(-1), "mean demand"),
        (lambda: at_mean(math.nan), "mean demand"),
        (lambda: at_mean(1e300), "look at the figures"),
        (lambda: at_rate(-1e-3, 1, 5), "rate"),
        (lambda: from_record(-1, 100, 1, 5), "failures"),
        (lambda: from_record(0, 0, 1, 5), "No unit-hours"),
        (lambda: from_record(1, -5, 1, 5), "unit-hours"),
        (lambda: from_record(1, 1e-9, 4, 1e9), "look at it again"),
        (lambda: at_mean(3).spares_for(1), "assurance"),
        (lambda: at_mean(3).spares_for(0), "assurance"),
        (lambda: still_working(at_mean(1), 2, 3, 0), "3 of 2"),
        (lambda: still_working(at_mean(1), 2, 1, -1), "spares"),
        (lambda: renewed(0, 1, [1], 5), "eta"),
        (lambda: renewed(1000, 2, [-1], 5), "age"),
        (lambda: renewed(1, 2, [0] * 900, 1e5), "too long"),
        (lambda: from_record(10**400, 4500, 1, 3000), "failures"),
        (lambda: renewed(100, 0.001, [0], 10), "beta"),
        (lambda: renewed(100, 101, [0], 10), "beta"),
        (lambda: renewed(1, 100, [1001], 10), "age"),
    ],
)
def test_figures_that_cannot_be_are_refused_in_a_line(asked, word):
    with pytest.raises(DemandRefused, match=word) as refused:
        asked()
    assert "\n" not in str(refused.value)


EDGES = st.floats(5e-324, 1e308)


@pytest.mark.filterwarnings("error")
@given(EDGES, st.sampled_from([0.001, 0.05, 1.0, 3.0, 100.0]), st.none() | EDGES, EDGES)
def test_lives_at_the_edge_are_told_or_refused(eta, beta, age, hours):
    try:
        demand = renewed(eta, beta, [age], hours, runs=10)
    except DemandRefused:
        return
    assert 0 <= demand.expected < math.inf and 0 <= demand.at_most(3) <= 1


@given(st.sampled_from([0, 3, 10**7, 10**400]), EDGES, EDGES, EDGES)
def test_records_at_the_edge_are_told_or_refused(failures, seen, in_use, hours):
    try:
        demand = from_record(failures, seen, in_use, hours)
    except DemandRefused:
        return
    assert 0 <= demand.expected < math.inf and 0 <= demand.at_most(3) <= 1


def test_nothing_in_use_needs_nothing():
    assert from_record(3, 4500, 0, 3000).spares_for(0.99) == 0
    assert renewed(1000, 2, [], 3000).spares_for(0.99) == 0
