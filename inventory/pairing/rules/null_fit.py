"""Readings around a null, checked, and the parabola through the squares of their amplitudes (model: see ``null``)."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Vector = NDArray[np.float64]

LINEAR, SQUARE_LAW, DB = "linear", "square-law", "db"
SCALES = (LINEAR, SQUARE_LAW, DB)
MOST_READINGS = 10_000

_FARTHEST, _LARGEST, _LARGEST_DB, TINY = 1e12, 1e50, 400.0, 1e-12
SAME, _SAME_DIVISIONS = 1e-9, 1e-9  # settings closer than this part of the span, or this, are one read again


class NullRefused(ValueError):
    """Readings that give no null; the text is one line."""


@dataclass(frozen=True, slots=True)
class NullReading:
    """One reading. ``weight``: relative inverse variance of A^2. ``where``: its line in a file, to name it by."""

    setting: float
    reading: float
    weight: float = 1.0
    where: str = ""


@dataclass(frozen=True, slots=True)
class Fit:
    """y = c + b x + a x^2, with x the setting from -1 to 1 over the readings and y = A^2 over its largest."""

    x: Vector
    y: Vector
    weights: Vector
    beta: Vector
    inverse: Vector  # of the normal matrix
    residuals: Vector
    centre: float
    half: float
    top: float

    @property
    def freedom(self) -> int:
        return len(self.x) - 3

    @property
    def x0(self) -> float:
        return float(-self.beta[1] / (2 * self.beta[2]))

    @property
    def bottom(self) -> float:
        """F^2 in units of y; scatter can make it negative."""
        return float(self.beta[0] - self.beta[1] ** 2 / (4 * self.beta[2]))

    @property
    def gradient(self) -> Vector:
        """Of x0 by c, b, a."""
        _, b, a = self.beta
        return np.array([0.0, -1 / (2 * a), b / (2 * a * a)])

    @property
    def variance(self) -> float:
        return float(self.weights @ self.residuals**2) / self.freedom

    def to_x(self, setting: float) -> float:
        return (setting - self.centre) / self.half


def rounded(setting: float, span: float, low: float | None, high: float | None) -> float:
    """To a hundredth or so of the span read: a dial is not set more closely."""
    return in_dial(round(setting, 2 - math.floor(math.log10(span))), low, high)


def in_dial(setting: float, low: float | None, high: float | None) -> float:
    return min(max(setting, -math.inf if low is None else low), math.inf if high is None else high)


def checked(readings: Sequence[NullReading], scale: str, low: float | None, high: float | None) -> list[float]:
    """A^2 of every reading."""
    if scale not in SCALES:
        raise NullRefused(f"scale {scale!r} is not known; expected one of {', '.join(SCALES)}")
    ends = [end for end in (low, high) if end is not None]
    if not all(math.isfinite(end) for end in ends) or (len(ends) == 2 and ends[0] >= ends[1]):
        raise NullRefused(f"a dial from {low} to {high} is none; expected two figures, the lower one first")
    if len(readings) > MOST_READINGS:
        raise NullRefused(f"{len(readings)} readings; at most {MOST_READINGS} are taken")
    return [_square(one, scale, low, high) for one in readings]


def _square(one: NullReading, scale: str, low: float | None, high: float | None) -> float:
    name = one.where or f"setting {one.setting:g}"  # the line in the file says more
    most = _LARGEST_DB if scale == DB else _LARGEST
    if not (abs(one.setting) <= _FARTHEST and abs(one.reading) <= most):  # NaN fails this too
        raise NullRefused(f"{name}: setting {one.setting:g} with reading {one.reading:g} is outside all sense")
    if not 1e-6 <= one.weight <= 1e6:
        raise NullRefused(f"{name}: weight {one.weight:g}; expected a figure above 0, from 0.000001 to 1000000")
    if in_dial(one.setting, low, high) != one.setting:
        raise NullRefused(f"{name}: setting {one.setting:g} is not on the dial ({low} to {high})")
    if scale == DB:
        return float(10 ** (one.reading / 10))
    if one.reading < 0:
        raise NullRefused(f"{name}: reading {one.reading:g} is negative; only readings in dB may be")
    return one.reading if scale == SQUARE_LAW else one.reading**2


def groups(settings: Vector) -> NDArray[np.intp]:
    """For every reading the number of its setting, counted upwards."""
    order = np.argsort(settings, kind="stable")
    steps = np.diff(settings[order])
    labels = np.zeros(len(settings), dtype=np.intp)
    labels[order[1:]] = np.cumsum(steps > max(SAME * steps.sum(), _SAME_DIVISIONS))
    return labels


def by_setting(readings: Sequence[NullReading], squares: Sequence[float]) -> list[tuple[float, float]]:
    """Different settings upwards, each with its mean A^2."""
    if not readings:
        return []
    settings, values = np.array([one.setting for one in readings], dtype=float), np.array(squares, dtype=float)
    labels = groups(settings)
    counts = np.bincount(labels)
    pairs = zip(np.bincount(labels, settings) / counts, np.bincount(labels, values) / counts, strict=True)
    return [(float(setting), float(square)) for setting, square in pairs]


def fitted(readings: Sequence[NullReading], squares: Sequence[float]) -> Fit | None:
    """The parabola through three or more different settings; None when it has no minimum."""
    settings = np.array([one.setting for one in readings], dtype=float)
    weights = np.array([one.weight for one in readings], dtype=float)
    weights = weights / weights.mean()
    centre, half, top = (settings.max() + settings.min()) / 2, np.ptp(settings) / 2, max(squares)
    if top == 0:
        return None
    x, y, root = (settings - centre) / half, np.array(squares) / top, np.sqrt(weights)
    shape = np.vander(x, 3, increasing=True)
    q, r = np.linalg.qr(shape * root[:, None])
    beta = np.linalg.solve(r, q.T @ (root * y))
    if beta[2] <= TINY:
        return None
    back = np.linalg.inv(r)
    return Fit(x, y, weights, beta, back @ back.T, y - shape @ beta, float(centre), float(half), float(top))
