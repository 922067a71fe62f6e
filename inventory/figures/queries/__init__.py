"""Questions about the collection as a whole."""

from dataclasses import dataclass
from datetime import date

from inventory.figures.queries.few import USUAL, Few, few_good
from inventory.figures.queries.money import Money, insured, spent
from inventory.figures.queries.tubes import Counted, counted_tubes
from inventory.figures.queries.years import TestsOf, growth_of_all, tests_by_year
from inventory.figures.rules.years import Growth
from inventory.holdings.models import Place

__all__ = ["USUAL", "Counted", "Few", "Figures", "Growth", "Money", "TestsOf", "figures"]


@dataclass(frozen=True)
class Figures:
    """The collection in figures on a day. ``few`` are the types with fewer than ``enough`` good tubes; ``within``: the
    place whose inside is told; ``spent`` and ``insured`` are None for whoever may not see money.
    """

    on: date
    tubes: tuple[Counted, ...]
    few: tuple[Few, ...]
    enough: int
    growth: Growth
    tests: tuple[TestsOf, ...]
    within: Place | None
    spent: Money | None
    insured: Money | None

    @property
    def all_tubes(self) -> int:
        return self.tubes[0].total


def figures(on: date, *, enough: int = USUAL, within: Place | None = None, money: bool = True) -> Figures:
    """All of it, in a fixed number of queries (and those of tube knowledge). Raises ValueError for an ``enough`` out of
    bounds.
    """
    return Figures(
        on, counted_tubes(within), few_good(enough), enough, growth_of_all(), tests_by_year(), within,
        spent() if money else None, insured(within) if money else None,
    )  # fmt: skip
