"""The page of what one thing is worth."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from inventory.house.access import may_see_money, needs
from inventory.valuation.forms import EstimateForm
from inventory.valuation.queries.estimates import estimate
from inventory.valuation.queries.going import keepers_currency
from inventory.valuation.wording.charts import evidence_chart
from inventory.valuation.wording.estimates import MARKET_ALONE, in_words
from inventory.valuation.wording.far_sales import far_sales, far_words

MOST = 100  # rows of each sort on the page; the command tells all


@needs("view", "valuation.priceevidence")
def estimate_page(request: HttpRequest) -> HttpResponse:
    """What a type, set model or mark is worth on the evidence, with every row that it rests on."""
    form = EstimateForm(request.GET or None)
    context: dict[str, Any] = {"form": form, "most": MOST}
    if form.is_bound and form.is_valid():
        try:
            asked = form.asked(timezone.localdate(), keepers_currency())
            found = estimate(form.cleaned_data["of"], **asked, own=may_see_money(request.user))
        except ValueError as refusal:
            form.add_error("of", str(refusal))
        else:
            latest = sorted(found.comparables, key=lambda one: one.day, reverse=True)
            first, *more = in_words(found)
            more += [] if may_see_money(request.user) else [MARKET_ALONE]
            far = far_sales(found)
            more += [far_words(far)] if far else []
            context |= {
                "far": [one.brought.sale.name for one in far],
                "found": found, "first": first, "more": more, "chart": evidence_chart(found), "evidence": latest[:MOST],
                "left_out": found.left_out[:MOST],
            }  # fmt: skip
    return render(request, "valuation/estimate.html", context, status=422 if form.errors else 200)
