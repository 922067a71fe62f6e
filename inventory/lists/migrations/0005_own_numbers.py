"""Numbers that things had in lists taken in earlier stand beside their other facts, so that they are found by them."""

from django.db import migrations

AT_ONCE = 500


def fill(apps, schema_editor):
    made, fact = apps.get_model("lists", "ImportMade"), apps.get_model("holdings", "Fact")
    rows = made.objects.filter(facts__number__isnull=False).order_by("pk").values_list("item_id", "item__tag", "facts")
    numbered = [
        fact(item_id=item, about="number", text=facts["number"], from_list=True)
        for item, tag, facts in rows.iterator(chunk_size=AT_ONCE)
        if facts["number"] and facts["number"].strip().upper() != tag
    ]
    fact.objects.bulk_create(numbered, batch_size=AT_ONCE)


class Migration(migrations.Migration):
    dependencies = [
        ("lists", "0004_name_uncounted"),
        ("holdings", "0010_own_numbers"),
    ]

    operations = [migrations.RunPython(fill, migrations.RunPython.noop, elidable=True)]
