"""Among answers of one cost the more urgent has the better: two lines exchange what they have at no cost."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

GRAIN = 1e-4  # points, less than any two costs differ by


def urgent_first(
    served: NDArray[np.int64], urgency: NDArray[np.int64], exchanged: Callable[[int, NDArray[np.int64]], bool]
) -> None:
    """Exchange until no served line could be better off by what a less urgent one gives up at no cost.

    ``exchanged``: one such exchange of a line with one of some less urgent ones; whether there was any.
    """
    order = served[np.argsort(-urgency[served], kind="stable")].tolist()
    while sum(exchanged(line, served[urgency[served] < urgency[line]]) for line in order):
        pass  # each exchange leaves a more urgent line better off, so this ends


def best_exchange(
    costs: NDArray[np.float64], line: int, mine: int, others: NDArray[np.int64], theirs: NDArray[np.int64]
) -> int | None:
    """With which of some others a line does best to exchange ``mine`` for theirs, by number, so that both together
    cost no more; None where with none.
    """
    gains = costs[line, mine] - costs[line, theirs]
    able = (gains > GRAIN) & (costs[others, mine] - costs[others, theirs] <= gains + GRAIN)
    return int(np.argmax(np.where(able, gains, -np.inf))) if able.any() else None
