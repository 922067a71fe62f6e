"""The area as Django knows it."""

from django.apps import AppConfig


class HoldingsConfig(AppConfig):
    name = "inventory.holdings"
    label = "holdings"
    verbose_name = "Holdings"
