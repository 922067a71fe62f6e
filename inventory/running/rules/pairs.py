"""Matching in pairs: most pairs within a tolerance, then the least total mismatch.

The answer is a maximum matching of least weight (networkx, Edmonds' blossoms). Asked over every pair of 400 tubes that
nearly all go with each other it takes ten seconds, so fewer pairs are asked for:

- One reading: only pairs left out that are proved to do no harm. In order of the reading, two pairs a-c and b-d can be
  exchanged for a-b and c-d, a pair with a single tube between its two for a closer one, and a pair around another for
  two pairs of neighbours unless those are dearer. What is left are neighbours and the few that may pay around others.
  The answer is exact.
- Two readings, few pairs: every pair, exact. Many: the nearest of each tube, more of them until no choice gives more
  pairs; then the number is exact, and the mismatch the least among those nearest.
"""

import numpy as np

from inventory.running.rules.curves import Flags, Vector, Whole

NEAREST = 10
_FINE = 1e6  # mismatch in millionths of a percent, whole numbers: networkx is exact with those
_FEW_PAIRS = 4_000

Pairs = list[tuple[int, ...]]


def best_pairs(figures: Vector, tolerance_pct: float) -> tuple[Pairs, bool]:
    """Pairs of rows, and whether exact. ``figures``: a row a tube, one or two readings above 0, sorted by the first."""
    if len(figures) < 2:
        return [], True
    low, high = np.minimum(figures[:, None], figures[None]), np.maximum(figures[:, None], figures[None])
    apart: Vector = (200 * (high - low) / (high + low)).max(axis=2)
    first, second = np.nonzero(np.triu(apart <= tolerance_pct, 1))
    if figures.shape[1] == 1:
        keep = _may_pay(apart, first, second)
        return _matching(apart, first[keep], second[keep]), True
    if len(first) <= _FEW_PAIRS:
        return _matching(apart, first, second), True
    return _among_nearest(apart, first, second)


def _matching(apart: Vector, first: Whole, second: Whole) -> Pairs:
    import networkx as nx  # takes a fifth of a second to load: only when asked

    graph, most = nx.Graph(), 10**12
    weights = [most - round(one * _FINE) for one in apart[first, second].tolist()]
    graph.add_weighted_edges_from(zip(first.tolist(), second.tolist(), weights, strict=True))
    return sorted((min(pair), max(pair)) for pair in nx.max_weight_matching(graph, maxcardinality=True))


def _may_pay(apart: Vector, first: Whole, second: Whole) -> Flags:
    """One reading: which pairs may be in the best matching (see above)."""
    steps = second - first
    following, after = np.minimum(first + 1, len(apart) - 1), np.minimum(first + 2, len(apart) - 1)
    neighbours = apart[first, following] + apart[after, second]
    around = apart[first, second] + apart[following, after]
    chosen: Flags = (steps == 1) | ((steps % 2 == 1) & (neighbours > around))
    return chosen


def _among_nearest(apart: Vector, first: Whole, second: Whole) -> tuple[Pairs, bool]:
    ranks = np.argsort(np.argsort(apart, axis=1, kind="stable"), axis=1)  # a tube itself is of rank 0
    rank = np.minimum(ranks[first, second], ranks[second, first])
    import networkx as nx

    every = nx.Graph(zip(first.tolist(), second.tolist(), strict=True))
    number = sum(len(group) // 2 for group in nx.connected_components(every))
    nearest = NEAREST
    while True:
        keep: Flags = rank <= nearest
        pairs = _matching(apart, first[keep], second[keep])
        if len(pairs) < number and nearest == NEAREST:  # perhaps there are no more: ask over every pair, without cost
            number = len(nx.max_weight_matching(every, maxcardinality=True))
        if len(pairs) == number or keep.all():
            return pairs, bool(keep.all())
        nearest *= 2
