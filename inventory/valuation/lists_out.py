"""Price evidence as it is taken out, with the columns by which it is taken in."""

from inventory.house.lists_out import ListOut
from inventory.valuation.filters import EvidenceFilter
from inventory.valuation.models import PriceEvidence

LISTS = (
    ListOut(
        "prices", "Prices", "valuation.priceevidence",
        (
            ("date", "on"), ("designation", "designation"), ("grade", "grade"), ("kind", "kind"), ("venue", "venue"),
            ("currency", "currency"), ("amount", "amount"), ("quantity", "quantity"), ("premium_pct", "premium_pct"),
            ("source", "source"), ("note", "note"), ("postage", "postage"), ("arms_length", "arms_length"),
            ("type", "type__name"), ("set model", "set_model__name"),
            ("plug-in unit", "unit_model__name"), ("companion", "companion_kind__name"),
            ("companion of", "companion_kind__set_model__name"), ("by whom", "by_whom"),
            ("struck out because", "struck"),
        ),
        here=PriceEvidence.objects.all, every=PriceEvidence.objects.all, words=("designation",), order=90,
        narrow=EvidenceFilter,
    ),
)  # fmt: skip
