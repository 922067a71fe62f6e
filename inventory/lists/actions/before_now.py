"""Rows of lists from before say what they were not asked for then: after migrating, and after an archive came in."""

from typing import Any

from django.db import DEFAULT_DB_ALIAS, connections
from django.db.migrations.executor import MigrationExecutor

from inventory.lists.actions.own_numbers import tell_own_numbers
from inventory.lists.actions.uncounted import name_uncounted


def bring_up_to_date() -> None:
    """Name the rows that wait to be counted and tell the numbers of things; where all is said, two queries."""
    name_uncounted()
    tell_own_numbers()


def when_migrated(using: str = DEFAULT_DB_ALIAS, plan: Any = None, **kwargs: Any) -> None:
    """``bring_up_to_date`` once the tables are those of this program: not halfway, and not when they were emptied."""
    if plan is None or using != DEFAULT_DB_ALIAS:
        return
    executor = MigrationExecutor(connections[using])
    if not executor.migration_plan(executor.loader.graph.leaf_nodes()):
        bring_up_to_date()
