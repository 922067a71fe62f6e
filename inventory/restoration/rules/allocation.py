"""Who gets which tube: the best assignment of a stock to the lines of all open plans.

As many lines as can be are covered, the more urgent before the less urgent; among all ways to do that the one of least
cost, in points that a person can add up (``Points``): the very type before a relative before a substitute, good before
borderline before untested, and the least value used up; of two lines that could exchange their tubes at that cost the
more urgent has the better one. Single tubes are a rectangular assignment (D. F. Crouse, IEEE
Trans. Aerosp. Electron. Syst. 52, 2016, as scipy solves it). Lines that want tubes matched to one another are filled
together or not at all; with them it is an integer program (HiGHS) of the lines that could use the same tubes.

Which lines can be covered is a matroid where every line wants one tube: then urgent lines go first whatever the
weights, and as many as can be are covered all the same. With matched sets the lines of the most urgent plan are looked
at first, then those of the next with what is left.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from inventory.restoration.rules.exchange import GRAIN, best_exchange, urgent_first
from inventory.restoration.rules.in_order import best_in_order

if TYPE_CHECKING:
    from scipy.optimize import LinearConstraint

Costs = NDArray[np.float64]  # lines x tubes, in points; infinite: cannot serve there
NONE = -1
Choice = tuple[tuple[int, ...], tuple[int, ...], float]  # lines, the tubes they would take, points


@dataclass(frozen=True)
class Points:
    """What each thing costs: added up, then compared. The gaps say what goes before what."""

    relative: float = 100.0
    substitute: float = 400.0
    borderline: float = 40.0
    awaited: float = 50.0  # called untested still, and its last test reads good: the keeper's word is wanted
    untested: float = 1_000.0  # any good one goes first
    in_service: float = 2_000.0  # taken out of a set that runs
    parted: float = 60.0  # taken alone out of a matched set on record
    proposed: float = 60.0  # each tube of a set that only readings propose: any set on record goes first
    apart: float = 2.0  # for each percent that the tubes of a set which only readings propose are apart
    most_value: float = 20.0  # of the dearest tube among those that could serve


@dataclass(frozen=True)
class Together:
    """Lines that want matched tubes, and the sets that could fill them: tubes in the order of the lines, and points."""

    lines: tuple[int, ...]
    sets: tuple[tuple[tuple[int, ...], float], ...]


def cost_table(by_type: Costs, types: NDArray[np.int64], of_tube: Costs) -> Costs:
    """Costs of every tube in every line. ``by_type``: lines x types; ``types``: of each tube; ``of_tube``: its own."""
    return by_type[:, types] + of_tube


def value_points(values: Costs, dearest: float) -> Costs:
    """Points for the value that would be used up, in proportion to the ``dearest``; 0 where none is known."""
    known = np.nan_to_num(values, nan=0.0)
    most = known.max(initial=0.0)
    return np.round(known / most * dearest, 2) if most > 0 else np.zeros_like(known)


def enough_of_each(by_type: Costs, types: NDArray[np.int64], of_tube: Costs) -> NDArray[np.int64]:
    """The tubes that can be needed at all, in their order: of each type the cheapest, as many as lines could take one.

    Tubes of one type differ by their own points alone, so a dearer one is never taken while a cheaper one is left.
    """
    most = np.isfinite(by_type).sum(axis=0)
    order = np.lexsort((of_tube, types))
    sorted_types = types[order]
    first = np.searchsorted(sorted_types, np.arange(by_type.shape[1]))
    rank = np.arange(len(order)) - first[sorted_types]
    return np.sort(order[rank < most[sorted_types]])


def allocate(costs: Costs, urgency: NDArray[np.int64], together: Sequence[Together] = ()) -> NDArray[np.int64]:
    """The tube of each line, -1 where it stays short. ``urgency``: of each line, from 0; higher is served first.

    Lines of ``together`` take no single tube, so what ``costs`` says of them does not count.
    """
    taken = np.full(costs.shape[0], NONE)
    if not costs.size:
        return taken
    if not together:
        return _better_tubes(costs, urgency, _assigned(costs, urgency, taken))
    lines, tubes = _met(costs, together)
    others = np.setdiff1d(np.arange(costs.shape[0]), lines)
    rest = np.setdiff1d(np.arange(costs.shape[1]), tubes)
    if len(others) and len(rest):
        part = _assigned(costs[np.ix_(others, rest)], urgency[others], np.full(len(others), NONE))
        taken[others] = np.where(part >= 0, rest[part], NONE)
    _solve(costs, urgency, together, lines, taken)
    while _sets_exchanged(urgency, together, taken):
        pass
    bound = np.isin(np.arange(costs.shape[0]), [line for one in together for line in one.lines])
    return _better_tubes(costs, urgency, taken, ~bound)


def allocate_all(costs: Costs, urgency: NDArray[np.int64], together: Sequence[Together] = ()) -> NDArray[np.int64]:
    """``allocate``, and where no set is left for lines of ``together``, each of them takes a single tube as all others.

    They do so in their turn: a less urgent line gets nothing that one of them could take.
    """
    while True:
        taken = allocate(costs, urgency, together)
        filled = [one for one in together if (taken[list(one.lines)] >= 0).all()]
        if len(filled) == len(together):
            return taken
        together = filled  # anew, since single lines may take what whole sets were made of


def _better_tubes(
    costs: Costs, urgency: NDArray[np.int64], taken: NDArray[np.int64], single: NDArray[np.bool_] | None = None
) -> NDArray[np.int64]:
    """Of two lines that could exchange their tubes at the same cost the more urgent has the better one."""

    def exchanged(line: int, others: NDArray[np.int64]) -> bool:
        mine, theirs = int(taken[line]), taken[others]
        best = best_exchange(costs, line, mine, others, theirs)
        if best is None:
            return False
        taken[line], taken[others[best]] = theirs[best], mine
        return True

    urgent_first(np.flatnonzero(taken >= 0 if single is None else (taken >= 0) & single), urgency, exchanged)
    return taken


def _sets_exchanged(urgency: NDArray[np.int64], together: Sequence[Together], taken: NDArray[np.int64]) -> bool:
    """The same with whole sets; whether there was an exchange."""
    price = [dict(one.sets) for one in together]
    has = [tuple(taken[list(one.lines)].tolist()) for one in together]
    filled = [number for number, members in enumerate(has) if members in price[number]]
    for one in filled:
        for other in filled:
            if urgency[together[one].lines[0]] <= urgency[together[other].lines[0]]:
                continue
            gain = price[one][has[one]] - price[one].get(has[other], np.inf)
            if gain > GRAIN and price[other].get(has[one], np.inf) - price[other][has[other]] <= gain + GRAIN:
                taken[list(together[one].lines)], taken[list(together[other].lines)] = has[other], has[one]
                return True
    return False


def _assigned(costs: Costs, urgency: NDArray[np.int64], taken: NDArray[np.int64]) -> NDArray[np.int64]:
    """Single tubes: what a line costs less what it is worth to cover it; one that cannot serve is as good as none.

    To cover a line is worth more than all costs there can be, and more for the more urgent.
    """
    from scipy.optimize import linear_sum_assignment  # half a second to load: only when asked

    possible = np.isfinite(costs)
    dearest = costs.max(axis=1, initial=0.0, where=possible).sum()
    worth = (1.0 + dearest) * (1.0 + np.unique(urgency, return_inverse=True)[1])
    gain = costs - worth[:, None]
    gain[~possible] = 0.0
    rows, columns = linear_sum_assignment(gain)
    real = possible[rows, columns]
    taken[rows[real]] = columns[real]
    return taken


def _met(costs: Costs, together: Sequence[Together]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Lines and tubes that a matched set could touch, directly or by way of other lines."""
    bound = {line for one in together for line in one.lines}
    can = np.isfinite(costs)
    can[list(bound)] = False
    tubes = np.zeros(costs.shape[1], bool)
    tubes[[tube for one in together for members, _ in one.sets for tube in members]] = True
    lines = np.zeros(costs.shape[0], bool)
    while (new := ~lines & can[:, tubes].any(axis=1)).any():
        lines |= new
        tubes |= can[new].any(axis=0)
    lines[list(bound)] = True
    return np.flatnonzero(lines), np.flatnonzero(tubes)


