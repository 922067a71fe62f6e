import django.db.models.deletion
from django.db import migrations, models


def fill(apps, schema_editor):
    """Findings at checks of weak parts and lines were kept by their words; from now on they name the row itself.

    What bears words by which nothing is called any more stays as it stands.
    """
    findings = apps.get_model("restoration", "Finding")
    parts = apps.get_model("restoration", "WeakPart")
    lines = apps.get_model("restoration", "Requirement")
    for row in findings.objects.filter(step__startswith="part ").select_related("chassis"):
        called = [
            part
            for part in parts.objects.filter(set_model=row.chassis.model_id).order_by("mark", "id")
            if f"part {part.mark} {part.words}".replace("  ", " ").strip()[:220] == row.step
        ]
        if called:
            findings.objects.filter(pk=row.pk).update(weak=called[0].pk)
    for row in findings.objects.filter(step__startswith="line "):
        own = lines.objects.filter(plan=row.plan_id, struck="", before_power=True, weak=None).order_by("pk")
        called = [
            line
            for line in own
            if line.chassis_id in (None, row.chassis_id) and f"line {line.words}"[:220] == row.step
        ]
        if called:
            findings.objects.filter(pk=row.pk).update(requirement=called[0].pk)


def key(model, constraint, on_delete):
    return models.ForeignKey(
        blank=True,
        db_constraint=constraint,
        editable=False,
        null=True,
        on_delete=on_delete,
        related_name="+",
        to=f"restoration.{model}",
    )


class Migration(migrations.Migration):

    dependencies = [
        ("restoration", "0003_limit_of_findings"),
    ]

    operations = [
        *(
            migrations.AddField(
                model_name="finding", name=name, field=key(model, True, django.db.models.deletion.SET_NULL)
            )
            for name, model in (("weak", "weakpart"), ("requirement", "requirement"))
        ),
        *(
            migrations.AddField(
                model_name="historicalfinding", name=name, field=key(model, False, django.db.models.deletion.DO_NOTHING)
            )
            for name, model in (("weak", "weakpart"), ("requirement", "requirement"))
        ),
        migrations.RunPython(fill, migrations.RunPython.noop),
    ]
