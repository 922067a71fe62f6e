"""The area as Django knows it."""

from typing import Any

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class HoldingsConfig(AppConfig):
    name = "inventory.holdings"
    label = "holdings"
    verbose_name = "Holdings"

    def ready(self) -> None:
        post_migrate.connect(_when_migrated, sender=self, dispatch_uid="holdings.kinds_of_parts")


def _when_migrated(**told: Any) -> None:
    from inventory.holdings.actions.parts import when_migrated  # all of the area, which not every command needs

    when_migrated(**told)
