"""Rows that wait to be counted, from before the column was there, are named by what their cells bear."""

from django.db import migrations

from inventory.lists.actions.uncounted import name_uncounted


def fill(apps, schema_editor):
    name_uncounted(apps)


class Migration(migrations.Migration):
    dependencies = [
        ("lists", "0003_uncounted"),
        ("holdings", "0007_line_of_a_stock_take"),
        ("tubes", "0003_limits_and_basings"),
    ]

    operations = [migrations.RunPython(fill, migrations.RunPython.noop, elidable=True)]
