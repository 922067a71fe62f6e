"""The area as Django knows it."""

from typing import Any

from django.apps import AppConfig
from django.conf import settings
from django.db.models.signals import post_migrate, pre_delete


class HoldingsConfig(AppConfig):
    name = "inventory.holdings"
    label = "holdings"
    verbose_name = "Holdings"

    def ready(self) -> None:
        post_migrate.connect(_when_migrated, sender=self, dispatch_uid="holdings.kinds_of_parts")
        pre_delete.connect(_account_goes, sender=settings.AUTH_USER_MODEL, dispatch_uid="holdings.kept_views")


def _when_migrated(**told: Any) -> None:
    from inventory.holdings.actions.parts import when_migrated  # all of the area, which not every command needs

    when_migrated(**told)


def _account_goes(**told: Any) -> None:
    from inventory.holdings.actions.kept_views import drop_own_views

    drop_own_views(**told)
