from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('restoration', '0002_findings_and_report'),
    ]

    operations = [
        migrations.AddField(
            model_name=model,
            name=name,
            field=models.FloatField(blank=True, editable=False, null=True, verbose_name=words),
        )
        for model in ('finding', 'historicalfinding')
        for name, words in (('least', 'limit from'), ('most', 'limit to'))
    ]
