"""How estimates are made here, with what the evidence of the house makes of it: factors, trend, back test."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from inventory.valuation.queries.estimates import value_backtest
from inventory.valuation.queries.keeping import kept_by_question, levels
from inventory.valuation.queries.pricing import Levels
from inventory.valuation.rules.backtest import FOLDS
from inventory.valuation.rules.bases import FAIR_MARKET
from inventory.valuation.rules.judged import Judged, all_of, by_comparables, thought_of

MANY, FEWER = 50_000, 10  # rows beyond which the back test deals them out to fewer folds


@dataclass(frozen=True, slots=True)
class Tested:
    """The back test of all evidence, by how many comparables there were."""

    folds: int
    types: int
    whole: Judged | None
    groups: tuple[Judged, ...]

    @property
    def thoughts(self) -> list[str]:
        return thought_of(self.whole)


@dataclass(frozen=True)
class Method:
    """The levels of tubes, and of sets with what belongs to them, and the back test of both together."""

    currency: str
    on: date
    tubes: Levels
    sets: Levels
    tested: Tested

    @property
    def markets(self) -> list[tuple[str, Levels, int]]:
        """What it is of, its levels, and how many sales count; those of which there are any."""
        both = (("Tubes", self.tubes), ("Sets, plug-in units and books", self.sets))
        return [(title, one, count) for title, one in both if (count := int(one.fit.count.sum()))]


def method(currency: str, on: date) -> Method:
    """For the evidence of the house on a day, kept where that is today. Raises ValueError for no currency."""
    tubes, sets = (levels(currency, on, basis=FAIR_MARKET, sets=whole) for whole in (False, True))
    count = int(tubes.fit.count.sum() + sets.fit.count.sum())
    folds = FEWER if count > MANY else FOLDS
    tested = kept_by_question("back test", currency, on, lambda: _tested(currency, on, folds))
    return Method(currency, on, tubes, sets, tested)


def _tested(currency: str, on: date, folds: int) -> Tested:
    test = value_backtest(currency, on, folds=folds)
    told: dict[str, Any] = test.as_dict()
    return Tested(folds, told["n_types"], all_of(test), tuple(by_comparables(test)))
