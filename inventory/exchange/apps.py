"""The area as Django knows it."""

from django.apps import AppConfig


class ExchangeConfig(AppConfig):
    name = "inventory.exchange"
    label = "exchange"
    verbose_name = "Lists in, everything out"
