"""How well the estimate does on sales it has not seen: each left out, valued from the others, and compared.

Rows are dealt out to ``FOLDS`` folds, those of each type one to a fold as far as they go; for every fold everything is
fitted anew from the other rows (factors, trend, variances, scatter and interval alike: nothing stays fixed), and the
rows of the fold are valued at their own grade, venue, mark and day. Of a type with up to ``FOLDS`` rows exactly one is left
out at a time. Later sales help to value earlier ones, as they do for a valuation of today.

Beside it stands the plain mean of the other prices of the type, from the same folds.
"""

from dataclasses import dataclass

import numpy as np

from inventory.valuation.rules.estimate import fit, values
from inventory.valuation.rules.evidence import USED, Evidence, Families, Flags, Vector, Whole, left_out

FOLDS = 50
SEED = 20_011


@dataclass(frozen=True, slots=True, eq=False)
class BackTest:
    """Of every row that counts: what it was valued at from others, and what their plain mean was; nan without others."""

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


def back_test(evidence: Evidence, families: Families, on: int, *, folds: int = FOLDS, seed: int = SEED) -> BackTest:
    used = np.flatnonzero(left_out(evidence, on) == USED)
    counted = evidence.only(used)
    fold = _dealt(counted.type, len(families.group), folds, seed)
    amount, low, high, mean = (np.full(len(used), np.nan) for _ in range(4))
    interval, comparables = np.zeros(len(used), np.bool_), np.zeros(len(used), np.int64)
    types = len(families.group)
    for number in range(folds):
        out = fold == number
        if not out.any():
            continue
        rest, asked = counted.only(~out), counted.only(out)
        found = values(fit(rest, families, on), asked.type, asked.grade, asked.venue, asked.mark, asked.day)
        amount[out], low[out], high[out] = found.amount, found.low, found.high
        interval[out], comparables[out] = found.interval, found.comparables
        with np.errstate(invalid="ignore"):
            mean[out] = (np.bincount(rest.type, rest.price, types) / np.bincount(rest.type, minlength=types))[
                asked.type
            ]
    return BackTest(used, counted.type, counted.price, amount, low, high, interval, comparables, mean, folds, seed)


def _dealt(types: Whole, many: int, folds: int, seed: int) -> Whole:
    random = np.random.default_rng(seed)
    order = random.permutation(len(types))
    order = order[np.argsort(types[order], kind="stable")]
    count = np.bincount(types, minlength=many)
    place = np.arange(len(types)) - np.repeat(np.cumsum(count) - count, count)
    fold = np.empty(len(types), np.int64)
    fold[order] = (place + np.repeat(random.integers(0, folds, many), count)) % folds
    return fold
