"""Readings around a null, checked, and the curve through the squares of their amplitudes (model: see ``null``)."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from operator import itemgetter

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
    shape: Vector  # 1, x, x^2 (and x^3) of every reading
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
        return powers(places, len(self.beta)) @ self.beta

    def weight_at(self, places: Vector) -> Vector:
        """The weight of one more reading at some places."""
        return self.unit / np.maximum(self.curve(places), _LEAST**2) ** (self.power / 2)

    @property
    def variance(self) -> float:
        return float(self.weights @ self.residuals**2) / self.freedom

    def to_x(self, setting: float) -> float:
        return (setting - self.centre) / self.half


@lru_cache(maxsize=1000)
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
    order = settings.argsort(kind="stable")
    ordered = settings[order]
    steps = ordered[1:] - ordered[:-1]
    labels = np.zeros(len(settings), dtype=np.intp)
    labels[order[1:]] = (steps > max(SAME * (ordered[-1] - ordered[0]), _SAME_DIVISIONS)).cumsum()
    return labels


def by_setting(readings: Sequence[NullReading], squares: Sequence[float]) -> list[tuple[float, float]]:
    """Different settings upwards, each with its mean A^2."""
    if not readings:
        return []
    rows = sorted(((one.setting, square) for one, square in zip(readings, squares, strict=True)), key=itemgetter(0))
    apart = max(SAME * (rows[-1][0] - rows[0][0]), _SAME_DIVISIONS)  # as in ``groups``; the few rows are quicker so
    alike = [[rows[0]]]
    for before, row in pairwise(rows):
        if row[0] - before[0] > apart:
            alike.append([row])
        else:
            alike[-1].append(row)
    return [(sum(at for at, _ in run) / len(run), sum(square for _, square in run) / len(run)) for run in alike]


def fitted(readings: Sequence[NullReading], squares: Sequence[float]) -> Fit | None:
    """The parabola through three or more different settings; None when it has no minimum."""
    settings = np.array([one.setting for one in readings], dtype=float)
    weights = np.array([one.weight for one in readings], dtype=float)
    weights = weights / weights.mean()
    centre, half, top = (settings.max() + settings.min()) / 2, np.ptp(settings) / 2, max(squares)
    if top == 0:
        return None
    x, y = (settings - centre) / half, np.array(squares) / top
    shape = powers(x, 3)
    beta, residuals, r = _solved(shape, y, weights)
    if beta[2] <= TINY:
        return None
    return Fit(x, y, shape, weights, beta, _inverse(r), residuals, float(centre), float(half), float(top))


def weighted(fit: Fit, power: int, terms: int = 3) -> Fit | None:
    """The curve with weights near ``1/A^power``; None where it has no minimum or too few readings for an error.

    The amplitudes are the fitted ones, over and over until they stay (first the readings themselves), so that scatter
    does not choose the weights. Beside the floor the scatter of a reading adds to its square: ``4 A^2 s^2 + 2 s^4``.
    """
    if len(fit.x) <= terms:
        return None
    shape = powers(fit.x, terms)
    level = np.maximum(fit.y, (2.5 * _LEAST) ** 2)
    for _ in range(_ROUNDS):
        weights = level ** (-power / 2)
        beta, residuals, r = _solved(shape, fit.y, weights)
        spread = float(weights @ residuals**2) / (len(fit.x) - terms)
        level = np.maximum(fit.y - residuals, 0.0) + (spread / 8 if power == 2 else 0.0)
        level = np.maximum(level, _LEAST**2)
    unit = 1 / float(weights.mean())
    if beta[2] <= TINY or (terms > 3 and beta[2] ** 2 <= 3 * beta[3] * beta[1]):
        return None
    found = replace(
        fit, shape=shape, weights=weights * unit, beta=beta, inverse=_inverse(r) / unit, residuals=residuals,
        power=power, unit=unit,
    )  # fmt: skip
    sound = all(map(math.isfinite, (found.x0, found.curvature, found.bottom, found.variance)))
    return found if sound and found.curvature > TINY else None


def powers(x: Vector, terms: int) -> Vector:
    """1, x, x^2 and so on of every x, a row each."""
    shape = np.empty((len(x), terms))
    shape[:, 0] = 1.0
    for k in range(1, terms):
        np.multiply(shape[:, k - 1], x, out=shape[:, k])
    return shape


def triangle(shape: Vector, y: Vector, weights: Vector) -> Vector:
    """The triangle of the weighted shape's QR with ``Q^T y`` as its last column; what stands below it means nothing."""
    rows, terms = shape.shape
    both = np.empty((rows, terms + 1))
    both[:, :terms], both[:, terms] = shape, y
    both *= np.sqrt(weights)[:, None]
    raw: Vector = np.linalg.qr(both, mode="raw")[0].T
    return raw


def _solved(shape: Vector, y: Vector, weights: Vector) -> tuple[Vector, Vector, Vector]:
    """Coefficients, residuals, and the triangle that they come of."""
    terms = shape.shape[1]
    r = triangle(shape, y, weights)
    known: list[float] = []  # from the last one up
    for k, row in zip(range(terms - 1, -1, -1), r[terms - 1 :: -1].tolist(), strict=True):
        rest = row[terms] - sum(row[terms - 1 - i] * one for i, one in enumerate(known))
        known.append(rest / row[k])
    beta = np.array(known[::-1])
    return beta, y - shape @ beta, r


def _inverse(r: Vector) -> Vector:
    """Of the normal matrix, from the triangle."""
    terms = r.shape[1] - 1
    back = np.linalg.inv(np.triu(r[:terms, :terms]))
    inverse: Vector = back @ back.T
    return inverse
