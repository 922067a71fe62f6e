"""How the rows of this area stand in the archive, each after everything that it refers to."""

from inventory.house.archived import Spec
from inventory.valuation.models import Appraisal, AppraisalLine, PriceEvidence

SPECS = (
    Spec("price_evidence", PriceEvidence, then=("on", "pk")),
    Spec("appraisals", Appraisal, numbered=True),
    Spec("appraisal_lines", AppraisalLine, ("appraisal", "tag"), then=("appraisal_id", "pk")),
)
