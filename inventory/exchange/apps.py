"""The area as Django knows it."""

from typing import Any

from django.apps import AppConfig
from django.db import connections
from django.db.models.signals import post_migrate


def _after_migrating(using: str = "default", **_more: Any) -> None:
    """Rows from before a column was there are named once the tables of types can be asked."""
    from inventory.exchange.actions.uncounted import name_uncounted
    from inventory.exchange.models import ImportRow

    with connections[using].cursor() as cursor:
        table = ImportRow._meta.db_table
        there = table in connections[using].introspection.table_names(cursor) and {
            column.name for column in connections[using].introspection.get_table_description(cursor, table)
        }
    if there and "uncounted" in there:  # a database brought to an older version has no such column
        name_uncounted()


class ExchangeConfig(AppConfig):
    name = "inventory.exchange"
    label = "exchange"
    verbose_name = "Lists in, everything out"

    def ready(self) -> None:
        post_migrate.connect(_after_migrating, sender=self)
