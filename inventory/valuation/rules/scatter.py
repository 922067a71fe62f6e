"""How far single sales lie from the level of their type, and how far from what other sales would have said of them."""

import math
from dataclasses import dataclass, replace

import numpy as np

from inventory.valuation.rules.evidence import Vector, Whole
from inventory.valuation.rules.levels import SHOWN_MOST
from inventory.valuation.rules.location import NORMAL_MAD

FEWEST = 5  # comparables below which there is no interval
COVERED = 0.8
FAR = 3.0  # scatters; what lies beyond counts as this far
NORMAL_ROWS = 20.0  # our choice: of hundreds of rows next to nothing
REACH_ROWS = 50_000  # rows that the reach is counted on; of more every k-th
_PRIOR = 8.0  # rows that the common scatter is worth where too few types tell
_TYPES = 5
TENTH = 1.2815515655446004  # of the normal curve lies beyond it


@dataclass(frozen=True, slots=True, eq=False)
class Scatter:
    """Of every type the scatter of its sales about the level, partly the common one; 0 where nothing tells it.

    ``squares``: of what is left of its rows, each held in at ``most``; ``prior``: rows that the common one is worth.
    """

    of_type: Vector
    squares: Vector
    common: float
    prior: float
    most: float


def scatter_of(home: Whole, rest: Vector, count: Whole) -> Scatter:
    """From what is left of each shown row (``home``: its type); ``count``: rows of every type, shown or not."""
    nothing = np.zeros(len(count))
    inside = (count > 1)[home]
    sizes = np.abs(rest[inside]) * np.sqrt(count / np.maximum(count - 1, 1))[home[inside]]
    typical = NORMAL_MAD * float(np.median(sizes)) if len(sizes) else 0.0
    if typical == 0:
        return Scatter(nothing, nothing, 0.0, 0.0, 0.0)
    most = FAR * typical
    squares, free = _squares(home, rest, count, most), np.maximum(count - 1, 0)
    own = squares / np.maximum(free, 1)
    prior = _prior(own, free)
    trust = free / (free + prior)
    common = float((trust * own).sum() / trust.sum())
    return Scatter(_mixed(squares, free, common, prior), squares, float(np.sqrt(common)), prior, most)


def scatter_beside(home: Whole, rest: Vector, count: Whole, known: Scatter) -> Scatter:
    """The same of other sales, where how far sales scatter is ``known`` of like ones: their own rows add to it."""
    squares, free = _squares(home, rest, count, known.most), np.maximum(count - 1, 0)
    return replace(known, of_type=_mixed(squares, free, known.common**2, known.prior), squares=squares)


def _squares(home: Whole, rest: Vector, count: Whole, most: float) -> Vector:
    held = np.minimum(np.abs(rest), most)
    found = np.bincount(home, held * held, len(count)).astype(np.float64)
    return np.asarray(found * np.maximum(count / SHOWN_MOST, 1.0))


def _mixed(squares: Vector, free: Whole, common: float, prior: float) -> Vector:
    return np.asarray(np.sqrt((prior * common + squares) / (prior + free)))


def _prior(own: Vector, free: Whole) -> float:
    """As many rows as make up for what the scatters of types differ beyond chance (of a variance of f rows: 2 / f)."""
    enough = (free >= 7) & (own > 0)
    if enough.sum() < _TYPES:
        return _PRIOR
    chance = float((2 / free[enough] + 2 / free[enough] ** 2).mean())
    return float(np.clip(2 / max(float(np.var(np.log(own[enough]))) - chance, 1e-3), 2, 200))


def reach_of(home: Whole, rest: Vector, from_pooled: Vector, count: Whole, scatter: Scatter) -> tuple[float, float]:
    """How many scatters below and above the level of the others a tenth of the sales lie.

    Each row is taken out of its own level and scatter by arithmetic. Order statistics, a tenth from either end; of few
    rows, whose tenth is one odd price or none, with ``NORMAL_ROWS`` of a normal curve beside them.
    """
    enough = count >= FEWEST
    inside = (enough if enough.any() else count > 1)[home]
    step = len(home) // REACH_ROWS + 1
    while math.gcd(step, SHOWN_MOST) > 1:  # else the same ranks of every long list would be taken
        step += 1
    taken = np.flatnonzero(inside)[::step]
    home, rest, from_pooled = home[taken], rest[taken], from_pooled[taken]
    rows = count[home]
    mine = np.square(np.minimum(np.abs(rest), scatter.most)) * rows / (rows - 1)
    others = np.maximum(scatter.squares[home] - mine, 0) + scatter.prior * scatter.common**2
    far = from_pooled * np.sqrt(rows / (rows - 1) * (scatter.prior + np.maximum(rows - 2, 0)) / others)
    far /= student(np.asarray(scatter.prior + rows - 2, dtype=np.float64))
    order = np.argsort(far)
    far, weight = far[order], np.maximum(rows[order] / SHOWN_MOST, 1.0)
    rows_in_all = float(weight.sum())
    trust = rows_in_all / (rows_in_all + NORMAL_ROWS)
    below, above = -_tenth(far, weight), _tenth(far[::-1], weight[::-1])
    return trust * below + (1 - trust) * TENTH, trust * above + (1 - trust) * TENTH


def _tenth(far: Vector, weight: Vector) -> float:
    """The value a tenth from the first, between order statistics where need be; each stands amid the rows it is for."""
    rank = np.cumsum(weight) - (weight - 1) / 2
    return float(np.interp((float(weight.sum()) + 1) * (1 - COVERED) / 2, rank, far))


def student(free: Vector | Whole, z: float = TENTH) -> Vector:
    """How much farther ``z`` (a tenth) lies out where the scatter itself is known from ``free`` rows only.

    Student's quantile over the normal one, by its expansion in 1 / f (R. A. Fisher and E. A. Cornish 1960, from
    memory).
    """
    first, second = (z**3 + z) / 4, (5 * z**5 + 16 * z**3 + 3 * z) / 96
    rows = np.maximum(np.asarray(free, dtype=np.float64), 1.0)
    return np.asarray(1 + (first / rows + second / rows**2) / z)
