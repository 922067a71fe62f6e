"""What to think of a back test: by how many comparables a sale was valued from, and in words."""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from inventory.valuation.rules.backtest import BackTest
from inventory.valuation.rules.evidence import Flags
from inventory.valuation.rules.scatter import COVERED, FEWEST

STEPS = (1, 2, FEWEST, 10, 30)  # other sales of the same type, from so many on
ENOUGH = 30  # sales below which a share says little; our choice
_SURE = 1.96  # standard errors


@dataclass(frozen=True, slots=True)
class Judged:
    """Sales that were valued from ``least`` to ``most`` others of their type (None: any number from there on).

    ``covered``: the share of ``with_interval`` sales within their 80 % interval; ``off`` and ``mean_off``: the median
    error of the estimate and of the plain mean, as shares of the price. None where there are none.
    """

    least: int
    most: int | None
    sales: int
    with_interval: int
    covered: float | None
    off: float | None
    mean_off: float | None

    @property
    def words(self) -> str:
        """Which sales."""
        if self.most is None:
            return f"{self.least} or more others"
        if self.most == self.least:
            return f"{self.least} other{'s' * (self.least != 1)}"
        return f"{self.least} to {self.most} others"

    def as_dict(self) -> dict[str, Any]:
        return {
            "others_least": self.least, "others_most": self.most, "sales": self.sales,
            "sales_with_interval": self.with_interval, "coverage_80": self.covered, "mape_median": self.off,
            "baseline_mape_median": self.mean_off,
        }  # fmt: skip


def by_comparables(test: BackTest) -> list[Judged]:
    """The back test by the number of other sales of the type; groups without a sale are left out."""
    found = []
    for least, after in zip(STEPS, (*STEPS[1:], None), strict=True):
        here = test.compared & (test.comparables >= least)
        if after is not None:
            here &= test.comparables < after
        if here.any():
            found.append(_judged(test, here, least, None if after is None else after - 1))
    return found


def all_of(test: BackTest) -> Judged | None:
    """The whole back test in one; None where nothing could be compared."""
    return _judged(test, test.compared, 1, None) if test.compared.any() else None


def _judged(test: BackTest, here: Flags, least: int, most: int | None) -> Judged:
    sure = here & test.interval
    off = [
        float(np.median(np.abs(told[here] - test.price[here]) / test.price[here])) for told in (test.amount, test.mean)
    ]
    return Judged(
        least, most, int(here.sum()), int(sure.sum()), float(test.held[sure].mean()) if sure.any() else None,
        round(off[0], 4), round(off[1], 4),
    )  # fmt: skip


def thought_of(found: Judged | None) -> list[str]:
    """What the back test of all sales is to be thought of, in sentences."""
    if found is None or found.off is None or found.mean_off is None:
        return ["No type has two sales that count, so nothing can be tested: note more sales."]
    told = []
    if found.covered is None:
        told.append(f"No type has {FEWEST + 1} sales that count, so there is no interval to test: ranges are shown.")
    else:
        told.append(_of_coverage(found.covered, found.with_interval))
    off, mean = 100 * found.off, 100 * found.mean_off
    if found.sales < ENOUGH:
        told.append(f"{found.sales} sales are too few to say whether the estimate does better than a plain mean.")
    elif off < mean:
        told.append(
            f"Half of the sales lie within {off:.0f} % of what was estimated without them; within {mean:.0f} % of the "
            f"plain mean of the other prices of the type. The estimate is nearer by {100 * (1 - off / mean):.0f} %."
        )
    else:
        told.append(
            f"Half of the sales lie within {off:.0f} % of what was estimated without them, and within {mean:.0f} % of "
            "the plain mean of the others: here the estimate is no better than that, so look at the sales themselves."
        )
    return told


def _of_coverage(covered: float, sales: int) -> str:
    held = f"{100 * covered:.0f} % of {sales} sales lay within their 80 % interval"
    chance = _SURE * math.sqrt(COVERED * (1 - COVERED) / sales)
    if sales < ENOUGH:
        return f"{held}: too few sales to judge it by."
    if covered < COVERED - chance:
        return f"{held}: fewer than there should be, so take the intervals as too narrow."
    if covered > COVERED + chance:
        return f"{held}: more than there need be, so the intervals are on the wide side."
    return f"{held}, as they should, within what chance makes of so many."
