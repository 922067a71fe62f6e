"""Where to read next around a null: while nothing is fitted yet, and where one more reading says most."""

import math
from collections.abc import Sequence

import numpy as np

from inventory.pairing.rules.null_fit import (
    LINEAR,
    SAME,
    Fit,
    NullReading,
    NullRefused,
    Vector,
    by_setting,
    checked,
    in_dial,
    powers,
    rounded,
)
from inventory.pairing.rules.null_near import NEAR, Choice, chosen
from inventory.pairing.rules.null_screen import below_the_top
from inventory.pairing.rules.null_window import around_lowest

ENOUGH = 10  # readings; from there nothing is read far from the null any more


def suggest_next(
    readings: Sequence[NullReading], scale: str = LINEAR, low: float | None = None, high: float | None = None
) -> float | None:
    """Where to read next while reading, from the first reading on; None where nothing is known of the dial.

    With a fit: see ``next_of``. Without: spread over the dial (a quarter up, then three quarters), then beyond the
    lowest reading, or into the wider gap beside it. Raises NullRefused for a figure that is none.
    """
    squares = checked(readings, scale, low, high)
    known = by_setting(readings, squares)
    if len(known) >= 3:
        try:
            choice = chosen(readings, squares, scale)
        except NullRefused as reason:
            return None if reason.look_at is None else rounded(reason.look_at, known[-1][0] - known[0][0], low, high)
        if choice:
            return next_of(choice, low, high)
    if len(known) < 2:
        if low is None or high is None:
            return None
        quarters = [low + (high - low) * part for part in (0.25, 0.75)]
        return max(quarters, key=lambda at: min((abs(at - s) for s, _ in known), default=0.0))
    inner = range(1, len(known) - 1)  # of several lowest readings one that was read on both sides of
    at = min(range(len(known)), key=lambda i: (known[i][1], i not in inner))
    setting = known[at][0]
    gaps = [known[i][0] - setting for i in (at - 1, at + 1) if 0 <= i < len(known)]
    widest, span = max(gaps, key=abs), known[-1][0] - known[0][0]
    beyond = in_dial(setting - gaps[0], low, high)
    if low is None and beyond <= 0 < setting:  # most dials begin at 0, and this one is not known to go farther
        beyond = setting / 2
    flat = len(known) == 2 and known[0][1] == known[1][1]
    if len(gaps) == 2 or flat or abs(beyond - setting) < SAME * span:
        return rounded(setting + widest / 2, span, low, high)
    return rounded(beyond, span, low, high)


def next_of(choice: Choice, low: float | None, high: float | None) -> float:
    """The next setting to read, when a curve is fitted: at the edge of a dead stretch, else where it says most."""
    fit = choice.fit
    if choice.screen.top:
        low, high = _below_the_top(choice, low, high)
    if choice.dead:
        span = max(2 * fit.half, choice.dead[1] - choice.dead[0])
        return rounded(_edge(choice, fit.centre + fit.half * fit.x), span, low, high)
    if abs(fit.x0) > 1 + SAME:
        return rounded(_beyond(choice), 2 * fit.half, low, high)
    found = most_useful(fit, low, high, near=choice.by == NEAR)
    if not (choice.screen.misread or choice.look):
        return found
    known = by_setting(choice.screen.readings, choice.screen.squares)
    at, first, last = around_lowest(known)
    if first < found < last and abs(found - known[at][0]) > (last - first) / 100:
        return found
    middles = [(end + known[at][0]) / 2 for end in (first, last) if end != known[at][0]]
    return rounded(max(middles, key=lambda end: abs(end - known[at][0])), 2 * fit.half, low, high)


def _below_the_top(choice: Choice, low: float | None, high: float | None) -> tuple[float | None, float | None]:
    """Ends of the dial, drawn in where the indicator was at the top of its scale: three quarters of the way there."""
    inner = [one.setting for one in choice.screen.readings]
    first, last = below_the_top(choice.screen)
    if first < min(inner):
        low = min(inner) - 0.75 * (min(inner) - first)
    if last > max(inner):
        high = max(inner) + 0.75 * (last - max(inner))
    return low, high


