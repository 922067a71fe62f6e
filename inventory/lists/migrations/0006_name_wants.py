"""Remarks of lists taken in earlier that say a want get the code by which it is known now."""

from django.db import migrations

from inventory.lists.actions.wants import name_wants


def fill(apps, schema_editor):
    name_wants(apps)


class Migration(migrations.Migration):
    dependencies = [("lists", "0005_own_numbers")]

    operations = [migrations.RunPython(fill, migrations.RunPython.noop, elidable=True)]
