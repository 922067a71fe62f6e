"""The order of the grades, from best to worst: a worse one is never dearer, and what none tells of has no amount.

Working tubes (of which nothing bad is known, graded or not), weak tubes and duds are three markets: what is said here
is of the grades of working ones. One that is worse than all that sales bear has no figure, only what it fetches at
most: what the next better grade that sales tell of does. A better one is taken as equal.
"""

from dataclasses import dataclass

import numpy as np

from inventory.valuation.rules.absorbed import Design
from inventory.valuation.rules.evidence import NOT_SAID, Flags, Small, Vector
from inventory.valuation.rules.words import GRADES

WEAK, DUD = GRADES.index("weak"), GRADES.index("dud")
WORKING = WEAK  # grades before it, and none


@dataclass(frozen=True, slots=True, eq=False)
class GradeOrder:
    """``silent``: of every grade whether it is a working one that sales of such do not tell of; ``bound``: of those the
    grade that they fetch no more than, ``NOT_SAID`` where sales tell of none.

    ``cheapest``: the working grade that sales tell to be the cheapest, ``NOT_SAID`` where they bear none: no weak tube
    is dearer.
    """

    silent: Flags
    bound: Small
    cheapest: int


def order_of(steps: Vector, design: Design) -> GradeOrder:
    """Of which working grades the evidence tells nothing, by the columns there are and the steps of each."""
    at = {rank: float(steps[column]) for column, rank in _grades(design).items()}
    if 0 < design.references[0] <= WORKING:
        at[design.references[0] - 1] = 0.0
    silent, bound = np.zeros(len(GRADES), dtype=np.bool_), np.full(len(GRADES), NOT_SAID, dtype=np.int8)
    for rank in range(WORKING):
        better = [one for one in at if one < rank]
        silent[rank] = bool(better) and not any(one >= rank for one in at)
        bound[rank] = max(better, default=NOT_SAID)
    return GradeOrder(silent, bound, min(at, key=lambda one: (at[one], -one), default=NOT_SAID))


def in_order(steps: Vector, design: Design, shown: Flags) -> tuple[Vector, dict[int, str]]:
    """Steps of which none makes a worse grade dearer, and of those that were moved, by column, why.

    Only what the evidence does not show is moved, as little as can be: what it shows stands, since an unused tube may
    well fetch less than one that was tested.
    """
    columns = _grades(design)
    moved, why = steps.copy(), {}
    at = {rank: float(steps[column]) for column, rank in columns.items() if shown[column]}
    if design.references[0]:
        at[design.references[0] - 1] = 0.0
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
