"""What to buy first under a budget: the most assurance for the money.

The assurance of a kit is the product of those of its types, so gains add up as logarithms. What a budget buys is a
knapsack of single spares, solved exactly (HiGHS), and the order in which to buy is by gain per money. The chance of "at
most s" of a Poisson or negative binomial number is log-concave in s (its steps are log-concave, or fall), so that each
further spare gains less; where lives were drawn, or some of those in use are enough, that need not be so, and then a
spare is bought only behind those before it. Which spares the budget buys depends on the budget; what stands first is to
be got first. Positions that nothing covers are another matter: no spare helps a set that lacks a tube. Most of them are
closed for the money by taking the cheapest first.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

import numpy as np

from inventory.restoration.rules.demand import Demand, still_working

MOST_OF_ONE = 40  # spares of one type in one order
ENOUGH = 1 - 1e-9  # nobody buys for more than this
LITTLE = 1e-3  # a spare that raises the chance by less than this part of it is hardly worth its price
FINELY = 1e7  # HiGHS stops where sums differ by less than a millionth; the last spares gain less than that
NONE_AT_ALL = 1e-300  # stands for a chance too small to be written


@dataclass(frozen=True)
class Line:
    """A type that may be bought: failures ahead, spares there are, the price of one (None: not known).

    ``in_use``, ``needed``: where some of those in use are enough.
    """

    name: str
    demand: Demand
    stock: int
    price: Decimal | None
    in_use: int = 1
    needed: int | None = None

    def assurance(self, bought: int = 0) -> float:
        """The chance that the stock, with so many bought, is enough."""
        needed = self.in_use if self.needed is None else self.needed
        return still_working(self.demand, self.in_use, needed, self.stock + bought)


@dataclass(frozen=True)
class Gap:
    """Positions that nothing covers: the type they want, how many, the price of one (None: not known)."""

    name: str
    count: int
    price: Decimal | None


@dataclass(frozen=True)
class Closing:
    """Tubes that close gaps, the cheapest first, as (type, price); what is left; how many positions stay open."""

    steps: tuple[tuple[str, Decimal], ...]
    left: Decimal
    open: int


@dataclass(frozen=True)
class Step:
    """One spare bought. ``before`` and ``after``: the assurance of the whole kit; ``left``: of the budget, after it."""

    name: str
    price: Decimal
    before: float
    after: float
    left: Decimal


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

    @property
    def worth(self) -> int:
        """How many steps there are before those of which each raises the chance by less than ``LITTLE`` of it."""
        gaining = (number for number, one in enumerate(self.steps, 1) if one.after - one.before >= LITTLE * one.before)
        return max(gaining, default=0)

    def reached(self, asked: float) -> int | None:
        """After how many steps the kit is as sure as was asked; None where it is not."""
        sure = (self.before, *(step.after for step in self.steps))
        return next((number for number, chance in enumerate(sure) if chance >= asked), None)

    @property
    def curve(self) -> tuple[tuple[Decimal, float], ...]:
        """The assurance against the money spent, from nothing spent on; (money, chance)."""
        spent, told = Decimal(0), [(Decimal(0), self.before)]
        for step in self.steps:
            spent += step.price
            told.append((spent, step.after))
        return tuple(told)


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
    _check_money(budget, lines)
    left, before = budget, kit_assurance(lines)
    steps: list[Step] = []
    bought = [0] * len(lines)
    for number, price in _in_order(lines, _best_kit(lines, budget)):
        bought[number] += 1
        left, after = left - price, kit_assurance(lines, bought)
        steps.append(Step(lines[number].name, price, steps[-1].after if steps else before, after, left))
    return Order(tuple(steps), left, before, tuple(line.name for line in lines if line.price is None))


def _check_money(budget: Decimal, lines: Sequence[Line | Gap]) -> None:
    if not budget.is_finite() or budget < 0:
        raise ValueError(f"budget {budget}: expected 0 or more")
    for line in lines:
        if line.price is not None and not (line.price.is_finite() and line.price > 0):
            raise ValueError(f"price of {line.name} {line.price}: expected more than 0")


def close_gaps(gaps: Sequence[Gap], budget: Decimal) -> Closing:
    """The tubes that close the most gaps for at most ``budget``: the cheapest first, which no other choice exceeds.

    Prices and budget in one currency; a gap without a price stays open. Raises ValueError as ``buying_order``.
    """
    _check_money(budget, gaps)
    wanted = sum(gap.count for gap in gaps)
    steps: list[tuple[str, Decimal]] = []
    for gap in sorted(gaps, key=lambda one: (one.price is None, one.price or 0, one.name)):
        for _ in range(gap.count):
            if gap.price is not None and gap.price <= budget:
                steps.append((gap.name, gap.price))
                budget -= gap.price
    return Closing(tuple(steps), budget, wanted - len(steps))


def _best_kit(lines: Sequence[Line], budget: Decimal) -> list[int]:
    """How many of each to buy: exact. Of a type the first spares are taken first, by their gain or by a constraint."""
    which: list[int] = []
    worth: list[float] = []
    costs: list[float] = []
    behind: list[int] = []  # spares that may be taken only with the one before them of their type
    for number, line in enumerate(lines):
        if line.price is None or line.price > budget:
            continue
        told = gains(line, min(MOST_OF_ONE, int(budget // line.price)))
        last = max((at for at in range(1, len(told)) if told[at] > told[at - 1]), default=0)
        behind += [len(which) + at for at in range(1, last + 1)]  # after the last that gains more, gains fall
        which += [number] * len(told)
        worth += told
        costs += [float(line.price)] * len(told)
    kit = [0] * len(lines)
    if not which:
        return kit
    from scipy.optimize import Bounds, LinearConstraint, milp  # half a second to load: only when asked

    rows = np.zeros((1 + len(behind), len(which)))
    rows[0] = costs
    for row, spare in enumerate(behind, 1):
        rows[row, spare], rows[row, spare - 1] = 1, -1
    limits = np.concatenate([[float(budget) + 1e-6], np.zeros(len(behind))])
    found = milp(
        -np.asarray(worth) * FINELY, integrality=np.ones(len(which)), bounds=Bounds(0, 1),
        constraints=LinearConstraint(rows, ub=limits), options={"mip_rel_gap": 0},
    )  # fmt: skip
    for number, taken in zip(which, found.x, strict=True):
        kit[number] += round(taken)
    return kit


def _in_order(lines: Sequence[Line], kit: Sequence[int]) -> list[tuple[int, Decimal]]:
    """The spares of a kit, those first that gain most for their price; as (number of the line, price)."""
    told = [
        (gain / float(line.price), number, line.price)
        for number, (line, wanted) in enumerate(zip(lines, kit, strict=True)) if line.price is not None
        for gain in _levelled(gains(line)[:wanted])
    ]  # fmt: skip
    return [(number, price) for _, number, price in sorted(told, key=lambda one: (-one[0], one[1]))]


def _levelled(told: Sequence[float]) -> list[float]:
    """Gains that fall: spares of which a later one gains more are worth their mean, since it comes only with them."""
    blocks: list[tuple[float, int]] = []  # (sum, how many)
    for gain in told:
        block = (gain, 1)
        while blocks and block[0] * blocks[-1][1] > blocks[-1][0] * block[1]:
            before = blocks.pop()
            block = (block[0] + before[0], block[1] + before[1])
        blocks.append(block)
    return [total / number for total, number in blocks for _ in range(number)]
