"""One aim after another: the best by the first, among those the best by the next (HiGHS as scipy calls it)."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from scipy.optimize import LinearConstraint

Aim = NDArray[np.float64]  # what is to be as small as can be, a weight for each number that is chosen


def best_in_order(
    aims: Sequence[Aim], constraints: "Sequence[LinearConstraint]", most: NDArray[np.float64] | float = 1.0
) -> NDArray[np.int64]:
    """Whole numbers from 0 to ``most`` that keep the constraints: least by the first aim, of those least by the next.

    All aims but the last are sums of whole numbers, so that half of one tells the best from the second best.
    """
    from scipy.optimize import Bounds, LinearConstraint, milp  # half a second to load: only when asked

    held, count = list(constraints), len(aims[0])
    found = np.zeros(count)
    for aim in aims:
        found = milp(
            aim, integrality=np.ones(count), bounds=Bounds(0, most), constraints=held, options={"mip_rel_gap": 0}
        ).x.round()
        held.append(LinearConstraint(aim[None, :], ub=aim @ found + 0.5))
    return found.astype(np.int64)
