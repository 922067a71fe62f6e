"""Which parts come from which lot: lots that hold so many, dealt to lines that want so many of them.

Of the most urgent lines as many as can be are covered wholly, then as many pieces of the others as there are; then the
next with what is left; among all ways to do that the one of least cost, in which the more urgent have the better pieces
where that costs the same. What can be covered wholly is a transport
problem (F. L. Hitchcock, J. Math. Phys. 20, 1941), solved as a linear program, whose best corner is in whole numbers;
where not everything can, which lines stay whole is an integer program. Lines that have no lot in common are dealt
apart.
"""

from dataclasses import dataclass
from itertools import product
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from inventory.restoration.rules.allocation import GRAIN
from inventory.restoration.rules.in_order import best_in_order

if TYPE_CHECKING:
    from scipy.sparse import csr_array

Costs = NDArray[np.float64]  # lines x lots, points for each piece; infinite: it may not serve there
Numbers = NDArray[np.int64]


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
    """How many each line takes from each lot, lines x lots. ``urgency``: of each line; higher is served first."""
    from scipy.sparse import coo_array  # half a second to load: only when asked
    from scipy.sparse.csgraph import connected_components

    taken = np.zeros(costs.shape, np.int64)
    able = np.isfinite(costs) & (wanted > 0)[:, None] & (held > 0)[None, :]
    lines, lots = np.nonzero(able)
    if not len(lines):
        return taken
    count = sum(costs.shape)
    graph = coo_array((np.ones(len(lines)), (lines, lots + costs.shape[0])), shape=(count, count))
    parts = connected_components(graph, directed=False)[1][lines]
    for part in np.unique(parts):
        mine = parts == part
        _deal_part(costs, wanted, held, urgency, lines[mine], lots[mine], taken)
    _urgent_first(costs, urgency, taken)
    return taken


def _urgent_first(costs: Costs, urgency: Numbers, taken: Numbers) -> None:
    """Of two lines that could exchange pieces at the same cost the more urgent has the better ones."""
    served = np.flatnonzero(taken.any(axis=1))
    order = served[np.argsort(-urgency[served], kind="stable")].tolist()
    while sum(_exchanged(costs, urgency, taken, served, line) for line in order):
        pass  # each exchange leaves a more urgent line better off, so this ends


def _exchanged(costs: Costs, urgency: Numbers, taken: Numbers, served: Numbers, line: int) -> bool:
    """Exchange pieces of a line for nearer ones of a less urgent line that cost no more in all; whether any were."""
    for other in served[urgency[served] < urgency[line]].tolist():
        for mine, theirs in product(np.flatnonzero(taken[line]).tolist(), np.flatnonzero(taken[other]).tolist()):
            gains = costs[line, mine] - costs[line, theirs]
            if gains > GRAIN and costs[other, mine] - costs[other, theirs] <= gains + GRAIN:
                count = min(taken[line, mine], taken[other, theirs])
                taken[line, [mine, theirs]] += [-count, count]
                taken[other, [mine, theirs]] += [count, -count]
                return True
    return False


def _deal_part(
    costs: Costs, wanted: Numbers, held: Numbers, urgency: Numbers, lines: Numbers, lots: Numbers, taken: Numbers
) -> None:
    """Those lines and lots that hang together; ``lines[n]`` may take from ``lots[n]``. Writes what each takes."""
    from scipy.optimize import linprog
    from scipy.sparse import csr_array

    which, line_at = np.unique(lines, return_inverse=True)
    from_lots, lot_at = np.unique(lots, return_inverse=True)
    ones, ways = np.ones(len(lines)), np.arange(len(lines))
    by_line = csr_array((ones, (line_at, ways)))
    by_lot = csr_array((ones, (lot_at, ways)))
    cost, ask, hold = costs[lines, lots], wanted[which].astype(float), held[from_lots].astype(float)
    full = linprog(cost, A_ub=by_lot, b_ub=hold, A_eq=by_line, b_eq=ask, method="highs-ds")
    if full.status == 0:
        taken[lines, lots] = full.x.round().astype(np.int64)
        return
    taken[lines, lots] = _most_whole(cost, by_line, by_lot, ask, hold, urgency[which])


def _most_whole(
    cost: NDArray[np.float64],
    by_line: "csr_array",
    by_lot: "csr_array",
    ask: NDArray[np.float64],
    hold: NDArray[np.float64],
    urgency: Numbers,
) -> Numbers:
    """As many whole lines as can be, the urgent ones first: beside what each takes, whether it is whole (0 or 1)."""
    from scipy.optimize import LinearConstraint
    from scipy.sparse import csr_array

    ways, lines = len(cost), len(ask)
    whole = csr_array((-ask, (np.arange(lines), np.arange(lines))))
    never_more = LinearConstraint(_beside(by_line, None, lines), ub=ask)
    as_held = LinearConstraint(_beside(by_lot, None, lines), ub=hold)
    if_whole = LinearConstraint(_beside(by_line, whole, lines), lb=0.0)
    aims = []
    for level in np.unique(urgency)[::-1]:
        of_level = (urgency == level).astype(float)
        aims.append(np.concatenate([np.zeros(ways), -of_level]))
        aims.append(np.concatenate([-(of_level @ by_line), np.zeros(lines)]))
    aims.append(np.concatenate([cost, np.zeros(lines)]))
    most = np.concatenate([by_line.T @ ask, np.ones(lines)])
    return best_in_order(aims, [never_more, as_held, if_whole], most)[:ways]


def _beside(left: "csr_array", right: "csr_array | None", lines: int) -> "csr_array":
    """Two blocks of columns; the right one of zeros where there is none."""
    from scipy.sparse import csr_array, hstack

    block = csr_array((left.shape[0], lines)) if right is None else right
    return csr_array(hstack([left, block]))
