"""The area as Django knows it."""

from django.apps import AppConfig


class PairingConfig(AppConfig):
    name = "inventory.pairing"
    label = "pairing"
    verbose_name = "Pairing"

    def ready(self) -> None:
        from inventory.house.concerns import register_mates
        from inventory.pairing.queries import mates_in_words

        register_mates(mates_in_words)
