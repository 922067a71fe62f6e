"""Two instruments: the line through tubes read on both, shown as a comparison and never used to rewrite a reading.

Both readings scatter, so the line is Deming's: with ``ratio`` the error variance of the second instrument over that of
the first, ``slope = (syy - r sxx + sqrt((syy - r sxx)^2 + 4 r sxy^2)) / (2 sxy)`` (W. E. Deming 1943; the formula from
memory, checked against Pearson's example of 1901). Where the ratio is not known it is taken as that of the spreads,
which gives the reduced major axis and does not depend on the units. Intervals by the jackknife over tubes.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from inventory.running.rules.curves import Vector

FEWEST = 5  # our choice
FEW = 10  # tubes below which the line is called rough; our choice


class DemingRefused(ValueError):
    """Tubes that give no line; the text is one line."""


@dataclass(frozen=True, slots=True)
class DemingLine:
    """``second = intercept + slope * first``. ``scatter``: standard deviation of the second reading about the line.

    Intervals are 95 %. ``ratio``: error variance of the second over the first instrument, as used.
    """

    slope: float
    intercept: float
    scatter: float
    slope_interval: tuple[float, float]
    intercept_interval: tuple[float, float]
    tubes: int
    ratio: float
    remarks: tuple[str, ...]

    def at(self, first: float) -> float:
        """What the line has on the second instrument for a reading on the first: a comparison, no reading."""
        return self.intercept + self.slope * first


def deming(pairs: Sequence[tuple[float, float]], ratio: float | None = None) -> DemingLine:
    """The line through (reading on the first, reading on the second instrument), one pair a tube, all of one type.

    ``ratio``: the squared ratio of the two repeatabilities, second to first, where both are known. Raises
    DemingRefused: too few tubes, all alike, no common trend, a figure that is none.
    """
    if len(pairs) < FEWEST:
        raise DemingRefused(f"{len(pairs)} tubes were read on both; a line needs {FEWEST} or more")
    x, y = np.array(pairs, dtype=np.float64).T
    if not (np.isfinite(x).all() and np.isfinite(y).all()) or (ratio is not None and not 0 < ratio < math.inf):
        raise DemingRefused("a reading or the ratio is no finite figure")
    slope, intercept, used = _line(x, y, ratio)
    if not math.isfinite(slope):
        raise DemingRefused("the readings of the two instruments show no common trend, or are all alike")
    rest = y - intercept - slope * x
    from scipy.special import stdtrit  # takes a quarter of a second to load: only when asked

    slopes, intercepts = _jackknife(x, y, ratio)
    reach = float(stdtrit(len(x) - 2, 0.975))
    told = [] if len(x) >= FEW else [f"From {len(x)} tubes only: a rough line."]
    if ratio is None:
        told.append("How well the two repeat is not known: both are taken to scatter in proportion to their spread.")
    return DemingLine(
        slope, intercept, math.sqrt(float(rest @ rest) / (len(x) - 2)),
        _interval(slope, slopes, reach), _interval(intercept, intercepts, reach), len(x), used, tuple(told),
    )  # fmt: skip


def _line(x: Vector, y: Vector, ratio: float | None) -> tuple[float, float, float]:
    """Slope, intercept and the ratio used; not a number where there is no line."""
    dx, dy = x - x.mean(), y - y.mean()
    sxx, syy, sxy = float(dx @ dx), float(dy @ dy), float(dx @ dy)
    if sxx == 0 or syy == 0 or sxy == 0:
        return math.nan, math.nan, math.nan
    used = syy / sxx if ratio is None else ratio
    lead = syy - used * sxx
    slope = (lead + math.sqrt(lead * lead + 4 * used * sxy * sxy)) / (2 * sxy)
    return slope, float(y.mean()) - slope * float(x.mean()), used


def _jackknife(x: Vector, y: Vector, ratio: float | None) -> tuple[Vector, Vector]:
    """Slopes and intercepts with each tube left out in turn."""
    lines = [_line(np.delete(x, n), np.delete(y, n), ratio)[:2] for n in range(len(x))]
    slopes, intercepts = np.array(lines, dtype=np.float64).T
    return slopes, intercepts


def _interval(value: float, others: Vector, reach: float) -> tuple[float, float]:
    count = len(others)
    error = math.sqrt((count - 1) / count * float(((others - others.mean()) ** 2).sum()))
    return value - reach * error, value + reach * error
