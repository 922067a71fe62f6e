"""The area as Django knows it."""

from typing import Any

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class ListsConfig(AppConfig):
    name = "inventory.lists"
    label = "lists"
    verbose_name = "Lists in and out"

    def ready(self) -> None:
        post_migrate.connect(_when_migrated, sender=self, dispatch_uid="lists.before_now")


def _when_migrated(**told: Any) -> None:
    from inventory.lists.actions.uncounted import when_migrated  # all of the area, which not every command needs

    when_migrated(**told)
