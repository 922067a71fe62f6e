"""Choices of rows that wait, in archives of before: their keys were numbers of a house or of a position, and say names
now.
"""

from typing import Any

from django.db import transaction

from inventory.lists.actions.register import MODEL
from inventory.lists.actions.types import CHOSEN, SAID
from inventory.lists.models import ImportRow

AT_ONCE = 500
_BEFORE = {"set": MODEL, "mark": SAID}  # what a question is about: how its keys begin now


@transaction.atomic
def name_choices() -> int:
    """Give choices of before the keys of now, by the words that a keeper reads. Returns how many rows had such.

    An answer given by number, with more asked behind it, is taken back and asked for again, but for tubes to count:
    what it came to stands beside it.
    """
    waiting = ImportRow.objects.filter(answered_at=None, question__has_key="about").only("pk", "question")
    named, last = 0, 0
    while batch := list(waiting.filter(pk__gt=last).order_by("pk")[:AT_ONCE]):
        last = batch[-1].pk
        changed = []
        for row in batch:
            if (question := _named(row.question)) != row.question:
                row.question = question
                changed.append(row)
        ImportRow.objects.bulk_update(changed, ["question"])
        named += len(changed)
    return named


def _named(question: dict[str, Any]) -> dict[str, Any]:
    """A question with names for keys; the same where it has them."""
    about, choices, answers = (question.get(name) for name in ("about", "choices", "answers"))
    question = dict(question)
    if about in _BEFORE and choices:
        question["choices"] = [
            {**one, "key": _BEFORE[about] + one["words"]} if one["key"].isdecimal() else one for one in choices
        ]
    if answers:
        kept = {key: text for key, text in answers.items() if not (key in _BEFORE and text.isdecimal())}
        if "mark" in answers and "mark" not in kept and question.get("type"):
            kept["mark"] = f"{CHOSEN}{question['type']}"
        question["answers"] = kept
    return question
