"""The area as Django knows it."""

from django.apps import AppConfig


class ValuationConfig(AppConfig):
    name = "inventory.valuation"
    label = "valuation"
    verbose_name = "Valuation"
