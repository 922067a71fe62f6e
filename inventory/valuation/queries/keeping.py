"""Levels of all evidence, kept by this process between requests until a row changes that they rest on, or the day.

What they rest on: price evidence, what was paid and how things left, the things themselves, their models, and what is
known of tubes (``states``); rates and the price level come with the program.
"""

from collections.abc import Callable
from datetime import date
from typing import Any, TypeVar

from django.utils import timezone

from inventory.holdings.models import Fact, Item, Tube
from inventory.pairing.models import Companion, CompanionKind
from inventory.sets.models import Chassis, PlugInUnit, SetModel, UnitModel
from inventory.valuation.models import PriceEvidence
from inventory.valuation.queries.pricing import Levels, priced
from inventory.valuation.queries.states import state_of_rows
from tubes.queries.keeping import kept

RESTS_ON: tuple[Any, ...] = (
    PriceEvidence, Fact, Item, Tube, Chassis, PlugInUnit, Companion, CompanionKind, SetModel, UnitModel
)  # fmt: skip

Built = TypeVar("Built")
QUESTIONS = 12  # answers of each name that are kept, the oldest giving way


def levels(
    currency: str, on: date, *, basis: str, real: bool = False, sets: bool = False, own: bool = True
) -> Levels:  # fmt: skip
    """Levels of tubes, or of ``sets`` and what belongs to them: kept where they are of today (one query if they are).

    ``own``: as in ``priced``. Raises ValueError for a code that is no currency.
    """
    if on != timezone.localdate():
        return priced(currency, on, basis=basis, real=real, sets=sets, own=own)

    def build() -> Levels:
        return priced(currency, on, basis=basis, real=real, sets=sets, own=own).levels()

    return kept_by_question("levels", (currency, basis, real, sets, own), on, build)


def kept_by_question(name: str, asked: Any, on: date, build: Callable[[], Built]) -> Built:
    """What the evidence of a day answers, kept for the ``QUESTIONS`` last asked: whoever asks in every currency of
    the world fills no memory. Answers of one name are found one after the other."""

    def state() -> tuple[Any, ...] | None:
        found = state_of_evidence(on)
        return None if found is None else (asked, *found)

    return kept(name, build, state, most=QUESTIONS)


def state_of_evidence(on: date) -> tuple[Any, ...] | None:
    """What is another one as soon as anything changes that levels of a day rest on; None before tubes are known."""
    state = state_of_rows(RESTS_ON)
    return None if state is None else (on, *state)