def _solve(
    costs: Costs,
    urgency: NDArray[np.int64],
    together: Sequence[Together],
    lines: NDArray[np.int64],
    taken: NDArray[np.int64],
) -> None:
    """Single lines and matched sets at once; writes what each line takes."""
    from scipy.optimize import LinearConstraint
    from scipy.sparse import csr_array

    bound = {line for one in together for line in one.lines}
    single = [line for line in lines.tolist() if line not in bound]
    enough = len(single) + len(bound)  # no line needs to look further than what all the others could take
    choices: list[Choice] = []
    for line in single:
        near = np.argsort(costs[line], kind="stable")[:enough]
        near = near[np.isfinite(costs[line, near])]
        choices += [((line,), (tube,), float(costs[line, tube])) for tube in near.tolist()]
    for one in together:
        choices += [(one.lines, members, cost) for members, cost in one.sets]
    if not choices:
        return
    keys: dict[tuple[str, int], int] = {}
    rows, columns = [], []
    for number, (where, members, _) in enumerate(choices):
        for key in (*(("line", line) for line in where), *(("tube", tube) for tube in members)):
            rows.append(keys.setdefault(key, len(keys)))
            columns.append(number)
    once = LinearConstraint(csr_array((np.ones(len(rows)), (rows, columns)), shape=(len(keys), len(choices))), ub=1.0)
    levels = [np.array([(urgency[list(where)] == level).sum() for where, _, _ in choices], float)
              for level in np.unique(urgency[lines])[::-1]]  # fmt: skip
    for where, members in _best_of(choices, once, levels):
        taken[list(where)] = members


def _best_of(
    choices: Sequence[Choice], once: "LinearConstraint", levels: Sequence[Costs]
) -> list[tuple[tuple[int, ...], tuple[int, ...]]]:
    """Of all choices those that cover most lines of the first level, then of the next, and at last cost least."""
    aims = [*(-level for level in levels), np.array([cost for _, _, cost in choices])]
    found = best_in_order(aims, [once])
    return [(where, members) for (where, members, _), chosen in zip(choices, found, strict=True) if chosen]
