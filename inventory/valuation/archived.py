"""How the rows of this area stand in the archive, each after everything that it refers to."""

from inventory.house.archived import Spec
from inventory.valuation.models import Appraisal, AppraisalLine, Contact, PriceEvidence, Promise

SPECS = (
    Spec("price_evidence", PriceEvidence, then=("on", "pk")),
    Spec("appraisals", Appraisal, numbered=True),
    Spec("promises", Promise, words=("item__tag",), then=("since", "pk")),
    Spec("contacts", Contact, words=("name",)),
    Spec("appraisal_lines", AppraisalLine, ("appraisal", "tag"), then=("appraisal_id", "pk")),
)
