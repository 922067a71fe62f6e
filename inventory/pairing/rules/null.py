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

from inventory.pairing.rules.null_fit import (
    DB,
    LINEAR,
    SAME,
    SQUARE_LAW,
    TINY,
    Fit,
    NullReading,
    NullRefused,
    by_setting,
    checked,
    fitted,
    groups,
    in_dial,
)
from inventory.pairing.rules.null_next import most_useful

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

_BEND = "Readings far from the null leave the curve: the dial bends there. Read nearer the null and drop the far ones."


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


def find_null(
    readings: Sequence[NullReading], scale: str = LINEAR, low: float | None = None, high: float | None = None
) -> NullAnswer:
    """The setting of least feed-through; ``low`` and ``high`` are the ends of the dial where known.

    Raises NullRefused: fewer than three different settings, no minimum, a figure that is none, a negative amplitude.
    """
    squares = checked(readings, scale, low, high)
    if (different := len(by_setting(readings, squares))) < 3:
        raise NullRefused(f"{different} different settings read; a null needs three or more, on both sides of it")
    fit = fitted(readings, squares)
    if fit is None:
        raise NullRefused("the readings show no minimum: they do not rise on both sides of a lowest one")
    c, b, a = (float(k) * fit.top / fit.half**power for power, k in enumerate(fit.beta))
    setting = fit.centre + fit.half * fit.x0
    floor = math.sqrt(fit.bottom * fit.top) if fit.bottom > TINY else 0.0
    depth = 10 * math.log10(fit.top) - 20 * math.log10(floor) if floor else None
    inside = bool(fit.x.min() < fit.x0 - SAME and fit.x0 + SAME < fit.x.max())
    further = most_useful(fit, low, high)
    curve = (a, b - 2 * a * fit.centre, c - b * fit.centre + a * fit.centre**2)
    told = [*_place_warnings(fit, setting, inside, further, low, high), *_shape_warnings(fit, floor, depth)]
    plain, even = _errors(fit, readings, scale)
    return NullAnswer(
        setting, plain, even, fit.freedom, floor, depth, math.sqrt(a), len(readings), inside,
        tuple(told), further, curve, scale,
    )  # fmt: skip


def _errors(fit: Fit, readings: Sequence[NullReading], scale: str) -> tuple[float | None, float | None]:
    """Standard error of the setting by the delta method: for even scatter of A^2, and for even scatter of readings."""
    if not fit.freedom:
        return None, None
    gradient, inverse, weights = fit.gradient, fit.inverse, fit.weights
    plain = fit.half * math.sqrt(fit.variance * float(gradient @ inverse @ gradient))
    if scale == SQUARE_LAW:
        return plain, plain
    shape = np.vander(fit.x, 3, increasing=True)
    fitted = np.maximum(shape @ fit.beta, TINY)
    spread = (fitted**2 if scale == DB else fitted) / weights  # variance of A^2 for one unit of scatter in the reading
    solved = inverse @ shape.T * weights
    rest = np.einsum("ij,ji->i", shape, solved)  # leverages
    expected = float((spread * weights) @ (1 - rest))  # of the weighted residual sum of squares
    unit = fit.variance * fit.freedom / expected
    return plain, fit.half * math.sqrt(unit * float((gradient @ solved) ** 2 @ spread))


def _place_warnings(
    fit: Fit, setting: float, inside: bool, further: float, low: float | None, high: float | None
) -> list[str]:
    told = []
    if not inside:
        side = "below" if fit.x0 < 0 else "above"
        told.append(f"All readings lie on one side: none is {side} the minimum. Read next at {further:g}.")
    if in_dial(setting, low, high) != setting:
        told.append(f"The minimum would lie off the dial, at {setting:g}: this capacitor does not reach the balance.")
    return told


def _shape_warnings(fit: Fit, floor: float, depth: float | None) -> list[str]:
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
    root = np.sqrt(fit.weights)
    q, r = np.linalg.qr(np.vander(fit.x, 4, increasing=True) * root[:, None])
    turned = q.T @ (root * fit.y)
    left = max(float((root * fit.y) @ (root * fit.y) - turned @ turned), 0.0) / (len(fit.x) - 4)
    return bool(abs(turned[3] / r[3, 3]) > least and turned[3] ** 2 > 16 * left)
