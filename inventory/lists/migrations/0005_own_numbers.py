"""Numbers that things had in lists taken in earlier stand beside their other facts, so that they are found by them.

The number of a row that made several things is told as the row's, for so many.
"""

from collections import Counter

from django.db import migrations

AT_ONCE = 500


def fill(apps, schema_editor):
    made, facts = apps.get_model("lists", "ImportMade").objects, apps.get_model("holdings", "Fact").objects
    rows = (
        made.filter(facts__number__isnull=False).order_by("pk").values_list("row_id", "item_id", "item__tag", "facts")
    )
    waiting = [(row, item, said["number"]) for row, item, tag, said in rows if own(said["number"], tag)]
    if not waiting:
        return
    told = set(facts.filter(about="number").values_list("item_id", flat=True))
    things = Counter(made.filter(row_id__in={row for row, _, _ in waiting}).values_list("row_id", flat=True))
    new = [
        facts.model(
            item_id=item, about="number", text=number, from_list=True,
            **({"per": "row", "of_count": things[row]} if things[row] > 1 else {}),
        )
        for row, item, number in waiting if item not in told
    ]  # fmt: skip
    facts.bulk_create(new, batch_size=AT_ONCE)


def own(number, tag):
    return isinstance(number, str) and bool(number.strip()) and number.strip().upper() != tag


class Migration(migrations.Migration):
    dependencies = [
        ("lists", "0004_name_uncounted"),
        ("holdings", "0010_own_numbers"),
    ]

    operations = [migrations.RunPython(fill, migrations.RunPython.noop, elidable=True)]
