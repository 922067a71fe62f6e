"""What is owned and where it is. Lower files know nothing of higher ones: register, then parts, papers, counts."""

from inventory.holdings.models.conditions import ConditionCheck
from inventory.holdings.models.counts import BoxPrint, StockTake, StockTakeLine
from inventory.holdings.models.facts import Fact
from inventory.holdings.models.hazard_checks import HazardCheck
from inventory.holdings.models.kept_views import KeptView
from inventory.holdings.models.loans import Loan
from inventory.holdings.models.papers import HazardMark, Paper
from inventory.holdings.models.parts import PartLot, PartType
from inventory.holdings.models.register import Item, Movement, Place, TagSeries, ThingRow, Tube
from inventory.holdings.models.wants import Want

__all__ = [
    "BoxPrint",
    "ConditionCheck",
    "Fact",
    "HazardCheck",
    "HazardMark",
    "Item",
    "KeptView",
    "Loan",
    "Movement",
    "Paper",
    "PartLot",
    "PartType",
    "Place",
    "StockTake",
    "StockTakeLine",
    "TagSeries",
    "ThingRow",
    "Tube",
    "Want",
]
