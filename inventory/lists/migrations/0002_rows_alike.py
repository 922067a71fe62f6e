from django.db import migrations, models

from inventory.lists.migrations._digest_of_rows import column_keys, row_digest
from inventory.lists.migrations._from_exchange import AddFieldOnce

AT_ONCE = 500
STANDING = ("written", "written with a remark", "held")


def fill(apps, schema_editor):
    """Rows of lists that came in before get their digests, so that such a list is known again when it has grown."""
    runs = apps.get_model("lists", "ImportRun").objects.filter(state="written")
    rows = apps.get_model("lists", "ImportRow").objects
    for run in runs.iterator():
        keys = column_keys(run.heading, len(run.columns))
        last = 0
        while batch := list(rows.filter(run=run, digest="", outcome__in=STANDING, pk__gt=last).order_by("pk")[:AT_ONCE]):
            last = batch[-1].pk
            for row in batch:
                cells = row.cells["cells"] if isinstance(row.cells, dict) else row.cells
                row.digest = row_digest(keys, ["" if cell is None else str(cell) for cell in cells])
            rows.bulk_update(batch, ["digest"])


class Migration(migrations.Migration):

    dependencies = [
        ("lists", "0001_initial"),
    ]

    operations = [
        AddFieldOnce(
            model_name="importrow",
            name="digest",
            field=models.CharField(blank=True, db_index=True, default="", editable=False, max_length=32),
        ),
        migrations.RunPython(fill, migrations.RunPython.noop, elidable=True),
    ]
