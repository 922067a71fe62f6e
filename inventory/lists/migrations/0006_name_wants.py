"""Remarks of lists taken in earlier that say a want get the code by which it is known now."""

from django.db import migrations
from django.db.models import TextField
from django.db.models.functions import Cast

AT_ONCE = 500
SAID_THEN = "a want, not a thing owned"  # how such a remark ended when its words were all there was
WANT = "want"


def fill(apps, schema_editor):
    rows = apps.get_model("lists", "ImportRow").objects
    said = rows.annotate(told=Cast("remarks", TextField())).filter(told__contains=f'{SAID_THEN}"').order_by("pk")
    last = 0
    while batch := list(said.filter(pk__gt=last).defer("cells", "question")[:AT_ONCE]):
        last = batch[-1].pk
        waiting = [row for row in batch if any(map(without_code, row.remarks))]
        for row in waiting:
            row.remarks = [{**one, "code": WANT} if without_code(one) else one for one in row.remarks]
        rows.bulk_update(waiting, ["remarks"])


def without_code(remark):
    return not remark.get("code") and str(remark.get("reason", "")).endswith(SAID_THEN)


class Migration(migrations.Migration):
    dependencies = [("lists", "0005_own_numbers")]

    operations = [migrations.RunPython(fill, migrations.RunPython.noop, elidable=True)]
