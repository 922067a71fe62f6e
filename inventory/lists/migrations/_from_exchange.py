"""Tables that the area's forerunner ``exchange`` made are taken over with their rows instead of made anew.

An old database may have come to any of the forerunner's three migrations; each step below looks whether its part is
there already. Permissions stay with whom they were given to, since they hang on the content types, which are renamed.
"""

from django.db import migrations
from django.db.migrations.recorder import MigrationRecorder

OLD, NEW = "exchange", "lists"


def tables(schema_editor):
    with schema_editor.connection.cursor() as cursor:
        return set(schema_editor.connection.introspection.table_names(cursor))


def columns(schema_editor, table):
    with schema_editor.connection.cursor() as cursor:
        described = schema_editor.connection.introspection.get_table_description(cursor, table)
    return {column.name for column in described}


def constraints(schema_editor, table):
    with schema_editor.connection.cursor() as cursor:
        return set(schema_editor.connection.introspection.get_constraints(cursor, table))


def take_names(apps, schema_editor):
    """The content types get the new label; the forerunner's migrations are remembered no more."""
    using = schema_editor.connection.alias
    kinds = apps.get_model("contenttypes", "ContentType").objects.using(using)
    taken = kinds.filter(app_label=NEW).values_list("model", flat=True)
    kinds.filter(app_label=OLD).exclude(model__in=list(taken)).update(app_label=NEW)
    MigrationRecorder(schema_editor.connection).migration_qs.filter(app=OLD).delete()


class TakeOrMake(migrations.CreateModel):
    """The forerunner's table under its new name, else a new table."""

    def database_forwards(self, app_label, schema_editor, from_state, to_state):
        old = f"{OLD}_{self.name.lower()}"
        if old not in tables(schema_editor):
            return super().database_forwards(app_label, schema_editor, from_state, to_state)
        model = to_state.apps.get_model(app_label, self.name)
        schema_editor.alter_db_table(model, old, model._meta.db_table)


class AddFieldOnce(migrations.AddField):
    """A column, unless it came with a table of the forerunner."""

    def database_forwards(self, app_label, schema_editor, from_state, to_state):
        model = to_state.apps.get_model(app_label, self.model_name)
        if model._meta.get_field(self.name).column not in columns(schema_editor, model._meta.db_table):
            super().database_forwards(app_label, schema_editor, from_state, to_state)


class AddConstraintOnce(migrations.AddConstraint):
    """A constraint, unless it came with a table of the forerunner."""

    def database_forwards(self, app_label, schema_editor, from_state, to_state):
        model = to_state.apps.get_model(app_label, self.model_name)
        if self.constraint.name not in constraints(schema_editor, model._meta.db_table):
            super().database_forwards(app_label, schema_editor, from_state, to_state)
