"""How well the estimate does on sales it has not seen: each left out, valued from the others, and compared.

Rows are dealt out to ``FOLDS`` folds, those of each type one to a fold as far as they go; for every fold everything is
fitted anew from the other rows (factors, trend, variances, scatter and interval alike: nothing stays fixed), and the
rows of the fold are valued at their own grade, venue, mark and day. Of a type with up to ``FOLDS`` rows exactly one
is left out at a time. Later sales help to value earlier ones, as they do for a valuation of today.

Beside it stands the plain mean of the other prices of the type, from the same folds.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from inventory.valuation.rules.estimate import values
from inventory.valuation.rules.evidence import USED, Evidence, Families, Flags, Vector, Whole, left_out
from inventory.valuation.rules.fitting import fit
from inventory.valuation.rules.weighting import Weighting

FOLDS = 50
_ROUNDED = 1e-9  # prices that are all alike lie within an interval of no width
SEED = 20_011  # of how the rows are dealt out


@dataclass(frozen=True, slots=True, eq=False)
class BackTest:
    """Of every row that counts what it was valued at from others, and their plain mean; nan without others.

    ``rows``: their places in the evidence; ``interval``: low and high are meant to hold 80 % of such sales.
    """

    rows: Whole
    type: Whole
    price: Vector
    amount: Vector
    low: Vector
    high: Vector
    interval: Flags
    comparables: Whole
    mean: Vector
    folds: int
    seed: int

    @property
    def compared(self) -> Flags:
        """Rows that both ways answer for: those of types with another row, of grades that the others tell of."""
        return np.isfinite(self.amount) & np.isfinite(self.mean)

    @property
    def held(self) -> Flags:
        """Which sales lay between their low and high."""
        return np.asarray(
            (self.price >= self.low * (1 - _ROUNDED)) & (self.price <= self.high * (1 + _ROUNDED)), dtype=np.bool_
        )

    @property
    def covered(self) -> float | None:
        """The share of sales within their interval, of those that have one."""
        return _mean(self.held[self.interval])

    def off(self, told: Vector) -> Vector:
        """How far what was told lies from the price, as a share of it, of the rows that both ways answer for."""
        here = self.compared
        return np.asarray(np.abs(told[here] - self.price[here]) / self.price[here])

    def as_dict(self) -> dict[str, Any]:
        """Exact keys of ``value_backtest``, and what they rest on."""
        here, covered = self.compared, self.covered
        return {
            "rows": int(here.sum()),
            "coverage_80": None if covered is None else round(covered, 4),
            "mape_median": _rounded_median(self.off(self.amount)),
            "baseline_mape_median": _rounded_median(self.off(self.mean)),
            "n_types": len(np.unique(self.type[here])),
            "rows_with_interval": int(self.interval.sum()),
            "rows_of_types_with_no_other": int((~np.isfinite(self.mean)).sum()),
            "rows_of_grades_not_told": int((np.isfinite(self.mean) & ~np.isfinite(self.amount)).sum()),
            "folds": self.folds,
            "seed": self.seed,
        }


def back_test(
    evidence: Evidence,
    families: Families,
    on: int,
    weighting: Weighting | None = None,
    *,
    folds: int = FOLDS,
    seed: int = SEED,
) -> BackTest:
    """Every row that counts on day ``on``, valued from the others; the same seed deals the same folds."""
    used = np.flatnonzero(left_out(evidence, on) == USED)
    counted, types = evidence.only(used), len(families.group)
    fold = _dealt(counted.type, types, folds, seed)
    amount, low, high, mean = (np.full(len(used), np.nan) for _ in range(4))
    interval, comparables = np.zeros(len(used), np.bool_), np.zeros(len(used), np.int64)
    for number in np.unique(fold):
        out = fold == number
        rest, asked = counted.only(~out), counted.only(out)
        found = values(fit(rest, families, on, weighting), asked.type, asked.grade, asked.venue, asked.mark, asked.day)
        amount[out], low[out], high[out] = found.amount, found.low, found.high
        interval[out], comparables[out] = found.interval, found.comparables
        others = np.bincount(rest.type, minlength=types)[asked.type]
        total = np.bincount(rest.type, rest.price, types)[asked.type]
        mean[out] = np.where(others > 0, total / np.maximum(others, 1), np.nan)
    return BackTest(used, counted.type, counted.price, amount, low, high, interval, comparables, mean, folds, seed)


def joined(tests: Sequence[BackTest]) -> BackTest:
    """Back tests of evidence that has nothing to do with one another, as one; their types stay apart."""
    types, far = [], 0
    for one in tests:
        types.append(one.type + far)
        far += int(one.type.max(initial=-1)) + 1
    together: dict[str, Any] = {
        name: np.concatenate([getattr(one, name) for one in tests])
        for name in ("rows", "price", "amount", "low", "high", "interval", "comparables", "mean")
    }
    return replace(tests[0], type=np.concatenate(types), **together)


def _dealt(types: Whole, many: int, folds: int, seed: int) -> Whole:
    """Of every row its fold: the rows of a type in any order, one to a fold after another, each type from any on."""
    random = np.random.default_rng(seed)
    order = random.permutation(len(types))
    order = order[np.argsort(types[order], kind="stable")]
    count = np.bincount(types, minlength=many)
    place = np.arange(len(types)) - np.repeat(np.cumsum(count) - count, count)
    fold = np.empty(len(types), np.int64)
    fold[order] = (place + np.repeat(random.integers(0, folds, many), count)) % folds
    return fold


def _mean(held: Flags) -> float | None:
    return float(held.mean()) if len(held) else None


def _rounded_median(off: Vector) -> float | None:
    return round(float(np.median(off)), 4) if len(off) else None
