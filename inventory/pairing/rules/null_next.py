"""Where to read next around a null: while nothing is fitted yet, and where one more reading says most."""

import math
from collections.abc import Sequence

import numpy as np

from inventory.pairing.rules.null_fit import (
    LINEAR,
    SAME,
    Fit,
    NullReading,
    by_setting,
    checked,
    fitted,
    in_dial,
    rounded,
)


def suggest_next(
    readings: Sequence[NullReading], scale: str = LINEAR, low: float | None = None, high: float | None = None
) -> float | None:
    """Where to read next while reading, from the first reading on; None where nothing is known of the dial.

    With a fit: see ``most_useful``. Without: spread over the dial (a quarter up, then three quarters), then beyond the
    lowest reading, or into the wider gap beside it. Raises NullRefused for a figure that is none.
    """
    squares = checked(readings, scale, low, high)
    known = by_setting(readings, squares)
    if len(known) >= 3 and (fit := fitted(readings, squares)):
        return most_useful(fit, low, high)
    if len(known) < 2:
        if low is None or high is None:
            return None
        quarters = [low + (high - low) * part for part in (0.25, 0.75)]
        return max(quarters, key=lambda at: min((abs(at - s) for s, _ in known), default=0.0))
    at = min(range(len(known)), key=lambda i: known[i][1])
    setting = known[at][0]
    gaps = [known[i][0] - setting for i in (at - 1, at + 1) if 0 <= i < len(known)]
    widest, span = max(gaps, key=abs), known[-1][0] - known[0][0]
    beyond = in_dial(setting - gaps[0], low, high)
    flat = len(known) == 2 and known[0][1] == known[1][1]
    if len(gaps) == 2 or flat or abs(beyond - setting) < SAME * span:
        return rounded(setting + widest / 2, span, low, high)
    return rounded(beyond, span, low, high)


def most_useful(fit: Fit, low: float | None, high: float | None) -> float:
    """The next setting to read.

    Sensible settings lie on the dial, no farther from the null than the farthest reading, at most one span beyond the
    readings, and no farther than 20 dB above the floor (but a quarter of the farthest reading is always allowed). Each
    is judged by how much one more reading there lowers the variance of the null; among all that do at least 0.7 as
    well as the best, the side with fewer readings goes first, then the setting farthest from those already read, so
    that the two sides fill alike and no setting is read twice before its neighbours. (Figures: our choice, no source.)
    """
    left = max(-3.0, -math.inf if low is None else fit.to_x(low))
    right = min(3.0, math.inf if high is None else fit.to_x(high))
    x0, farthest = fit.x0, float(np.abs(fit.x - fit.x0).max())
    reach = min(2.0, farthest, max(farthest / 4, 10 * math.sqrt(max(fit.bottom, 0.0) / float(fit.beta[2]))))
    places = np.linspace(max(left, x0 - reach), min(right, x0 + reach), 41)
    if x0 - reach >= right or x0 + reach <= left:  # the null lies beyond reach: go as near as is sensible
        places = np.array([min(max(x0, left), right)])
    shape = np.vander(places, 3, increasing=True)
    gains = (shape @ fit.inverse @ fit.gradient) ** 2 / (1 + np.einsum("ij,jk,ik->i", shape, fit.inverse, shape))
    below, above = int((fit.x < x0 - SAME).sum()), int((fit.x > x0 + SAME).sum())

    def rank(i: int) -> tuple[int, float]:
        side = below if places[i] < x0 else above
        return side, -round(float(np.abs(places[i] - fit.x).min()), 9)

    best = min((i for i in range(len(places)) if gains[i] >= 0.7 * gains.max()), key=rank)
    return rounded(fit.centre + fit.half * float(places[best]), 2 * fit.half, low, high)
