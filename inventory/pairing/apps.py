"""The area as Django knows it."""

from django.apps import AppConfig


class PairingConfig(AppConfig):
    name = "inventory.pairing"
    label = "pairing"
    verbose_name = "Pairing"
