"""Readings around a null, checked, and the curve through the squares of their amplitudes (model: see ``null``)."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Vector = NDArray[np.float64]

LINEAR, SQUARE_LAW, DB = "linear", "square-law", "db"
SCALES = (LINEAR, SQUARE_LAW, DB)
MOST_READINGS = 10_000

_FARTHEST, _LARGEST, _LARGEST_DB, TINY = 1e12, 1e50, 400.0, 1e-12
_ROUNDS, _LEAST = 12, 0.02  # no reading weighs more than one of this part of the largest
SAME, _SAME_DIVISIONS = 1e-9, 1e-9  # settings closer than this part of the span, or this, are one read again


class NullRefused(ValueError):
    """Readings that give no null; the text is one line. ``look_at``: where to read next all the same."""

    def __init__(self, text: str, look_at: float | None = None) -> None:
        super().__init__(text)
        self.look_at = look_at


@dataclass(frozen=True, slots=True)
class NullReading:
    """One reading. ``weight``: relative inverse variance of A^2. ``where``: its line in a file, to name it by."""

    setting: float
    reading: float
    weight: float = 1.0
    where: str = ""


@dataclass(frozen=True, slots=True)
class Fit:
    """y = c + b x + a x^2, with x the setting from -1 to 1 over the readings and y = A^2 over its largest.

    ``power``: the weights fall with that power of the amplitude (0: every reading counts alike). With four figures in
    ``beta`` a term d x^3 takes up a curve that leans to one side. ``unit``: weight of a new reading of amplitude 1.
    """

    x: Vector
    y: Vector
    weights: Vector
    beta: Vector
    inverse: Vector  # of the normal matrix
    residuals: Vector
    centre: float
    half: float
    top: float
    power: int = 0
    unit: float = 1.0

    @property
    def freedom(self) -> int:
        return len(self.x) - len(self.beta)

    @property
    def x0(self) -> float:
        b, a = self.beta[1:3]
        if len(self.beta) == 3:
            return float(-b / (2 * a))
        return float(-b / (a + math.sqrt(a * a - 3 * self.beta[3] * b)))

    @property
    def curvature(self) -> float:
        """a, at the minimum."""
        return float(self.beta[2] + (3 * self.beta[3] * self.x0 if len(self.beta) > 3 else 0.0))

    @property
    def bottom(self) -> float:
        """F^2 in units of y; scatter can make it negative."""
        if len(self.beta) == 3:
            return float(self.beta[0] - self.beta[1] ** 2 / (4 * self.beta[2]))
        return float(np.polyval(self.beta[::-1], self.x0))

    @property
    def gradient(self) -> Vector:
        """Of x0 by c, b, a (and d)."""
        x0 = self.x0
        return -np.array([0.0, 1.0, 2 * x0, 3 * x0 * x0][: len(self.beta)]) / (2 * self.curvature)

    @property
    def parabola(self) -> tuple[float, float, float]:
        """c, b, a of the parabola that the curve is at its minimum."""
        if len(self.beta) == 3:
            return float(self.beta[0]), float(self.beta[1]), float(self.beta[2])
        a, x0 = self.curvature, self.x0
        return self.bottom + a * x0 * x0, -2 * a * x0, a

    def curve(self, places: Vector) -> Vector:
        return np.vander(places, len(self.beta), increasing=True) @ self.beta

    def weight_at(self, places: Vector) -> Vector:
        """The weight of one more reading at some places."""
        return self.unit / np.maximum(self.curve(places), _LEAST**2) ** (self.power / 2)

    @property
    def variance(self) -> float:
        return float(self.weights @ self.residuals**2) / self.freedom

    def to_x(self, setting: float) -> float:
        return (setting - self.centre) / self.half


def student_t(share: float, freedom: int) -> float:
    """Student's t that a share of its values stay below."""
    from scipy.special import stdtrit  # takes a fifth of a second to load, scipy.stats a whole one: only when asked

    return float(stdtrit(freedom, share))


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
    line = f"{one.where}: " if one.where else ""
    most = _LARGEST_DB if scale == DB else _LARGEST
    if not (abs(one.setting) <= _FARTHEST and abs(one.reading) <= most):  # NaN fails this too
        raise NullRefused(f"{line}setting {one.setting:g} with reading {one.reading:g} is outside all sense")
    if not 1e-6 <= one.weight <= 1e6:
        raise NullRefused(f"{name}: weight {one.weight:g}; expected a figure above 0, from 0.000001 to 1000000")
    if in_dial(one.setting, low, high) != one.setting:
        dial = f"from {low:g}" if high is None else f"to {high:g}" if low is None else f"{low:g} to {high:g}"
        raise NullRefused(f"{line}setting {one.setting:g} is not on the dial ({dial})")
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
    x, y = (settings - centre) / half, np.array(squares) / top
    beta, inverse, residuals = _solved(x, y, weights, 3)
    if beta[2] <= TINY:
        return None
    return Fit(x, y, weights, beta, inverse, residuals, float(centre), float(half), float(top))


def weighted(fit: Fit, power: int, terms: int = 3) -> Fit | None:
    """The curve with weights near ``1/A^power``; None where it has no minimum or too few readings for an error.

    The amplitudes are the fitted ones, over and over until they stay (first the readings themselves), so that scatter
    does not choose the weights. Beside the floor the scatter of a reading adds to its square: ``4 A^2 s^2 + 2 s^4``.
    """
    if len(fit.x) <= terms:
        return None
    level = np.maximum(fit.y, (2.5 * _LEAST) ** 2)
    for _ in range(_ROUNDS):
        weights = level ** (-power / 2)
        beta, inverse, residuals = _solved(fit.x, fit.y, weights, terms)
        spread = float(weights @ residuals**2) / (len(fit.x) - terms)
        level = np.maximum(np.polyval(beta[::-1], fit.x), 0.0) + (spread / 8 if power == 2 else 0.0)
        level = np.maximum(level, _LEAST**2)
    unit = 1 / float(weights.mean())
    if beta[2] <= TINY or (terms > 3 and beta[2] ** 2 <= 3 * beta[3] * beta[1]):
        return None
    found = replace(fit, weights=weights * unit, beta=beta, inverse=inverse / unit, residuals=residuals)
    found = replace(found, power=power, unit=unit)
    sound = np.isfinite([found.x0, found.curvature, found.bottom, found.variance]).all()
    return found if sound and found.curvature > TINY else None


def _solved(x: Vector, y: Vector, weights: Vector, terms: int) -> tuple[Vector, Vector, Vector]:
    """Coefficients, inverse of the normal matrix, residuals."""
    root, shape = np.sqrt(weights), np.vander(x, terms, increasing=True)
    q, r = np.linalg.qr(shape * root[:, None])
    beta = np.linalg.solve(r, q.T @ (root * y))
    back = np.linalg.inv(r)
    return beta, back @ back.T, y - shape @ beta
