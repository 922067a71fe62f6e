"""The best assignment, beside trying out every one there is."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.restoration.rules.allocation import (
    NONE,
    Points,
    Together,
    allocate,
    allocate_all,
    cost_table,
    enough_of_each,
    value_points,
)

FEW = st.sampled_from([0.0, 7.0, 40.0, 100.0, 400.0, np.inf])


@st.composite
def cases(draw, together=False):
    lines, tubes = draw(st.integers(1, 4)), draw(st.integers(1, 5))
    costs = np.array(draw(st.lists(st.lists(FEW, min_size=tubes, max_size=tubes), min_size=lines, max_size=lines)))
    urgency = np.array(draw(st.lists(st.integers(0, 2), min_size=lines, max_size=lines)))
    sets = ()
    if together and lines >= 2 and tubes >= 2:
        pairs = st.tuples(st.integers(0, tubes - 1), st.integers(0, tubes - 1)).filter(lambda pair: pair[0] != pair[1])
        offered = draw(st.lists(st.tuples(pairs, st.sampled_from([0.0, 60.0, 800.0])), max_size=4))
        sets = (Together((0, 1), tuple(offered)),)
    return costs, urgency, sets


def every_way(costs, together):
    """Each way to fill the lines, as (tube of each line, cost)."""
    bound = {line for one in together for line in one.lines}
    singles = [line for line in range(costs.shape[0]) if line not in bound]
    reach = [[NONE, *np.flatnonzero(np.isfinite(costs[line])).tolist()] for line in singles]
    sets = [[None, *one.sets] for one in together]
    for chosen in product(*reach):
        for groups in product(*sets):
            taken = [NONE] * costs.shape[0]
            total = 0.0
            for line, tube in zip(singles, chosen, strict=True):
                taken[line] = tube
                total += costs[line, tube] if tube >= 0 else 0.0
            for one, group in zip(together, groups, strict=True):
                if group:
                    total += group[1]
                    for line, tube in zip(one.lines, group[0], strict=True):
                        taken[line] = tube
            used = [tube for tube in taken if tube >= 0]
            if len(used) == len(set(used)):
                yield taken, total


def covered(taken, urgency):
    """How many lines of each urgency are covered, the most urgent first."""
    return tuple(sum(t >= 0 and u == level for t, u in zip(taken, urgency, strict=True)) for level in (2, 1, 0))


def cost_of(taken, costs):
    return sum(costs[line, tube] for line, tube in enumerate(taken) if tube >= 0)


@settings(max_examples=300)
@given(cases())
def test_singles_are_as_good_as_the_best_of_all_ways(case):
    """Most lines, then for each urgency from above as many as can be, then the least cost."""
    costs, urgency, _ = case
    taken = allocate(costs, urgency).tolist()
    ways = [(sum(covered(one, urgency)), covered(one, urgency), -total) for one, total in every_way(costs, ())]
    best = max(ways)
    assert (sum(covered(taken, urgency)), covered(taken, urgency)) == best[:2]
    assert cost_of(taken, costs) == pytest.approx(-best[2])


@settings(max_examples=300)
@given(cases(together=True))
def test_matched_sets_are_as_good_as_the_best_of_all_ways(case):
    """The lines of the most urgent plan first, then those of the next, then the least cost."""
    costs, urgency, together = case
    taken = allocate(costs, urgency, together).tolist()
    ways = [(covered(one, urgency), -total, one) for one, total in every_way(costs, together)]
    best = max((lines, total) for lines, total, _ in ways)
    assert covered(taken, urgency) == best[0]
    assert max(total for _, total, one in ways if one == taken) == pytest.approx(best[1])


@settings(max_examples=300)
@given(cases(together=True))
def test_lines_without_a_set_take_single_tubes_in_their_turn(case):
    """Every way is tried, the lines of a set that was filled together and all others as single ones."""
    costs, urgency, together = case
    taken = allocate_all(costs, urgency, together).tolist()
    whole = [one for one in together if any([taken[line] for line in one.lines] == list(m) for m, _ in one.sets)]
    alone = [one for one in together if one not in whole]
    singly = max((covered(one, urgency), -total) for one, total in every_way(costs, ()))
    best = max((covered(one, urgency), -total) for one, total in every_way(costs, whole))
    assert covered(taken, urgency) == best[0]
    if alone:
        assert covered(taken, urgency) == singly[0]


@settings(max_examples=150)
@given(cases())
def test_no_two_lines_could_exchange_to_the_gain_of_the_more_urgent(case):
    costs, urgency, _ = case
    taken = allocate(costs, urgency).tolist()
    served = [line for line, tube in enumerate(taken) if tube >= 0]
    for line, other in product(served, served):
        if urgency[line] > urgency[other] and costs[line, taken[other]] < costs[line, taken[line]]:
            now = costs[line, taken[line]] + costs[other, taken[other]]
            assert costs[line, taken[other]] + costs[other, taken[line]] > now


def test_the_urgent_line_has_the_good_one_where_both_are_covered():
    costs = np.array([[1000.0, 0.0], [1000.0, 0.0]])
    assert allocate(costs, np.array([1, 2])).tolist() == [0, 1]
    assert allocate(costs, np.array([2, 1])).tolist() == [1, 0]


def test_no_tube_is_used_twice_and_nothing_impossible():
    draw = np.random.default_rng(2)
    costs = np.where(draw.random((60, 40)) < 0.3, draw.integers(0, 500, (60, 40)).astype(float), np.inf)
    taken = allocate(costs, draw.integers(0, 5, 60))
    used = taken[taken >= 0]
    assert len(used) == len(set(used.tolist())) > 30
    assert np.isfinite(costs[np.flatnonzero(taken >= 0), used]).all()


def test_the_urgent_line_gets_the_only_tube():
    costs = np.array([[0.0], [440.0]])
    assert allocate(costs, np.array([0, 1])).tolist() == [NONE, 0]
    assert allocate(costs, np.array([1, 0])).tolist() == [0, NONE]


def test_covering_both_goes_before_the_better_tube():
    """Line 0 takes the substitute, since line 1 can only use the other tube."""
    costs = np.array([[0.0, 400.0], [40.0, np.inf]])
    assert allocate(costs, np.array([1, 0])).tolist() == [1, 0]


def test_a_matched_pair_is_filled_whole_or_not_at_all():
    pair = Together((0, 1), (((0, 1), 0.0),))
    costs = np.array([[np.inf, np.inf], [np.inf, np.inf], [0.0, np.inf]])
    assert allocate(costs, np.array([0, 0, 0]), [pair]).tolist() == [0, 1, NONE]
    assert allocate(costs, np.array([0, 0, 5]), [pair]).tolist() == [NONE, NONE, 0]  # the urgent line goes first
    assert allocate(costs[:, :1], np.array([0, 0, 0]), [Together((0, 1), ())]).tolist() == [NONE, NONE, 0]


def test_lines_without_a_set_go_before_less_urgent_ones():
    """Two pairs are wanted and one set is left: the second pair takes single tubes before the less urgent line does."""
    sets = ((0, 1), 0.0), ((1, 0), 0.0)
    pairs = [Together((0, 1), sets), Together((2, 3), sets)]
    costs = np.zeros((5, 4))
    assert allocate_all(costs, np.array([2, 2, 1, 1, 0]), pairs).tolist() == [0, 1, 2, 3, NONE]
    assert allocate_all(costs, np.array([2, 2, 0, 0, 1]), pairs)[4] >= 0


def test_empty_house():
    assert allocate(np.zeros((0, 0)), np.array([], int)).tolist() == []
    assert allocate(np.zeros((2, 0)), np.array([0, 1])).tolist() == [NONE, NONE]


def test_costs_add_up():
    points = Points()
    by_type = np.array([[0.0, points.relative], [np.inf, 0.0]])
    own = np.array([0.0, points.borderline, 0.0]) + value_points(np.array([10.0, np.nan, 40.0]), points.most_value)
    table = cost_table(by_type, np.array([0, 0, 1]), own)
    assert table.tolist() == [[5.0, 40.0, 120.0], [np.inf, np.inf, 20.0]]
    assert value_points(np.array([np.nan, np.nan]), 20.0).tolist() == [0, 0]


@settings(max_examples=200)
@given(st.data())
def test_what_can_never_be_needed_changes_nothing(data):
    """Lines covered and cost are the same with all tubes and with those that are enough of each type."""
    lines, types, tubes = data.draw(st.integers(1, 5)), data.draw(st.integers(1, 3)), data.draw(st.integers(1, 12))
    rows = st.lists(FEW, min_size=types, max_size=types)
    by_type = np.array(data.draw(st.lists(rows, min_size=lines, max_size=lines)))
    of = np.array(data.draw(st.lists(st.integers(0, types - 1), min_size=tubes, max_size=tubes)))
    own = np.array(data.draw(st.lists(st.sampled_from([0.0, 3.0, 40.0]), min_size=tubes, max_size=tubes)))
    urgency = np.array(data.draw(st.lists(st.integers(0, 2), min_size=lines, max_size=lines)))
    costs, use = cost_table(by_type, of, own), enough_of_each(by_type, of, own)
    every, few = allocate(costs, urgency).tolist(), allocate(costs[:, use], urgency)
    few = [int(use[tube]) if tube >= 0 else NONE for tube in few]
    assert covered(few, urgency) == covered(every, urgency)
    assert cost_of(few, costs) == pytest.approx(cost_of(every, costs))
