"""One market of the tubes of all types, working ones, weak ones or duds: levels, how far sales scatter, how they reach.

The levels of working ones lean on their relatives. Those of weak tubes and duds lean on the working ones of their type
where a step down is shown, and stand by themselves where it is not; working ones lean on neither.
"""

from dataclasses import dataclass

import numpy as np

from inventory.valuation.rules.evidence import Families, Vector, Whole
from inventory.valuation.rules.levels import WALSH_MOST, Sorted
from inventory.valuation.rules.pooling import Pooled, not_pooled, pooled
from inventory.valuation.rules.scatter import TENTH, Scatter, reach_of, scatter_beside, scatter_of, student
from inventory.valuation.rules.steps_down import StepDown, leaning, step_down


@dataclass(frozen=True, slots=True, eq=False)
class Market:
    """Of every type; levels, ends and scatter are logarithms, with grade, venue, mark and time taken off.

    ``own``: rows of such tubes; ``count``: rows that the level rests on, with those of working ones that it leans on;
    ``least`` and ``most``: their range, wider by what the step is unsure by where they are brought down; ``reach``: how
    many scatters below and above its level a tenth of the sales lie; ``prior``: rows that the common scatter is worth
    beside those of a type. ``down``: the step down to such tubes, None of working ones.
    """

    own: Whole
    count: Whole
    pooled: Pooled
    scatter: Vector
    prior: float
    least: Vector
    most: Vector
    reach: tuple[float, float]
    down: StepDown | None = None

    @property
    def leans(self) -> bool:
        """Whether its levels lean on those of working ones."""
        return self.down is not None and self.down.shown

    @property
    def step(self) -> float:
        """How far, as a logarithm, sales of working ones are brought down to it; 0 where they are not."""
        return self.down.step if self.down is not None and self.down.shown else 0.0


class Sales:
    """Sales of one market, sorted by type: what is worked out of them alone."""

    def __init__(self, ordered: Sorted, weighted: tuple[Vector, Vector] | None) -> None:
        """``weighted``: levels of types, and how many rows of one weight theirs are worth, where rows weigh unlike."""
        self.ordered, self.count = ordered, ordered.count
        if weighted is None:
            self.level, self._worth = ordered.levels(), self.count.astype(np.float64)
            many = np.where(self.count > WALSH_MOST, np.pi / 2, np.where(self.count > 2, np.pi / 3, 1.0))
        else:
            self.level, self._worth = weighted
            many = np.where(self.count > 2, np.pi / 2, 1.0)
        self._loss = many  # of such a middle beside a mean, where the scatter is normal
        self.home, self.shown = ordered.spread_out()
        self.rest = self.shown - self.level[self.home]

    def forget(self) -> None:
        """Let go of what a market is made of, once it is made: levels and errors stay."""
        del self.home, self.shown, self.rest

    def scatter(self, known: Scatter | None = None) -> Scatter:
        """How far they scatter; by what is ``known`` of like ones."""
        if known is not None and known.common:
            return scatter_beside(self.home, self.rest, self.count, known)
        return scatter_of(self.home, self.rest, self.count)

    def error(self, scatter: Vector | float) -> Vector:
        """Of every level the variance of its error; infinite where there is no row."""
        squares = np.square(scatter) * self._loss / np.maximum(self._worth, 1)
        return np.asarray(np.where(self.count > 0, squares, np.inf))

    def ends(self) -> tuple[Vector, Vector]:
        """The least and the greatest of every type; infinite the other way where there is no row."""
        least, most = np.full(len(self.count), np.inf), np.full(len(self.count), -np.inf)
        there = np.flatnonzero(self.count)
        least[there] = self.ordered.ranked(there, 0 * there)
        most[there] = self.ordered.ranked(there, self.count[there] - 1)
        return least, most

    def market(
        self, whole: Pooled, scatter: Scatter, *, wider: float = 1.0, down: StepDown | None = None
    ) -> Market:  # fmt: skip
        """Of itself. ``wider``: how much farther other sales lie than those that the factors were drawn from."""
        reach = (0.0, 0.0)
        if scatter.common:
            from_whole = self.shown - whole.level[self.home]
            below, above = reach_of(self.home, self.rest, from_whole, self.count, scatter)
            reach = below * wider, above * wider
        return Market(self.count, self.count, whole, scatter.of_type, scatter.prior, *self.ends(), reach, down)

    def alone(self, *, wider: float = 1.0, down: StepDown | None = None) -> Market:
        """The market that leans on nothing."""
        scatter = self.scatter()
        return self.market(not_pooled(self.level, self.error(scatter.of_type)), scatter, wider=wider, down=down)


def working_market(sales: Sales, families: Families, wider: float) -> tuple[Market, Scatter]:
    """Of working tubes, each type leaning on its relatives where the scatter of sales is told."""
    scatter = sales.scatter()
    error = sales.error(scatter.of_type)
    whole = pooled(sales.level, error, families) if scatter.common else not_pooled(sales.level, error)
    return sales.market(whole, scatter, wider=wider), scatter


def lower_market(sales: Sales, better: Sales, working: Market, known: Scatter) -> Market:
    """Of weak tubes, or of duds, beside working ones: ``better`` are the sales of those, ``known`` is their scatter."""
    scatter = sales.scatter(known)
    error = sales.error(scatter.of_type)
    as_told = known.of_type if known.common else scatter.common
    down = step_down((better.level, sales.level), (better.error(as_told), error), (better.count, sales.count))
    if not down.shown:
        return sales.alone(down=down)
    whole = leaning(down, sales.level, error, working.pooled, better.count > 0)
    least, most = sales.ends()
    vague = TENTH * float(np.sqrt(down.between + down.variance) * student(np.array([down.free]))[0])
    least = np.minimum(least, working.least + down.step - vague)
    most = np.maximum(most, working.most + down.step + vague)
    reach = working.reach if known.common else (TENTH, TENTH)
    count = sales.count + better.count
    return Market(sales.count, count, whole, scatter.of_type, scatter.prior, least, most, reach, down)
