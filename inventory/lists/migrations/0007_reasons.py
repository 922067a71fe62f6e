"""What the history of a list's things says of why stands on the list itself: its number is another in another house.

Lists taken in earlier take it from the history of a thing that they made; it may name the number of the house that the
collection came from.
"""

from django.db import migrations, models


def fill(apps, schema_editor):
    runs, made = apps.get_model("lists", "ImportRun").objects, apps.get_model("lists", "ImportMade").objects
    items = apps.get_model("holdings", "HistoricalItem").objects.filter(history_type="+")
    for run in runs.filter(state="written", reason=""):
        item = made.filter(row__run=run).order_by("pk").values_list("item_id", flat=True).first()
        said = items.filter(id=item).values_list("history_change_reason", flat=True).first() if item else ""
        runs.filter(pk=run.pk).update(reason=(said or f"taken in with list {run.pk}")[:100])


class Migration(migrations.Migration):
    dependencies = [("lists", "0006_name_wants"), ("holdings", "0010_own_numbers")]

    operations = [
        migrations.AddField(
            model_name="importrun",
            name="reason",
            field=models.CharField(blank=True, default="", editable=False, max_length=100),
        ),
        migrations.RunPython(fill, migrations.RunPython.noop, elidable=True),
    ]
