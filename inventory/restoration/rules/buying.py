"""What to buy first under a budget: the most assurance for the money.

The assurance of a kit is the product of those of its types, so gains add up as logarithms. The chance of "at most s"
of a Poisson or negative binomial number is log-concave in s (its steps are log-concave, or fall), so each further spare
gains less; what a budget buys is therefore a knapsack of single spares, solved exactly (HiGHS), and the order in which
to buy is by gain per money. Which spares the budget buys depends on the budget; what stands first is to be got first.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

from inventory.restoration.rules.demand import Demand, percent

MOST_OF_ONE = 40  # spares of one type in one order
ENOUGH = 1 - 1e-9  # nobody buys for more than this
FINELY = 1e7  # HiGHS stops where sums differ by less than a millionth; the last spares gain less than that
NONE_AT_ALL = 1e-300  # stands for a chance too small to be written


@dataclass(frozen=True)
class Line:
    """A type that may be bought: failures ahead, spares there are, the price of one (None: not known)."""

    name: str
    demand: Demand
    stock: int
    price: Decimal | None

    def assurance(self, bought: int = 0) -> float:
        """The chance that the stock, with so many bought, is enough."""
        return self.demand.at_most(self.stock + bought)


@dataclass(frozen=True)
class Step:
    """One spare bought. ``before`` and ``after``: the assurance of the whole kit; ``left``: of the budget, after it."""

    name: str
    price: Decimal
    before: float
    after: float
    left: Decimal

    @property
    def before_percent(self) -> str:
        return percent(self.before)

    @property
    def after_percent(self) -> str:
        return percent(self.after)


@dataclass(frozen=True)
class Order:
    """The spares to buy, first things first; what is left of the budget; types whose price is not known."""

    steps: tuple[Step, ...]
    left: Decimal
    before: float
    no_price: tuple[str, ...]

    @property
    def after(self) -> float:
        return self.steps[-1].after if self.steps else self.before


def kit_assurance(lines: Sequence[Line], bought: Sequence[int] | None = None) -> float:
    """The chance that the spares of every type are enough."""
    numbers = bought if bought is not None else [0] * len(lines)
    return math.prod(line.assurance(number) for line, number in zip(lines, numbers, strict=True))


def gains(line: Line, most: int = MOST_OF_ONE) -> list[float]:
    """What each further spare gains, as a logarithm; ends where there is next to nothing to gain."""
    told: list[float] = []
    now = max(line.assurance(0), NONE_AT_ALL)
    while now < ENOUGH and len(told) < most:
        then = max(line.assurance(len(told) + 1), NONE_AT_ALL)
        told.append(math.log(then / now))
        now = then
    return told


def buying_order(lines: Sequence[Line], budget: Decimal) -> Order:
    """The spares that bring the most assurance for at most ``budget``, in the order in which to buy them.

    Prices and budget in one currency. Raises ValueError for a price or a budget that cannot be.
    """
    if not budget.is_finite() or budget < 0:
        raise ValueError(f"budget {budget}: expected 0 or more")
    for line in lines:
        if line.price is not None and not (line.price.is_finite() and line.price > 0):
            raise ValueError(f"price of {line.name} {line.price}: expected more than 0")
    left, before = budget, kit_assurance(lines)
    steps: list[Step] = []
    bought = [0] * len(lines)
    for number, price in _in_order(lines, _best_kit(lines, budget)):
        bought[number] += 1
        left, after = left - price, kit_assurance(lines, bought)
        steps.append(Step(lines[number].name, price, steps[-1].after if steps else before, after, left))
    return Order(tuple(steps), left, before, tuple(line.name for line in lines if line.price is None))


def _best_kit(lines: Sequence[Line], budget: Decimal) -> list[int]:
    """How many of each to buy: exact, since among the spares of a type those that gain more are taken first."""
    which, worth, costs = [], [], []
    for number, line in enumerate(lines):
        if line.price is None or line.price > budget:
            continue
        told = gains(line, min(MOST_OF_ONE, int(budget // line.price)))
        which += [number] * len(told)
        worth += told
        costs += [float(line.price)] * len(told)
    kit = [0] * len(lines)
    if not which:
        return kit
    found = milp(
        -np.asarray(worth) * FINELY, integrality=np.ones(len(which)), bounds=Bounds(0, 1),
        constraints=LinearConstraint(np.asarray([costs]), ub=float(budget) + 1e-6), options={"mip_rel_gap": 0},
    )  # fmt: skip
    for number, taken in zip(which, found.x, strict=True):
        kit[number] += round(taken)
    return kit


def _in_order(lines: Sequence[Line], kit: Sequence[int]) -> list[tuple[int, Decimal]]:
    """The spares of a kit, those first that gain most for their price; as (number of the line, price)."""
    told = [
        (gain / float(line.price), number, line.price)
        for number, (line, wanted) in enumerate(zip(lines, kit, strict=True)) if line.price is not None
        for gain in gains(line)[:wanted]
    ]  # fmt: skip
    return [(number, price) for _, number, price in sorted(told, key=lambda one: (-one[0], one[1]))]
