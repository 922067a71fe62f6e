"""Rows that wait to be counted name what they are of; those of lists that came in before are named by their cells."""

from django.db import migrations, models


def name_rows(apps, schema_editor):
    rows = apps.get_model("exchange", "ImportRow").objects
    waiting = rows.filter(question__about="count", answered_at__isnull=True, run__state="written")
    for row in waiting.select_related("run").iterator(chunk_size=500):
        cells = row.cells["cells"] if isinstance(row.cells, dict) else row.cells
        columns = row.run.columns
        fields = [columns.get(heading, "") for heading in row.run.heading]
        named = {field: " ".join(cell.split()) for field, cell in zip(fields, cells, strict=False) if cell.strip()}
        mark = named.get("mark") or named.get("model") or "not named"
        made = row.made.select_related("item__tube__type").first()
        kind = made.item.tube.type if made and hasattr(made.item, "tube") else None
        row.uncounted = (kind.name if kind else mark)[:80]
        row.question = {**row.question, "mark": mark, "type": kind.name if kind else "", "place": named.get("place", "")}
        row.save(update_fields=["uncounted", "question"])


class Migration(migrations.Migration):
    dependencies = [("exchange", "0002_rows_alike"), ("holdings", "0006_not_found")]

    operations = [
        migrations.AddField(
            model_name="importrow",
            name="uncounted",
            field=models.CharField(blank=True, db_index=True, default="", editable=False, max_length=80),
        ),
        migrations.RunPython(name_rows, migrations.RunPython.noop),
    ]
