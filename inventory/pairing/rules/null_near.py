"""Which readings decide where the null is: all alike where the curve fits them, else those near the minimum.

Squaring a reading of constant error s spreads it by ``2 A s``: far readings scatter most and pull the curve hardest
(propagation of error, NIST/SEMATECH e-Handbook of Statistical Methods, 2.5.5). So where the curve fitted to all alike
misses the low readings (its floor lies above the lowest) or bends away from the far ones, weights near ``1/A^2`` take
over; of a dB meter, whose error is constant in dB, near ``1/A^4``. Where the weighted curve still leans, a third-order
term takes the lean up, and a third of what that moves the null by goes into its error (our choice; Monte Carlo in the
tests: 95 % intervals cover 94 % or more). Where even that curve speaks against the low readings, a window round them is
narrowed (see ``null_window``).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from inventory.pairing.rules.null_fit import (
    DB,
    LINEAR,
    SAME,
    SQUARE_LAW,
    Fit,
    NullReading,
    by_setting,
    fitted,
    groups,
    powers,
    student_t,
    triangle,
    weighted,
)
from inventory.pairing.rules.null_screen import Screen, screened
from inventory.pairing.rules.null_window import HIGH, floor_above, narrowed, off_the_lowest

ALIKE, NEAR = "all readings", "the readings near the minimum"
BESIDE, KEPT = "the readings beside the dead stretch", "all readings but those left out"
SOURCE = "propagation of error, NIST/SEMATECH e-Handbook 2.5.5"
POWERS = {LINEAR: 2, SQUARE_LAW: 2, DB: 4}
_SHARE = 3.0  # of the move by the third-order term, see above
_LEAN_PCT = 99.0  # how sure a lean must be before a third-order term takes it up
_ROUNDING = 1e-6

_BEND = "Readings far from the null leave the curve: the dial bends there. Read nearer the null and drop the far ones."
_LEANS = (
    "The curve leans to one side; a third-order term takes that up, and the standard error holds a third of what it "
    "moves the null by."
)
_MEANT = {
    LINEAR: f"weights near 1/A^2, as for an error constant in the reading ({SOURCE})",
    SQUARE_LAW: f"weights near 1/A^2 ({SOURCE}, for an error constant in the amplitude)",
    DB: f"weights near 1/A^4, as for an error constant in dB ({SOURCE})",
}


@dataclass(frozen=True, slots=True)
class Choice:
    """The curve that decides, by which readings, and what is to be said of it.

    ``moved``: what a third-order term, a narrower window, or a null off the lowest reading adds to the standard error,
    divisions. ``dead``: first and last of settings side by side at which nothing was read; ``open_ended``: nothing was
    read on one side of them. ``screen``: what was set aside before. ``look``: between which settings to read next,
    where the readings speak against the curve.
    """

    fit: Fit
    screen: Screen
    by: str = ALIKE
    told: tuple[str, ...] = ()
    moved: float = 0.0
    dead: tuple[float, float] | None = None
    open_ended: bool = False
    look: tuple[float, float] | None = None

    @property
    def variance(self) -> float:
        """Residual variance: of all readings, or where repeated ones scatter less than the curve misses them, of the
        settings. A third-order term has taken one more degree of freedom than readings - 3, so t would be larger; so
        have readings outside the window."""
        fit = self.fit
        labels = groups(fit.x)
        counts = np.bincount(labels, fit.weights)
        pure = float(fit.weights @ (fit.y - (np.bincount(labels, fit.weights * fit.y) / counts)[labels]) ** 2)
        spare = len(counts) - len(fit.beta)
        missed = (fit.variance * fit.freedom - pure) / spare if spare > 0 else 0.0
        return max(fit.variance, missed) * self.wider

    @property
    def wider(self) -> float:
        """Square of t by what the curve has to spare, over that by readings - 3."""
        given = len(self.screen.readings) + len(self.screen.top) + len(self.screen.misread)
        return (student_t(0.975, self.fit.freedom) / student_t(0.975, given - 3)) ** 2

    @property
    def left_out(self) -> bool:
        return bool(self.screen.top or self.screen.misread)


def chosen(readings: Sequence[NullReading], squares: Sequence[float], scale: str) -> Choice | None:
    """The curve through three or more different settings; None when it has no minimum.

    Raises NullRefused where too few readings say anything, or where they show two lows.
    """
    dead = dead_stretch(readings, squares)
    screen = screened(readings, squares, scale)
    if dead is None:
        return _chosen(screen, scale, has_floor=True)
    outside = [not dead[0] <= one.setting <= dead[1] for one in screen.readings]
    sides = {one.setting < dead[0] for one, out in zip(screen.readings, outside, strict=True) if out}
    beside = replace(
        screen,
        readings=[one for one, out in zip(screen.readings, outside, strict=True) if out],
        squares=[square for square, out in zip(screen.squares, outside, strict=True) if out],
    )
    found, by = None, BESIDE
    if len(sides) == 2 and len(by_setting(beside.readings, beside.squares)) >= 3:
        found = _chosen(beside, scale, has_floor=False)
    if not found:
        found, by = _chosen(screen, scale, has_floor=False), ALIKE
    if not found:
        return None
    by = found.by if found.by == NEAR else by
    return replace(found, by=by, dead=dead, open_ended=len(sides) < 2)


def dead_stretch(readings: Sequence[NullReading], squares: Sequence[float]) -> tuple[float, float] | None:
    """First and last of two or more settings side by side where the indicator showed nothing; the widest of several."""
    runs: list[list[float]] = [[]]
    for setting, square in by_setting(readings, squares):
        if square == 0:
            runs[-1].append(setting)
        elif runs[-1]:
            runs.append([])
    wide = [(run[0], run[-1]) for run in runs if len(run) > 1]
    return max(wide, key=lambda ends: ends[1] - ends[0], default=None)


def _chosen(screen: Screen, scale: str, has_floor: bool) -> Choice | None:
    """``has_floor``: whether the lowest readings show what is left at the null (a dead indicator shows nothing)."""
    readings, squares = screen.readings, screen.squares
    even = fitted(readings, squares)
    known = by_setting(readings, squares)
    lowest = min(square for _, square in known)
    if even is None:
        rises = known[0][1] > lowest < known[-1][1]
        return _in_window(None, screen, scale, ()) if has_floor and rises else None
    bends = _bends(even)
    high = has_floor and floor_above(even, lowest, 1 + _ROUNDING)
    off = has_floor and off_the_lowest(even, known)
    if not (high or bends or off):
        return Choice(even, screen)
    told = [_BEND] if bends else []
    if off and not told and not high:
        null, at = even.centre + even.half * even.x0, min(known, key=lambda one: one[1])[0]
        told = [f"The null of the curve through all readings, {null:.4g}, lies off the lowest reading, at {at:g}."]
    if high:
        told.insert(0, _floor_words("The floor of the curve through all readings", even, lowest, scale))
    near = weighted(even, POWERS[scale]) if np.ptp(even.weights) == 0 else None
    if near is None:
        return Choice(even, screen, ALIKE, tuple(told))
    leaning = _leaning(near, POWERS[scale])
    fit, moved = (leaning, abs(leaning.x0 - near.x0) / _SHARE) if leaning else (near, 0.0)
    told.append(f"So the readings near the minimum decide: {_MEANT[scale]}.")
    if has_floor and (floor_above(fit, lowest, HIGH) or off_the_lowest(fit, known)):
        return _in_window(fit, screen, scale, tuple(told))
    if has_floor and floor_above(fit, lowest, 1 + _ROUNDING):
        told.append(_floor_words("Even so the floor", fit, lowest, scale) + " Trust the reading there.")
    return Choice(fit, screen, NEAR, (*told, *([_LEANS] if leaning else [])), fit.half * moved)


def _in_window(whole: Fit | None, screen: Screen, scale: str, told: tuple[str, ...]) -> Choice | None:
    """The curve through the readings round the lowest one, where that through all of them speaks against it."""
    narrow = narrowed(screen.readings, screen.squares, POWERS[scale])
    if narrow is None:
        return None if whole is None else Choice(whole, screen, NEAR, told)
    first, last = narrow.ends
    words = f"Only what was read from {first:g} to {last:g} decides: farther off the readings leave the curve."
    return Choice(narrow.fit, screen, NEAR, (*told, words, *narrow.told), narrow.moved, look=narrow.look)


def _floor_words(what: str, fit: Fit, lowest: float, scale: str) -> str:
    floor, low = (_as_read(square, scale) for square in (fit.bottom * fit.top, lowest))
    return f"{what}, {floor:.4g}, lies above the lowest reading, {low:.4g}."


def _as_read(square: float, scale: str) -> float:
    if scale == DB:
        return 10 * math.log10(square) if square > 0 else -math.inf
    return square if scale == SQUARE_LAW else math.sqrt(square)


def _leaning(near: Fit, power: int) -> Fit | None:
    """The weighted curve with a third-order term, where that is sure and leaves one minimum among the readings."""
    if len(near.x) < 6 or len(set(groups(near.x).tolist())) < 6:
        return None
    term, error = _third(near)
    if not term or abs(term) <= error * student_t(_LEAN_PCT / 100, len(near.x) - 4):
        return None
    found = weighted(near, power, 4)
    inside = found is not None and near.x.min() + SAME < found.x0 < near.x.max() - SAME
    return found if inside else None


def _third(fit: Fit) -> tuple[float, float]:
    """A third-order term beside the curve, and its standard error (weighted as the curve is)."""
    r = triangle(powers(fit.x, 4), fit.y, fit.weights)
    turned = r[:4, 4]
    left = max(float(fit.weights @ fit.y**2 - turned @ turned), 0.0) / (len(fit.x) - 4)
    return float(turned[3] / r[3, 3]), math.sqrt(left) / abs(float(r[3, 3]))


def _bends(fit: Fit) -> bool:
    """Whether the readings leave the parabola by more than their scatter.

    Lack of fit over the pure error pooled from repeated readings (three or more to spare; F above 10, the 5 %
    point there), or a cubic term of more than 4 standard errors. Less than a thousandth of the largest is passed over.
    """
    labels, least = groups(fit.x), 1e-3
    counts = np.bincount(labels, fit.weights)
    means = np.bincount(labels, fit.weights * fit.y) / counts
    spare, missing = len(fit.x) - len(counts), len(counts) - 3
    pure = float(fit.weights @ (fit.y - means[labels]) ** 2)
    total = fit.variance * fit.freedom if fit.freedom else 0.0
    if spare >= 3 and missing and (total - pure) / missing > max(10 * pure / spare, least**2):
        return True
    if len(counts) < 6:
        return False
    term, error = _third(fit)
    return abs(term) > least and abs(term) > 4 * error
