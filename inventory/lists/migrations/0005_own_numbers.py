"""Numbers that things had in lists taken in earlier stand beside their other facts, so that they are found by them."""

from django.db import migrations

from inventory.lists.actions.own_numbers import tell_own_numbers


def fill(apps, schema_editor):
    tell_own_numbers(apps)


class Migration(migrations.Migration):
    dependencies = [
        ("lists", "0004_name_uncounted"),
        ("holdings", "0010_own_numbers"),
    ]

    operations = [migrations.RunPython(fill, migrations.RunPython.noop, elidable=True)]
