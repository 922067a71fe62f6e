"""Lots dealt to lines, beside trying out every way there is and the assignment of single pieces."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, linear_sum_assignment, milp

from inventory.restoration.rules.part_lots import deal

FEW = st.sampled_from([0.0, 7.0, 100.0, 150.0, np.inf])


@st.composite
def cases(draw):
    lines, lots = draw(st.integers(1, 3)), draw(st.integers(1, 3))
    rows = st.lists(FEW, min_size=lots, max_size=lots)
    costs = np.array(draw(st.lists(rows, min_size=lines, max_size=lines)))
    wanted = np.array(draw(st.lists(st.integers(0, 3), min_size=lines, max_size=lines)))
    held = np.array(draw(st.lists(st.integers(0, 3), min_size=lots, max_size=lots)))
    urgency = np.array(draw(st.lists(st.integers(0, 2), min_size=lines, max_size=lines)))
    return costs, wanted, held, urgency


@st.composite
def alike(draw):
    """More lines than there are sorts of them: several are alike but for how many they want."""
    lines, lots = draw(st.integers(2, 5)), draw(st.integers(1, 2))
    sorts = draw(st.lists(st.lists(FEW, min_size=lots, max_size=lots), min_size=1, max_size=2))
    costs = np.array([sorts[draw(st.integers(0, len(sorts) - 1))] for _ in range(lines)])
    wanted = np.array(draw(st.lists(st.integers(1, 3), min_size=lines, max_size=lines)))
    held = np.array(draw(st.lists(st.integers(1, 4), min_size=lots, max_size=lots)))
    urgency = np.array(draw(st.lists(st.integers(0, 1), min_size=lines, max_size=lines)))
    return costs, wanted, held, urgency


def every_way(costs, wanted, held):
    """All that each line can take from each lot."""
    of_line = []
    for line, most in enumerate(wanted.tolist()):
        reach = [range(min(most, held[lot]) + 1) if np.isfinite(c) else (0,) for lot, c in enumerate(costs[line])]
        of_line.append([row for row in product(*reach) if sum(row) <= most])
    for rows in product(*of_line):
        taken = np.array(rows)
        if (taken.sum(axis=0) <= held).all():
            yield taken


def worth(taken, costs, wanted, urgency):
    """For each urgency from above whole lines, then pieces; then the cost, turned round."""
    got = taken.sum(axis=1)
    told = []
    for level in (2, 1, 0):
        mine = urgency == level
        told += [int((got[mine] == wanted[mine]).sum()), int(got[mine].sum())]
    return (*told, -round(float(np.where(taken > 0, costs, 0.0).ravel() @ taken.ravel()), 6))


@settings(max_examples=200)
@given(st.one_of(cases(), alike()))
def test_as_good_as_the_best_of_all_ways(case):
    costs, wanted, held, urgency = case
    taken = deal(costs, wanted, held, urgency)
    assert (taken >= 0).all() and not taken[~np.isfinite(costs)].any()
    assert (taken.sum(axis=0) <= held).all() and (taken.sum(axis=1) <= wanted).all()
    best = max(worth(one, costs, wanted, urgency) for one in every_way(costs, wanted, held))
    assert worth(taken, costs, wanted, urgency) == best


def test_as_cheap_as_scipys_assignment_of_single_pieces():
    """Where there is enough for all: every piece a row of its own, solved by another algorithm (Jonker and Volgenant,
    as D. F. Crouse gives it, IEEE Trans. Aerosp. Electron. Syst. 52, 2016)."""
    draw = np.random.default_rng(3)
    prices = draw.integers(0, 60, (14, 9)).astype(float)
    wanted, held = draw.integers(1, 7, 14), draw.integers(8, 15, 9)
    taken = deal(prices, wanted, held, draw.integers(0, 3, 14))
    each = np.repeat(np.repeat(prices, wanted, axis=0), held, axis=1)
    rows, columns = linear_sum_assignment(each)
    assert taken.sum(axis=1).tolist() == wanted.tolist()
    assert (taken * prices).sum() == pytest.approx(each[rows, columns].sum())


def line_by_line(costs, wanted, held, urgency):
    """The best worth by one integer program over every line and every piece, with weights in place of an order."""
    lines, lots = costs.shape
    able = np.isfinite(costs)
    most = np.concatenate([np.where(able, np.minimum(wanted[:, None], held[None, :]), 0).ravel(), np.ones(lines)])
    of_line = np.hstack([np.kron(np.eye(lines), np.ones(lots)), np.zeros((lines, lines))])
    of_lot = np.hstack([np.tile(np.eye(lots), lines), np.zeros((lots, lines))])
    whole = of_line - np.hstack([np.zeros((lines, lines * lots)), np.diag(wanted)])
    rules = [LinearConstraint(of_line, ub=wanted), LinearConstraint(of_lot, ub=held), LinearConstraint(whole, lb=0)]
    told = []
    aims = []
    for level in (2, 1, 0):
        mine = (urgency == level).astype(float)
        aims += [np.concatenate([np.zeros(lines * lots), -mine]), -(mine @ of_line)]
    for aim in (*aims, np.concatenate([np.where(able, costs, 0.0).ravel(), np.zeros(lines)])):
        found = milp(aim, integrality=np.ones(len(aim)), bounds=Bounds(0, most), constraints=rules).x.round()
        rules.append(LinearConstraint(aim[None, :], ub=aim @ found + 0.5))
        told.append(-round(float(aim @ found), 6))
    return tuple(told)


@pytest.mark.parametrize("seed", range(4))
def test_as_good_as_an_integer_program_over_every_line(seed):
    """Thirty lines of a few sorts, too few pieces for them: what is solved by sorts is as good as line by line."""
    draw = np.random.default_rng(seed)
    sorts = np.where(draw.random((6, 8)) < 0.4, draw.integers(0, 60, (6, 8)).astype(float), np.inf)
    costs, wanted = sorts[draw.integers(0, 6, 30)], draw.integers(1, 5, 30)
    held, urgency = draw.integers(1, 9, 8), draw.integers(0, 3, 30)
    taken = deal(costs, wanted, held, urgency)
    assert (taken.sum(axis=0) <= held).all() and (taken.sum(axis=1) <= wanted).all()
    assert worth(taken, costs, wanted, urgency) == line_by_line(costs, wanted, held, urgency)


def test_one_whole_line_before_two_halves():
    costs = np.zeros((2, 1))
    taken = deal(costs, np.array([4, 4]), np.array([6]), np.array([0, 0]))
    assert sorted(taken[:, 0].tolist()) == [2, 4]


def test_greedy_would_strand_the_second_line():
    """The urgent line could use either lot; it takes the dearer one, since the other line has no choice."""
    costs = np.array([[0.0, 100.0], [0.0, np.inf]])
    taken = deal(costs, np.array([2, 2]), np.array([2, 2]), np.array([1, 0]))
    assert taken.tolist() == [[0, 2], [2, 0]]


def test_the_urgent_line_goes_first_where_there_is_not_enough():
    taken = deal(np.zeros((2, 1)), np.array([3, 3]), np.array([4]), np.array([0, 5]))
    assert taken[:, 0].tolist() == [1, 3]


def test_the_urgent_line_has_the_nearer_pieces_where_both_are_covered():
    costs = np.array([[0.0, 100.0], [0.0, 100.0]])
    assert deal(costs, np.array([2, 3]), np.array([3, 2]), np.array([0, 1])).tolist() == [[0, 2], [3, 0]]
    assert deal(costs, np.array([2, 3]), np.array([3, 2]), np.array([1, 0])).tolist() == [[2, 0], [1, 2]]


def test_nothing_wanted_or_nothing_there():
    assert deal(np.zeros((1, 0)), np.array([2]), np.zeros(0, int), np.array([0])).shape == (1, 0)
    assert deal(np.zeros((0, 2)), np.zeros(0, int), np.array([2, 2]), np.zeros(0, int)).shape == (0, 2)
    assert deal(np.full((1, 1), np.inf), np.array([2]), np.array([9]), np.array([0])).tolist() == [[0]]
