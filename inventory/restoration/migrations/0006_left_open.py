from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ("restoration", "0005_lines_at_hand"),
    ]

    operations = [
        migrations.AddField(
            model_name=model,
            name="left_open",
            field=models.TextField(
                blank=True,
                default="",
                editable=False,
                help_text="Its lines then; empty: not written down.",
                verbose_name="left open when it was finished",
            ),
            preserve_default=False,
        )
        for model in ("plan", "historicalplan")
    ]
