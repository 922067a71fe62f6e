"""What every area stands on: people and roles, keeping history, words on pages, commands."""

from django.apps import AppConfig
from django.core.validators import MaxLengthValidator
from django.db.models.signals import post_migrate

TOO_LONG = "%(show_value)d characters, and at most %(limit_value)d fit: shorten it."


class HouseConfig(AppConfig):
    name = "inventory.house"
    label = "house"

    def ready(self) -> None:
        from inventory.house import checks  # noqa: F401 - registers the settings checks
        from inventory.house.access import lay_out_roles

        MaxLengthValidator.message = TOO_LONG  # names what was found; Django's own names the bound alone
        post_migrate.connect(lay_out_roles, dispatch_uid="house.roles")
