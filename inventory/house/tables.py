"""The tables of a database: an empty one gets them at once, where migrating makes every earlier shape first."""

from django.apps import apps
from django.core.management import call_command
from django.db import connection
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder


def bring_up_to_date() -> None:
    """As ``migrate``; an empty database gets its tables as the models say, which is ten times as quick.

    A test holds both ways together (``tests/house/test_tables.py``); every migration stands as done afterwards.
    """
    if not connection.introspection.table_names():
        names = MigrationLoader(connection).disk_migrations
        row = MigrationRecorder(connection).Migration
        # One step: tables without the record of their migrations would stand in the way of the next start.
        with connection.schema_editor() as editor:
            editor.create_model(row)
            for model in apps.get_models():
                if model._meta.can_migrate(connection):
                    editor.create_model(model)
            row.objects.using(connection.alias).bulk_create(row(app=app, name=name) for app, name in names)
    call_command("migrate", verbosity=0)
