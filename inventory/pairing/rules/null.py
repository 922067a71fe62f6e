"""The null of a neutralizing control from readings around it: setting, error, floor, depth, where to read next.

Model (derived from the bridge): what still comes through is proportional to the distance from the balance, and leakage
in quadrature leaves a floor, so ``A^2 = S^2 (C - C0)^2 + F^2``: the square of the amplitude is a parabola of the
setting, fitted by least squares. Leakage in phase does not raise the floor, it only moves C0. Settings are dial
divisions; amplitudes are in the unit of the readings (scale ``db``: 1 at 0 dB); an indicator of scale ``square-law``
(thermocouple, lamp, crystal at low level) reads A^2 already, so floor and slope are roots of its readings.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Vector = NDArray[np.float64]

LINEAR, SQUARE_LAW, DB = "linear", "square-law", "db"
SCALES = (LINEAR, SQUARE_LAW, DB)
MOST_READINGS = 10_000
SHALLOW_DB = 10.0  # common practice, no source
CAUTIONS = (
    "A null found with one plug-in unit says nothing of another.",
    "Far from the null the dial is not linear in capacitance and bends the curve: keep the readings near it.",
    "Readings with the plate supply off do not tell the null with it on.",
)  # true of every null; what these readings show stands in NullAnswer.warnings

SAFETY = (
    "Plate supply off, discharged and proved dead before touching the neutralizing control, unless it is built for "
    "live use. High voltage kills; RF burns. Local codes and licensed practice come first."
)

_FARTHEST, _LARGEST, _LARGEST_DB, _TINY = 1e12, 1e50, 400.0, 1e-12
_SAME, _SAME_DIVISIONS = 1e-9, 1e-9  # settings closer than this part of the span, or this, are one read again
_BEND = "Readings far from the null leave the curve: the dial bends there. Read nearer the null and drop the far ones."


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
class NullAnswer:
    """The null and how far to trust it.

    ``standard_error``: delta method, residual variance of A^2 with ``freedom`` = readings - 3 degrees of freedom, which
    takes the scatter of A^2 as even. With a linear or dB meter it is mostly the *readings* that scatter evenly; then it
    is too small (its 95 % cover some 85 %) and ``standard_error_even`` is the honest one. Both None for three readings.
    ``depth_db``: largest reading over the floor, 20 lg (A/F); None when the floor is lost in the scatter.
    ``slope``: S, amplitude per division. ``inside``: settings were read on both sides. ``curve``: a, b, c of A^2 in the
    setting.
    """

    setting: float
    standard_error: float | None
    standard_error_even: float | None
    freedom: int
    floor: float
    depth_db: float | None
    slope: float
    points: int
    inside: bool
    warnings: tuple[str, ...]
    next_setting: float | None
    curve: tuple[float, float, float]
    scale: str

    def reading_at(self, setting: float) -> float | None:
        """What the fitted curve reads at a setting, for the chart; None where a dB scale has no figure (nothing)."""
        return on_curve(self.scale, self.slope, self.setting, self.floor, setting)

    def as_dict(self) -> dict[str, object]:
        names = "setting standard_error floor depth_db slope points inside warnings next_setting".split()
        return {name: getattr(self, name) for name in names} | {"warnings": list(self.warnings)}


def on_curve(scale: str, slope: float, null: float, floor: float, setting: float) -> float | None:
    """What an indicator reads at a setting, by slope, null and floor; None where a dB scale has no figure."""
    square = slope**2 * (setting - null) ** 2 + floor**2
    if scale == DB:
        return 10 * math.log10(square) if square > 0 else None
    return square if scale == SQUARE_LAW else math.sqrt(square)


@dataclass(frozen=True, slots=True)
class _Fit:
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


def find_null(
    readings: Sequence[NullReading], scale: str = LINEAR, low: float | None = None, high: float | None = None
) -> NullAnswer:
    """The setting of least feed-through; ``low`` and ``high`` are the ends of the dial where known.

    Raises NullRefused: fewer than three different settings, no minimum, a figure that is none, a negative amplitude.
    """
    squares = _checked(readings, scale, low, high)
    if (different := len(_by_setting(readings, squares))) < 3:
        raise NullRefused(f"{different} different settings read; a null needs three or more, on both sides of it")
    fit = _fit(readings, squares)
    if fit is None:
        raise NullRefused("the readings show no minimum: they do not rise on both sides of a lowest one")
    c, b, a = (float(k) * fit.top / fit.half**power for power, k in enumerate(fit.beta))
    setting = fit.centre + fit.half * fit.x0
    floor = math.sqrt(fit.bottom * fit.top) if fit.bottom > _TINY else 0.0
    depth = 10 * math.log10(fit.top) - 20 * math.log10(floor) if floor else None
    inside = bool(fit.x.min() < fit.x0 - _SAME and fit.x0 + _SAME < fit.x.max())
    further = _most_useful(fit, low, high)
    curve = (a, b - 2 * a * fit.centre, c - b * fit.centre + a * fit.centre**2)
    told = [*_place_warnings(fit, setting, inside, further, low, high), *_shape_warnings(fit, floor, depth)]
    plain, even = _errors(fit, readings, scale)
    return NullAnswer(
        setting, plain, even, fit.freedom, floor, depth, math.sqrt(a), len(readings), inside,
        tuple(told), further, curve, scale,
    )  # fmt: skip


def suggest_next(
    readings: Sequence[NullReading], scale: str = LINEAR, low: float | None = None, high: float | None = None
) -> float | None:
    """Where to read next while reading, from the first reading on; None where nothing is known of the dial.

    With a fit: see ``_most_useful``. Without: spread over the dial (a quarter up, then three quarters), then beyond the
    lowest reading, or into the wider gap beside it. Raises NullRefused for a figure that is none.
    """
    squares = _checked(readings, scale, low, high)
    known = _by_setting(readings, squares)
    if len(known) >= 3 and (fit := _fit(readings, squares)):
        return _most_useful(fit, low, high)
    if len(known) < 2:
        if low is None or high is None:
            return None
        quarters = [low + (high - low) * part for part in (0.25, 0.75)]
        return max(quarters, key=lambda at: min((abs(at - s) for s, _ in known), default=0.0))
    at = min(range(len(known)), key=lambda i: known[i][1])
    setting = known[at][0]
    gaps = [known[i][0] - setting for i in (at - 1, at + 1) if 0 <= i < len(known)]
    widest, span = max(gaps, key=abs), known[-1][0] - known[0][0]
    beyond = _in_dial(setting - gaps[0], low, high)
    flat = len(known) == 2 and known[0][1] == known[1][1]
    if len(gaps) == 2 or flat or abs(beyond - setting) < _SAME * span:
        return _rounded(setting + widest / 2, span, low, high)
    return _rounded(beyond, span, low, high)


def _rounded(setting: float, span: float, low: float | None, high: float | None) -> float:
    """To a hundredth or so of the span read: a dial is not set more closely."""
    return _in_dial(round(setting, 2 - math.floor(math.log10(span))), low, high)


def _in_dial(setting: float, low: float | None, high: float | None) -> float:
    return min(max(setting, -math.inf if low is None else low), math.inf if high is None else high)


def _checked(readings: Sequence[NullReading], scale: str, low: float | None, high: float | None) -> list[float]:
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
    if _in_dial(one.setting, low, high) != one.setting:
        raise NullRefused(f"{name}: setting {one.setting:g} is not on the dial ({low} to {high})")
    if scale == DB:
        return float(10 ** (one.reading / 10))
    if one.reading < 0:
        raise NullRefused(f"{name}: reading {one.reading:g} is negative; only readings in dB may be")
    return one.reading if scale == SQUARE_LAW else one.reading**2


def _groups(settings: Vector) -> NDArray[np.intp]:
    """For every reading the number of its setting, counted upwards."""
    order = np.argsort(settings, kind="stable")
    steps = np.diff(settings[order])
    labels = np.zeros(len(settings), dtype=np.intp)
    labels[order[1:]] = np.cumsum(steps > max(_SAME * steps.sum(), _SAME_DIVISIONS))
    return labels


def _by_setting(readings: Sequence[NullReading], squares: Sequence[float]) -> list[tuple[float, float]]:
    """Different settings upwards, each with its mean A^2."""
    if not readings:
        return []
    settings, values = np.array([one.setting for one in readings], dtype=float), np.array(squares, dtype=float)
    labels = _groups(settings)
    counts = np.bincount(labels)
    pairs = zip(np.bincount(labels, settings) / counts, np.bincount(labels, values) / counts, strict=True)
    return [(float(setting), float(square)) for setting, square in pairs]


def _fit(readings: Sequence[NullReading], squares: Sequence[float]) -> _Fit | None:
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
    if beta[2] <= _TINY:
        return None
    back = np.linalg.inv(r)
    return _Fit(x, y, weights, beta, back @ back.T, y - shape @ beta, float(centre), float(half), float(top))


def _errors(fit: _Fit, readings: Sequence[NullReading], scale: str) -> tuple[float | None, float | None]:
    """Standard error of the setting by the delta method: for even scatter of A^2, and for even scatter of readings."""
    if not fit.freedom:
        return None, None
    gradient, inverse, weights = fit.gradient, fit.inverse, fit.weights
    plain = fit.half * math.sqrt(fit.variance * float(gradient @ inverse @ gradient))
    if scale == SQUARE_LAW:
        return plain, plain
    shape = np.vander(fit.x, 3, increasing=True)
    fitted = np.maximum(shape @ fit.beta, _TINY)
    spread = (fitted**2 if scale == DB else fitted) / weights  # variance of A^2 for one unit of scatter in the reading
    solved = inverse @ shape.T * weights
    rest = np.einsum("ij,ji->i", shape, solved)  # leverages
    expected = float((spread * weights) @ (1 - rest))  # of the weighted residual sum of squares
    unit = fit.variance * fit.freedom / expected
    return plain, fit.half * math.sqrt(unit * float((gradient @ solved) ** 2 @ spread))


def _most_useful(fit: _Fit, low: float | None, high: float | None) -> float:
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
    below, above = int((fit.x < x0 - _SAME).sum()), int((fit.x > x0 + _SAME).sum())

    def rank(i: int) -> tuple[int, float]:
        side = below if places[i] < x0 else above
        return side, -round(float(np.abs(places[i] - fit.x).min()), 9)

    best = min((i for i in range(len(places)) if gains[i] >= 0.7 * gains.max()), key=rank)
    return _rounded(fit.centre + fit.half * float(places[best]), 2 * fit.half, low, high)


def _place_warnings(
    fit: _Fit, setting: float, inside: bool, further: float, low: float | None, high: float | None
) -> list[str]:
    told = []
    if not inside:
        side = "below" if fit.x0 < 0 else "above"
        told.append(f"All readings lie on one side: none is {side} the minimum. Read next at {further:g}.")
    if _in_dial(setting, low, high) != setting:
        told.append(f"The minimum would lie off the dial, at {setting:g}: this capacitor does not reach the balance.")
    return told


def _shape_warnings(fit: _Fit, floor: float, depth: float | None) -> list[str]:
    told = []
    if not fit.freedom:
        told.append("Three readings fit a curve exactly: no standard error. Take more.")
    elif fit.beta[2] < 3 * math.sqrt(fit.variance * fit.inverse[2, 2]):
        told.append("The curve hardly rises above the scatter of the readings: read farther on both sides.")
    if depth is None:
        told.append("The floor is not above zero, it is lost in the scatter: taken as 0, depth not known.")
    elif depth < SHALLOW_DB - 1e-6:
        told.append(
            f"Shallow null, {depth:.1f} dB from the largest reading: look for stray coupling, an uneven tap or a bad "
            "ground rather than at the capacitor, or read farther from it."
        )
    return [*told, _BEND] if _bends(fit) else told


def _bends(fit: _Fit) -> bool:
    """Whether the readings leave the parabola by more than their scatter.

    Lack of fit over the pure error pooled from repeated readings (three or more to spare; F above 10, the 5 %
    point there), or a cubic term of more than 4 standard errors. Less than a thousandth of the largest is passed over.
    """
    labels, least = _groups(fit.x), 1e-3
    counts = np.bincount(labels, fit.weights)
    means = np.bincount(labels, fit.weights * fit.y) / counts
    spare, missing = len(fit.x) - len(counts), len(counts) - 3
    pure = float(fit.weights @ (fit.y - means[labels]) ** 2)
    total = fit.variance * fit.freedom if fit.freedom else 0.0
    if spare >= 3 and missing and (total - pure) / missing > max(10 * pure / spare, least**2):
        return True
    if len(counts) < 6:
        return False
    root = np.sqrt(fit.weights)
    q, r = np.linalg.qr(np.vander(fit.x, 4, increasing=True) * root[:, None])
    turned = q.T @ (root * fit.y)
    left = max(float((root * fit.y) @ (root * fit.y) - turned @ turned), 0.0) / (len(fit.x) - 4)
    return bool(abs(turned[3] / r[3, 3]) > least and turned[3] ** 2 > 16 * left)
