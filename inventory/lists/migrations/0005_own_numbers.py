"""Numbers that things had in lists taken in earlier stand beside their other facts, so that they are found by them.

They are told when everything is migrated: see ``bring_up_to_date`` in ``inventory/lists/actions/before_now.py``.
"""

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [
        ("lists", "0004_name_uncounted"),
        ("holdings", "0010_own_numbers"),
    ]

    operations = []
