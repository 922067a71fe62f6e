"""What every area stands on: people and roles, keeping history, words on pages, commands."""

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class HouseConfig(AppConfig):
    name = "inventory.house"
    label = "house"

    def ready(self) -> None:
        from inventory.house import checks  # noqa: F401 - registers the settings checks
        from inventory.house.access import lay_out_roles

        post_migrate.connect(lay_out_roles, dispatch_uid="house.roles")
