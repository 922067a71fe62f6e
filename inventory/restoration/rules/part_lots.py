"""Which parts come from which lot: lots that hold so many, dealt to lines that want so many of them.

Of the most urgent lines as many as can be are covered wholly, then as many pieces of the others as there are; then the
next with what is left; among all ways to do that the one of least cost, in which the more urgent have the better pieces
where that costs the same. What can be covered wholly is a transport
problem (F. L. Hitchcock, J. Math. Phys. 20, 1941), solved as a linear program, whose best corner is in whole numbers;
where not everything can, how many lines stay whole is an integer program. Lines that are alike are dealt to together,
lines that have no lot in common apart.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from inventory.restoration.rules.exchange import best_exchange, urgent_first

if TYPE_CHECKING:
    from scipy.sparse import csr_array

Costs = NDArray[np.float64]  # lines x lots, points for each piece; infinite: it may not serve there
Numbers = NDArray[np.int64]
SLIP = 1e-5  # pieces: what the solver may be off by where a number need not be whole


@dataclass(frozen=True)
class PartPoints:
    """What each piece costs: added up, then compared."""

    other_value: float = 100.0  # its value is within what the line allows, and not the one that is drawn
    farthest: float = 50.0  # more, at the edge of what is allowed
    twice_rated: float = 10.0  # for each doubling of a rating over what is wanted
    most_rated: float = 40.0
    guessed: float = 60.0  # how many the lot holds is a guess
    most_value: float = 20.0  # of the dearest piece among those that could serve


def deal(costs: Costs, wanted: Numbers, held: Numbers, urgency: Numbers) -> Numbers:
    """How many each line takes from each lot, lines x lots. ``urgency``: of each line; higher is served first.

    Lines of one urgency to which all lots cost the same are dealt to together, as a ``_Sort``.
    """
    from scipy.sparse import coo_array  # half a second to load: only when asked
    from scipy.sparse.csgraph import connected_components

    taken = np.zeros(costs.shape, np.int64)
    sorts = _sorts(costs, wanted, held, urgency)
    if not sorts:
        return taken
    of_sort = np.array([costs[one.lines[0]] for one in sorts])
    levels = np.array([one.urgency for one in sorts], np.int64)
    which, lots = np.nonzero(np.isfinite(of_sort) & (held > 0)[None, :])
    count = sum(of_sort.shape)
    graph = coo_array((np.ones(len(which)), (which, lots + len(sorts))), shape=(count, count))
    parts = connected_components(graph, directed=False)[1][which]
    dealt = np.zeros(of_sort.shape, np.int64)
    for part in np.unique(parts):
        mine = parts == part
        _deal_part(of_sort, sorts, held, which[mine], lots[mine], dealt)
    _better_pieces(of_sort, levels, dealt)
    for one, cost, row in zip(sorts, of_sort, dealt, strict=True):
        _share(one, np.argsort(cost, kind="stable"), row, taken)
    return taken


@dataclass(frozen=True)
class _Sort:
    """Lines that are alike but for how many they want, those that want fewest first: of so many whole ones they are
    the first, since these leave most to others.
    """

    urgency: int
    lines: tuple[int, ...]
    wanted: Numbers  # of each of the lines


def _sorts(costs: Costs, wanted: Numbers, held: Numbers, urgency: Numbers) -> list[_Sort]:
    """The lines that want something there is, those together that are alike."""
    able = (np.isfinite(costs) & (held > 0)[None, :]).any(axis=1) & (wanted > 0)
    alike: dict[tuple[int, bytes], list[int]] = defaultdict(list)
    for line in np.flatnonzero(able).tolist():
        alike[int(urgency[line]), costs[line].tobytes()].append(line)
    told = []
    for (level, _), lines in alike.items():
        lines.sort(key=lambda line: int(wanted[line]))
        told.append(_Sort(level, tuple(lines), wanted[lines]))
    return told


def _share(one: _Sort, order: Numbers, row: Numbers, taken: Numbers) -> None:
    """Give the lines of a sort, one after another, what they have together, the cheapest pieces first."""
    left = row.copy()
    for line, asks in zip(one.lines, one.wanted.tolist(), strict=True):
        for lot in order[left[order] > 0].tolist():
            taken[line, lot] = count = min(asks, int(left[lot]))
            left[lot] -= count
            asks -= count
            if not asks:
                break


def _better_pieces(costs: Costs, urgency: Numbers, taken: Numbers) -> None:
    """Of two sorts that could exchange pieces at the same cost the more urgent has the better ones."""

    def exchanged(line: int, others: Numbers) -> bool:
        at, theirs = np.nonzero(taken[others])
        for mine in np.flatnonzero(taken[line]).tolist():
            best = best_exchange(costs, line, mine, others[at], theirs)
            if best is not None:
                other, lot = others[at[best]], theirs[best]
                count = min(taken[line, mine], taken[other, lot])
                taken[line, [mine, lot]] += [-count, count]
                taken[other, [mine, lot]] += [count, -count]
                return True
        return False

    urgent_first(np.flatnonzero(taken.any(axis=1)), urgency, exchanged)


def _deal_part(
    costs: Costs, sorts: Sequence[_Sort], held: Numbers, which: Numbers, lots: Numbers, dealt: Numbers
) -> None:
    """Those sorts and lots that hang together; sort ``which[n]`` may take from ``lots[n]``. Writes what each takes."""
    from scipy.optimize import linprog
    from scipy.sparse import csr_array, vstack

    mine, sort_at = np.unique(which, return_inverse=True)
    from_lots, lot_at = np.unique(lots, return_inverse=True)
    those = [sorts[one] for one in mine.tolist()]
    ones, ways = np.ones(len(which)), np.arange(len(which))
    by_sort = csr_array((ones, (sort_at, ways)))
    by_lot = csr_array((ones, (lot_at, ways)))
    cost, hold = costs[which, lots], held[from_lots].astype(float)
    ask = np.array([one.wanted.sum() for one in those], float)
    found = linprog(cost, A_ub=by_lot, b_ub=hold, A_eq=by_sort, b_eq=ask, method="highs-ds")
    if found.status:
        least, pieces, of_level = _most_whole(cost, by_sort, by_lot, those, ask, hold)
        found = linprog(
            cost, A_ub=vstack([by_lot, by_sort, -by_sort]), b_ub=np.concatenate([hold, ask, -least]),
            A_eq=csr_array(of_level @ by_sort), b_eq=pieces, method="highs-ds",
        )  # fmt: skip
    dealt[which, lots] = found.x.round().astype(np.int64)


def _most_whole(
    cost: NDArray[np.float64],
    by_sort: "csr_array",
    by_lot: "csr_array",
    sorts: Sequence[_Sort],
    ask: NDArray[np.float64],
    hold: NDArray[np.float64],
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """As many whole lines as can be, the urgent ones first: how many pieces the whole lines of each sort want, how many
    each level of urgency takes, and which sorts are of which level.

    Only how many lines are whole is in whole numbers: with these given, what goes where is a transport problem again.
    """
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array, hstack

    sizes = [np.unique(one.wanted, return_counts=True) for one in sorts]
    size = np.concatenate([each for each, _ in sizes]).astype(float)
    of_size = np.concatenate([count for _, count in sizes]).astype(float)
    sort_of = np.repeat(np.arange(len(sorts)), [len(each) for each, _ in sizes])
    ways, lines = len(cost), len(size)
    whole = csr_array((-size, (sort_of, np.arange(lines))), shape=(len(sorts), lines))
    no_line = csr_array((len(sorts), lines))
    rules = [
        LinearConstraint(csr_array(hstack([by_sort, no_line])), ub=ask),
        LinearConstraint(csr_array(hstack([by_lot, csr_array((len(hold), lines))])), ub=hold),
        LinearConstraint(csr_array(hstack([by_sort, whole])), lb=0.0),
    ]
    urgency = np.array([one.urgency for one in sorts])
    levels = np.unique(urgency)[::-1]
    of_level = np.array([urgency == level for level in levels], float)
    most = np.concatenate([by_sort.T @ ask, of_size])
    level_of = np.concatenate([by_sort.T @ urgency, urgency[sort_of]])

    def best(aim: NDArray[np.float64], from_level: int) -> NDArray[np.float64]:
        within = Bounds(0, np.where(level_of >= from_level, most, 0.0))  # what is less urgent changes nothing yet
        kinds = np.arange(ways + lines) >= ways
        found = milp(aim, integrality=kinds, bounds=within, constraints=rules, options={"mip_rel_gap": 0})
        return np.asarray(found.x, float)

    pieces = []
    for level, mine in zip(levels.tolist(), of_level, strict=True):
        taken = np.concatenate([mine @ by_sort, np.zeros(lines)])
        lines_whole = np.concatenate([np.zeros(ways), mine[sort_of]])
        found = best(-taken - (1.0 + hold.sum()) * lines_whole, level)
        pieces.append(round(float(taken @ found)))
        rules.append(LinearConstraint(lines_whole[None, :], lb=round(float(lines_whole @ found)) - 0.5))
        rules.append(LinearConstraint(taken[None, :], lb=pieces[-1] - SLIP))
    kept = best(np.concatenate([cost, np.zeros(lines)]), int(levels[-1]))[ways:].round()
    return -(whole @ kept), np.array(pieces, float), of_level
