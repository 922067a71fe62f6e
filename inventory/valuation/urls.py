"""Addresses of the valuation area."""

from django.urls import path

from inventory.valuation import api
from inventory.valuation.views import evidence

urlpatterns = [
    path("prices/", evidence.prices, name="prices"),
    path("prices/note/", evidence.note, name="note"),
    path("prices/add/", evidence.evidence_add, name="evidence-add"),
    path("prices/<int:pk>/", evidence.evidence_change, name="evidence-change"),
    path("prices/<int:pk>/strike/", evidence.evidence_strike, name="evidence-strike"),
    path("api/prices", api.prices, name="api-prices"),
]

addresses = {"valuation": urlpatterns}
