"""The top price of a want, taken over from the estimate."""

from datetime import date
from typing import Any

from django.db import transaction

from inventory.holdings.actions import save_want
from inventory.holdings.models import Want
from inventory.house.writing import refuse
from inventory.valuation.queries.going import top_prices
from inventory.valuation.rules.goes_for import NO_EVIDENCE


@transaction.atomic
def take_top_price(want: Want, shown: str, *, today: date, by: Any) -> Want:
    """Write what the estimate makes of a want as its top price. ``shown``: the figure that was on the page.

    Refused where there is none, or where it is another one by now.
    """
    fresh = Want.objects.select_for_update(of=("self",)).get(pk=want.pk)
    top = top_prices([fresh], today).get(fresh.pk)
    if top is None:
        raise refuse("top_price", f"{fresh}: {NO_EVIDENCE}.")
    if shown != top.price.figure:
        raise refuse("top_price", f"{fresh}: by now the estimate gives {top.price}; press again to take that.")
    fresh.top_price, fresh.currency = top.price.amount, top.price.currency
    return save_want(fresh, today=today, by=by, reason=f"top price by the estimate: {top.reason}"[:100])
