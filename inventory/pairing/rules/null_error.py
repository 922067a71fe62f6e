"""The standard error of a null: the delta method, and what it cannot be less than."""

import math
from collections.abc import Sequence
from decimal import Decimal

import numpy as np

from inventory.pairing.rules.null_fit import DB, LINEAR, SQUARE_LAW, TINY, Vector
from inventory.pairing.rules.null_near import ALIKE, Choice

_TOO_NEAT = 1 / 9  # residuals below a third of what rounding leaves tell no scatter (our choice)
_BEYOND = 0.25  # of how far the null lies beyond the readings: the curve is not known there (our choice)
_ENOUGH = 5  # readings, different and not 0, before a step of more than the last digit is believed


def errors(choice: Choice, scale: str, neat: bool) -> tuple[float | None, float | None]:
    """Standard error of the setting by the delta method: for even scatter of A^2, and for even scatter of readings.

    Where the readings near the minimum decide, the weights hold how they scatter, and both are one. In a dead stretch
    the null may lie anywhere: not less than an even spread over it (and a quarter of the gaps beside it, for where it
    ends is not known), its width over the root of 12. Readings that fit
    better than their last digit allows: not less than that digit leaves. Beyond the readings a quarter of the way from
    the nearest one is added.
    """
    fit, least = choice.fit, 0.0
    if choice.dead:
        least = _dead_width(choice, *choice.dead) / math.sqrt(12)
    if not fit.freedom:
        return least or None, least or None
    if neat:
        least = max(least, _of_rounding(choice, scale))
    beyond = _BEYOND * fit.half * max(abs(fit.x0) - 1.0, 0.0)
    gradient, inverse, weights = fit.gradient, fit.inverse, fit.weights
    variance = choice.variance if choice.by != ALIKE else fit.variance
    plain = fit.half * math.sqrt(variance * float(gradient @ inverse @ gradient))
    plain = math.hypot(max(math.hypot(plain, choice.moved), least), beyond)
    if scale == SQUARE_LAW or choice.by != ALIKE or choice.dead:
        return plain, plain
    shape = fit.shape
    fitted = np.maximum(shape @ fit.beta, TINY)
    spread = (fitted**2 if scale == DB else fitted) / weights  # variance of A^2 for one unit of scatter in the reading
    solved = inverse @ shape.T * weights
    rest = (shape * solved.T).sum(axis=1)  # leverages
    expected = float((spread * weights) @ (1 - rest))  # of the weighted residual sum of squares
    unit = fit.variance * fit.freedom / expected
    even = fit.half * math.sqrt(unit * float((gradient @ solved) ** 2 @ spread))
    even = math.hypot(max(even, least), beyond)
    if choice.left_out:  # neither scatter is known for sure, and the degrees of freedom are fewer than readings - 3
        plain = even = max(plain, even) * math.sqrt(choice.wider)
    return plain, even


def _dead_width(choice: Choice, first: float, last: float) -> float:
    settings = [one.setting for one in choice.screen.readings]
    below = max((setting for setting in settings if setting < first), default=first)
    above = min((setting for setting in settings if setting > last), default=last)
    return last - first + (first - below + above - last) / 4


def too_neat(choice: Choice, scale: str) -> bool:
    """Whether the readings fit better than their step allows: they show no scatter."""
    fit = choice.fit
    if not fit.freedom:
        return False
    leverages = (fit.shape @ fit.inverse * fit.shape).sum(axis=1) * fit.weights
    expected = float((_rounding(choice, scale) * fit.weights) @ (1 - leverages))
    return fit.variance * fit.freedom <= _TOO_NEAT * expected


def _of_rounding(choice: Choice, scale: str) -> float:
    """What the step of the readings leaves open of the setting."""
    fit = choice.fit
    solved = fit.inverse @ fit.shape.T * fit.weights
    return fit.half * math.sqrt(float((fit.gradient @ solved) ** 2 @ _rounding(choice, scale)))


def _rounding(choice: Choice, scale: str) -> Vector:
    """Variance of A^2 over its largest, of every reading of the curve, by an even spread over a step."""
    fit = choice.fit
    unit = reading_step([one.reading for one in choice.screen.readings]) / math.sqrt(12)
    squares = np.maximum(fit.y, 0.0)
    if scale == LINEAR:
        part = unit / math.sqrt(fit.top)
        return 4 * squares * part**2 + 2 * part**4
    if scale == DB:
        return (squares * math.log(10) / 10 * unit) ** 2
    return np.full(len(squares), (unit / fit.top) ** 2)


def reading_step(values: Sequence[float]) -> float:
    """The step in which an indicator was read: the last digit written, or 2, 5 or 10 of it where all go by that."""
    figures = [Decimal(f"{value:.10g}") for value in values]
    last = min((int(figure.normalize().as_tuple().exponent) for figure in figures if figure), default=0)
    if all(value == int(value) for value in values):
        last = 0
    unit = Decimal(1).scaleb(last)
    counts = {abs(int(figure / unit)) for figure in figures} - {0}
    bold = next((k for k in (10, 5, 2) if len(counts) >= _ENOUGH and all(count % k == 0 for count in counts)), 1)
    return float(unit * bold)
