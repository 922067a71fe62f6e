"""A narrower window round the lowest reading, where the curve through all readings speaks against the low ones.

An indicator that flattens off, or a dial that bends, takes the far readings off the curve; its floor then lies above
what was read, or its null lies off the lowest reading. The outermost reading that is larger goes first, until neither
is so; five settings stay, two of them on either side where there are. How much the null still moves from window to
window goes into its error (our choice; Monte Carlo in the tests).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from inventory.pairing.rules.null_fit import SAME, TINY, Fit, NullReading, by_setting, fitted, weighted

HIGH = 1.6  # in power, 2 dB: a floor farther above the lowest reading than this is not its scatter (our choice)
_FEWEST, _EACH_SIDE = 5, 2
_PART = 0.5  # of the move from window to window, see above
_CLEAR = 1.6  # in power: a lowest reading is clear where its neighbours lie 2 dB or more above it (our choice)


@dataclass(frozen=True, slots=True)
class Window:
    """The curve in a window from ``ends[0]`` to ``ends[1]``. ``moved``: to add to the standard error, divisions.

    ``look``: between which settings to read next, where the null still lies off the lowest reading.
    """

    fit: Fit
    ends: tuple[float, float]
    moved: float
    told: tuple[str, ...] = ()
    look: tuple[float, float] | None = None


def floor_above(fit: Fit, lowest: float, factor: float) -> bool:
    """Whether the floor lies more than a factor (in power) above the lowest A^2 that was read."""
    return fit.bottom > TINY and fit.bottom * fit.top > lowest * factor


def off_the_lowest(fit: Fit, known: Sequence[tuple[float, float]]) -> bool:
    """Whether the null lies off the lowest reading, though that is clearly lowest.

    A curve alike on both sides reads least where the setting is nearest, so the null lies within half a gap. A flank
    that falls by a slope S to a reading A has its null A/S farther at most, whatever the other flank does (a curve of
    the model is nowhere steeper than S; a quarter more and a tenth of the gap are left for scatter: our choice).
    """
    at, below, above = around_lowest(known)
    setting, square = known[at]
    if at in (0, len(known) - 1) or min(known[at - 1][1], known[at + 1][1]) <= _CLEAR * square:
        return False
    null = fit.centre + fit.half * fit.x0
    other = known[at - 1 if null > setting else at + 1]  # the end of the flank that falls towards the null
    towards = (above if null > setting else below) - setting
    slope = (math.sqrt(other[1]) - math.sqrt(square)) / abs(setting - other[0])
    reach = min(abs(towards) / 2, 1.25 * math.sqrt(square) / slope + abs(towards) / 10)
    return abs(null - setting) > reach * (1 + SAME)


def around_lowest(known: Sequence[tuple[float, float]]) -> tuple[int, float, float]:
    """Number of the lowest of different settings, and the settings beside it (itself at an end)."""
    at = min(range(len(known)), key=lambda i: known[i][1])
    return at, known[max(at - 1, 0)][0], known[min(at + 1, len(known) - 1)][0]


def narrowed(readings: Sequence[NullReading], squares: Sequence[float], power: int) -> Window | None:
    """The widest window whose curve agrees with the low readings, else the narrowest; None without one."""
    known = by_setting(readings, squares)
    lowest = min(square for _, square in known)
    fits = [(fit, ends) for ends in _windows(known) if (fit := _within(readings, squares, ends, power))]
    if not fits:
        return None
    sound = [not floor_above(fit, lowest, HIGH) and not off_the_lowest(fit, known) for fit, _ in fits]
    number = sound.index(True) if True in sound else len(fits) - 1
    fit, ends = fits[number]
    moves = [abs(_null(fit) - _null(other)) for other, _ in fits[max(number - 1, 0) : number + 2]]
    moved, told, look = _PART * max(moves), [], None
    at, below, above = around_lowest(known)
    setting = known[at][0]
    if off_the_lowest(fit, known):
        moved, look = max(moved, abs(_null(fit) - setting)), (below, above)
        told.append(
            f"The null of the curve, {_null(fit):.4g}, lies off the lowest reading, at {setting:g}, which is clearly "
            "lowest: the curve is not alike on both sides there. Look round the lowest reading."
        )
    if floor_above(fit, lowest, 1 + 1e-6):
        told.append("Even so the floor of the curve lies above the lowest reading. Trust the reading there.")
    return Window(fit, ends, moved, tuple(told), look)


def _null(fit: Fit) -> float:
    return fit.centre + fit.half * fit.x0


def _windows(known: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Ends of ever narrower windows round the lowest reading; the outermost larger reading goes first."""
    at, _, _ = around_lowest(known)
    first, last = 0, len(known) - 1
    found = []
    while last - first >= _FEWEST:
        left, right = at - first > _EACH_SIDE, last - at > _EACH_SIDE
        if not (left or right):
            break
        if left and (not right or known[first][1] > known[last][1]):
            first += 1
        else:
            last -= 1
        found.append((known[first][0], known[last][0]))
    return found


def _within(
    readings: Sequence[NullReading], squares: Sequence[float], ends: tuple[float, float], power: int
) -> Fit | None:
    """The weighted curve through the readings in a window, with its null in it; the plain one of too few readings."""
    slack = SAME * max(ends[1] - ends[0], 1.0)
    used = [i for i, one in enumerate(readings) if ends[0] - slack <= one.setting <= ends[1] + slack]
    even = fitted([readings[i] for i in used], [squares[i] for i in used])
    fit = even and (weighted(even, power) or even)
    return fit if fit and abs(fit.x0) <= 1 and np.isfinite(fit.bottom) else None