def _beyond(choice: Choice) -> float:
    """Just past a null outside the readings: half a step there or half of how far it is, but half a span at most."""
    fit = choice.fit
    known = sorted({round(float(place), 9) for place in fit.x})
    edge, before = (known[0], known[1]) if fit.x0 < 0 else (known[-1], known[-2])
    step = abs(edge - before)
    past = max(step / 2, (abs(fit.x0) - 1) / 2)
    place = min(abs(fit.x0) + past, 2.0)
    return fit.centre + fit.half * math.copysign(place, fit.x0)


def _edge(choice: Choice, read: Vector) -> float:
    """In the wider gap beside a dead stretch, so that its ends get known; beyond it where nothing was read there."""
    first, last = choice.dead or (0.0, 0.0)
    below, above = read[read < first - SAME], read[read > last + SAME]
    width = last - first
    if not len(below) or not len(above):
        return float(first - width / 2 if not len(below) else last + width / 2)
    down, up = float(below.max()), float(above.min())
    return (down + first) / 2 if first - down > up - last else (last + up) / 2


def most_useful(fit: Fit, low: float | None, high: float | None, near: bool = False) -> float:
    """The next setting to read.

    Sensible settings lie on the dial, no farther from the null than the farthest reading, at most one span beyond the
    readings, and no farther than 20 dB above the floor (but a quarter of the farthest reading is always allowed). With
    ten readings, or where those ``near`` the minimum decide, they lie among the two nearest settings on either side;
    with a null outside the readings, at most a quarter of the span beyond it and half a span beyond them. Each is
    judged by how much one more reading there lowers the variance of the null; among all that do at least 0.7 as well as
    the best, the side with fewer readings goes first, then the setting farthest from those already read, so that the
    two sides fill alike and no setting is read twice before its neighbours. (Figures: our choice, no source.)
    """
    x0, farthest = fit.x0, float(np.abs(fit.x - fit.x0).max())
    least, most = -3.0, 3.0  # a span beyond the readings
    if near or len(fit.x) >= ENOUGH:
        least, most = _around(fit)
    left = max(least, -math.inf if low is None else fit.to_x(low))
    right = min(most, math.inf if high is None else fit.to_x(high))
    reach = min(2.0, farthest, max(farthest / 4, 10 * math.sqrt(max(fit.bottom, 0.0) / fit.curvature)))
    places = np.linspace(max(left, x0 - reach), min(right, x0 + reach), 41)
    if x0 - reach >= right or x0 + reach <= left:  # the null lies beyond reach: go as near as is sensible
        places = np.array([min(max(x0, left), right)])
    shape = powers(places, len(fit.beta))
    weights = fit.weight_at(places)
    solved = shape @ fit.inverse
    gains = weights * (solved @ fit.gradient) ** 2 / (1 + weights * (solved * shape).sum(axis=1))
    below, above = int((fit.x < x0 - SAME).sum()), int((fit.x > x0 + SAME).sum())

    places = places[gains >= 0.7 * gains.max()]
    alone = np.abs(places[:, None] - fit.x).min(axis=1)

    def rank(place: tuple[float, float]) -> tuple[int, float]:
        return below if place[0] < x0 else above, -round(place[1], 9)

    best, _ = min(zip(places.tolist(), alone.tolist(), strict=True), key=rank)
    return rounded(fit.centre + fit.half * best, 2 * fit.half, low, high)


def _around(fit: Fit) -> tuple[float, float]:
    """From the second nearest setting below the null to the second above; beyond the readings only where it is."""
    known = np.unique(np.round(fit.x, 9))
    below, above = known[known < fit.x0 - SAME], known[known > fit.x0 + SAME]
    least = float(below[-2:].min()) if len(below) else max(fit.x0 - 0.5, -2.0)
    most = float(above[:2].max()) if len(above) else min(fit.x0 + 0.5, 2.0)
    return min(least, most), max(least, most)
