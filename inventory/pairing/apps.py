"""The area as Django knows it."""

from django.apps import AppConfig


class PairingConfig(AppConfig):
    name = "inventory.pairing"
    label = "pairing"
    verbose_name = "Pairing"

    def ready(self) -> None:
        from inventory.house.concerns import register_mates, register_upset
        from inventory.pairing.queries import mates_of_many
        from inventory.pairing.queries.upset import pairs_undone

        register_mates(mates_of_many)
        register_upset(pairs_undone)
