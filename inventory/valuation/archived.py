"""How the rows of this area stand in the archive, each after everything that it refers to."""

from inventory.house.archived import Spec
from inventory.valuation.models import (
    Appraisal,
    AppraisalLine,
    Contact,
    LotSale,
    LotThing,
    PriceEvidence,
    Promise,
    SaleLot,
)

SPECS = (
    Spec("price_evidence", PriceEvidence, then=("on", "pk")),
    Spec("appraisals", Appraisal, numbered=True),
    Spec("promises", Promise, words=("item__tag",), then=("since", "pk")),
    Spec("sales", LotSale, ("name",), ("name",)),
    Spec("sale_lots", SaleLot, ("sale", "number"), ("sale__name",), then=("number",)),
    Spec("lot_things", LotThing, ("lot", "item"), ("lot__sale__name",), then=("lot__number", "pk")),
    Spec("contacts", Contact, words=("name",)),
    Spec("appraisal_lines", AppraisalLine, ("appraisal", "tag"), then=("appraisal_id", "pk")),
)
