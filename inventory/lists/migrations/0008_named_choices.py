"""Choices of waiting rows get keys that say what they mean, in place of numbers of this database or of a position.

What a choice says was read by the keeper, so its words are what the key says. An answer that was given by number, with
more asked behind it, is asked for again, but for tubes to count: what it came to stands beside it.
"""

from django.db import migrations

AT_ONCE = 500
BEFORE = {"set": "model:", "mark": "said:"}  # what a question is about: how its keys begin now


def fill(apps, schema_editor):
    rows = apps.get_model("lists", "ImportRow").objects
    waiting = rows.filter(answered_at=None, question__has_key="about").only("pk", "question").order_by("pk")
    last = 0
    while batch := list(waiting.filter(pk__gt=last)[:AT_ONCE]):
        last = batch[-1].pk
        changed = []
        for row in batch:
            question = named(row.question)
            if question != row.question:
                row.question = question
                changed.append(row)
        rows.bulk_update(changed, ["question"])


def named(question):
    about, choices, answers = (question.get(name) for name in ("about", "choices", "answers"))
    question = dict(question)
    if about in BEFORE and choices:
        question["choices"] = [
            {**one, "key": BEFORE[about] + one["words"]} if one["key"].isdecimal() else one for one in choices
        ]
    if answers:
        kept = {key: text for key, text in answers.items() if not (key in BEFORE and text.isdecimal())}
        if "mark" in answers and "mark" not in kept and question.get("type"):
            kept["mark"] = f"type:{question['type']}"
        question["answers"] = kept
    return question


class Migration(migrations.Migration):
    dependencies = [("lists", "0007_reasons")]

    operations = [migrations.RunPython(fill, migrations.RunPython.noop, elidable=True)]
