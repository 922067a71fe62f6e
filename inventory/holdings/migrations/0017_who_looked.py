"""Who confirmed a hazard or looked for it in vain, of marks written before that was a column."""

from django.conf import settings
from django.db import migrations


def name_who_looked(apps, schema_editor):
    """Marks of before say by their history who wrote them last."""
    HazardMark = apps.get_model("holdings", "HazardMark")
    History = apps.get_model("holdings", "HistoricalHazardMark")
    last = {}
    rows = History.objects.exclude(history_user=None).order_by("history_date", "history_id")
    for key, first, second, name in rows.values_list(
        "id", "history_user__first_name", "history_user__last_name", "history_user__username"
    ).iterator():
        last[key] = (" ".join(filter(None, (first, second))) or name)[:80]
    for mark in list(HazardMark.objects.exclude(standing="proposed")):
        if mark.pk in last:
            mark.by_whom = last[mark.pk]
            mark.save(update_fields=["by_whom"])


class Migration(migrations.Migration):
    dependencies = [
        ("holdings", "0016_hazard_checks"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [migrations.RunPython(name_who_looked, migrations.RunPython.noop, elidable=True)]
