"""The page of how estimates are made."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from inventory.house.access import needs
from inventory.valuation.queries.going import keepers_currency
from inventory.valuation.queries.method import method
from inventory.valuation.queries.money import money_sources
from inventory.valuation.rules.bases import BASES
from inventory.valuation.wording.method import LEFT_OUT, MADE, backtest_chart


@needs("view", "valuation.priceevidence")
def method_page(request: HttpRequest) -> HttpResponse:
    """How an estimate is made, what the evidence here makes of it, and how well it does on sales it has not seen."""
    found = method(keepers_currency(), timezone.localdate())
    context = {
        "found": found, "chart": backtest_chart(found), "bases": BASES.values(), "made": MADE, "left_out": LEFT_OUT,
        "money_sources": money_sources(),
    }  # fmt: skip
    return render(request, "valuation/method.html", context)
