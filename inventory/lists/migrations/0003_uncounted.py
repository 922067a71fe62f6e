"""What rows that wait to be counted are of; those from before are named by the next step."""

from django.db import migrations, models

from inventory.lists.migrations._from_exchange import AddFieldOnce


class Migration(migrations.Migration):
    dependencies = [("lists", "0002_rows_alike")]

    operations = [
        AddFieldOnce(
            model_name="importrow",
            name="uncounted",
            field=models.CharField(blank=True, db_index=True, default="", editable=False, max_length=80),
        ),
    ]
