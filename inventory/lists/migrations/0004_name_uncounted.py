"""Rows that wait to be counted, from before the column was there, are named when everything is migrated.

What they are of is read from stamps, which takes all of what the program knows of tubes, as its tables are at the end
and not as they were at this step: see ``when_migrated`` in ``inventory/lists/actions/uncounted.py``.
"""

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [
        ("lists", "0003_uncounted"),
        ("holdings", "0007_line_of_a_stock_take"),
        ("tubes", "0003_limits_and_basings"),
    ]

    operations = []
