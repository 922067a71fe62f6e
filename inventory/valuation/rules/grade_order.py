"""The order of the grades, from best to worst: a worse one is never dearer, and what none tells of has no amount.

A weak tube or a dud lacks something that every better one has. Where no sales tell how much less such ones fetch, there
is no figure of them, only what they fetch at most: what the next better grade that sales tell of does. The same goes
for any grade that is worse than all that sales bear.
"""

from dataclasses import dataclass

import numpy as np

from inventory.valuation.rules.absorbed import Design
from inventory.valuation.rules.evidence import NOT_SAID, Flags, Small, Vector
from inventory.valuation.rules.words import GRADES

WORKING = GRADES.index("weak")  # grades before it are of tubes of which nothing bad is known


@dataclass(frozen=True, slots=True, eq=False)
class GradeOrder:
    """``silent``: of every grade whether the evidence does not tell what such ones fetch beside others; ``bound``: of
    those the grade that they fetch no more than, ``NOT_SAID`` where sales tell of none.

    ``alone``: of every grade whether its rows tell nothing of others: weak tubes and duds that nothing compares with
    better ones. They say what such ones fetch, and nothing of the level of better ones.
    """

    silent: Flags
    bound: Small
    alone: Flags


def order_of(design: Design, compared: Flags) -> GradeOrder:
    """Of which grades the evidence tells nothing. ``compared``: columns for which there is enough to compare.

    Sales that tell of a grade are enough for those of which nothing bad is known: they are taken as equal.
    """
    heard = np.zeros(len(GRADES), dtype=np.bool_)
    if design.references[0]:
        heard[design.references[0] - 1] = True
    for column, rank in _grades(design).items():
        heard[rank] = rank < WORKING or compared[column]
    silent, bound = np.zeros(len(GRADES), dtype=np.bool_), np.full(len(GRADES), NOT_SAID, dtype=np.int8)
    for rank in range(len(GRADES)):
        better, worse = np.flatnonzero(heard[:rank]), heard[rank:].any()
        silent[rank] = not heard[rank] and (rank >= WORKING or (len(better) > 0 and not worse))
        if len(better):
            bound[rank] = better[-1]
    return GradeOrder(silent, bound, _alone(design, compared))


def _alone(design: Design, compared: Flags) -> Flags:
    """Of weak tubes and duds whether they have rows, and none that is enough to compare with those of working ones."""
    alone, columns = np.zeros(len(GRADES), dtype=np.bool_), _grades(design)
    working = [column for column, rank in columns.items() if rank < WORKING]
    reference = design.references[0] - 1
    if reference >= WORKING:  # the commonest: others are compared with it, not it with them
        alone[reference] = bool(working) and not compared[working].any()
    else:
        for column, rank in columns.items():
            alone[rank] = rank >= WORKING and not compared[column]
    return alone


def in_order(steps: Vector, design: Design, shown: Flags) -> tuple[Vector, dict[int, str]]:
    """Steps of which none makes a worse grade dearer, and of those that were moved, by column, why.

    Only what the evidence does not show is moved, as little as can be, and weak tubes and duds: what it shows of the
    others stands, since an unused tube may well fetch less than one that was tested.
    """
    columns = _grades(design)
    moved, why = steps.copy(), {}
    fixed = {rank: column for column, rank in columns.items() if shown[column]}
    at = {rank: float(steps[column]) for rank, column in fixed.items()}
    if design.references[0]:
        at[design.references[0] - 1] = 0.0
    for rank in range(WORKING, len(GRADES)):
        least = min((one for one in at if one < rank), key=lambda one: at[one], default=rank)
        if rank in fixed and at[rank] > at[least]:
            at[rank] = moved[fixed[rank]] = at[least]
            why[fixed[rank]] = f"never dearer than {GRADES[least]}"
    for column, rank in columns.items():
        if shown[column]:
            continue
        worse = max((one for one in at if one > rank), key=lambda one: at[one], default=rank)
        better = min((one for one in at if one < rank), key=lambda one: at[one], default=rank)
        if worse != rank and at[worse] > moved[column]:
            moved[column], why[column] = at[worse], f"never cheaper than {GRADES[worse]}"
        if better != rank and at[better] < moved[column]:
            moved[column], why[column] = at[better], f"never dearer than {GRADES[better]}"
    return moved, why


def _grades(design: Design) -> dict[int, int]:
    """By column of a grade its place in ``GRADES``."""
    return {column: place - 1 for column, (number, place) in enumerate(design.columns) if number == 0 and place}
