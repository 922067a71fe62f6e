"""What rows that wait to be counted are of; those from before are named by ``actions.uncounted`` after migrating."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("exchange", "0002_rows_alike")]

    operations = [
        migrations.AddField(
            model_name="importrow",
            name="uncounted",
            field=models.CharField(blank=True, db_index=True, default="", editable=False, max_length=80),
        ),
    ]
