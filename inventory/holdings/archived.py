"""How the rows of this area stand in the archive, each after everything that it refers to."""

from inventory.holdings.models import (
    BoxPrint,
    ConditionCheck,
    Fact,
    HazardCheck,
    HazardMark,
    Item,
    KeptView,
    Loan,
    Movement,
    Paper,
    PartLot,
    PartType,
    Place,
    StockTake,
    StockTakeLine,
    TagSeries,
    Tube,
    Want,
)
from inventory.house.archived import Spec

SPECS = (
    Spec("places", Place, ("path",), ("path",)),
    Spec("tag_series", TagSeries, ("prefix",), ("prefix",)),
    Spec("items", Item, ("tag",), ("tag",)),
    Spec("tubes", Tube, ("item",), ("item__tag",)),
    Spec("part_types", PartType, numbered=True),
    Spec("part_lots", PartLot, ("item",), ("item__tag",)),
    Spec("movements", Movement),  # in the order of entry, which tells of two moves which one counts
    Spec("hazards", HazardMark, ("item", "hazard"), ("item__tag", "hazard")),
    Spec("hazard_checks", HazardCheck, then=("on", "pk")),
    Spec("conditions", ConditionCheck, words=("item__tag",), then=("on", "pk")),
    Spec("facts", Fact, words=("item__tag",)),
    Spec("loans", Loan, words=("item__tag",), then=("since", "pk")),
    Spec("wants", Want, words=("thing",)),
    Spec("papers", Paper, ("item", "digest"), ("item__tag",)),
    Spec("stock_takes", StockTake, numbered=True),
    Spec("stock_take_lines", StockTakeLine, ("stock_take", "item"), then=("stock_take_id", "pk")),
    Spec("kept_views", KeptView, words=("of_list", "name")),
    Spec("box_prints", BoxPrint, ("place",), ("place__path",)),
)  # fmt: skip
