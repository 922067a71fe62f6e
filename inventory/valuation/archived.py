"""How the rows of this area stand in the archive."""

from inventory.house.archived import Spec
from inventory.valuation.models import PriceEvidence

SPECS = (Spec("price_evidence", PriceEvidence, then=("on", "pk")),)
