"""Held rows answered while their list is on trial, many alike at once. Nothing goes into the register: the answers are
kept with the rows, and the list is written with them.
"""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django.db import transaction

from inventory.house.writing import refuse
from inventory.lists.actions.again import Again
from inventory.lists.actions.answers import answer_given, asks_another, recount
from inventory.lists.actions.on_trial import locked_trial
from inventory.lists.actions.read import AT_ONCE
from inventory.lists.actions.write import remark_dicts, uncounted_in
from inventory.lists.models import ImportRow, ImportRun
from inventory.lists.rules.rows import HELD

FIELDS = ["outcome", "question", "remarks", "understood", "answers", "uncounted"]


@transaction.atomic
def answer_on_trial(
    row: ImportRow, key: str, *, today: date, name: str = "", about: str | None = None, alike: bool = False
) -> int:
    """Answer the question of a held row of a list on trial; with ``alike`` also every row that asks the same of it.

    ``name`` and ``about`` as in ``answers.answer_held``. Returns how many rows were answered. Raises ValidationError
    for a list that is written, an answer that was not offered, or one to another question.
    """
    run = locked_trial(row.run)
    if not run.counts.get("tried"):
        raise refuse("answer", "Its columns were changed: try the list out again, then answer.")
    fresh = ImportRow.objects.select_for_update(of=("self",)).get(pk=row.pk)
    if fresh.outcome != HELD:
        raise refuse("answer", f"Row {fresh.row} waits for no answer.")
    if asks_another(fresh.question, about):
        raise refuse("answer", f"Row {fresh.row} asks something else by now: {fresh.question['text']}. Answer that.")
    if key not in _keys(fresh.question):
        raise refuse("answer", "Choose one of the answers.")
    given = answer_given(fresh.question, key, name)
    again = Again(run, today)
    keys = [fresh.pk, *(same_question(run, fresh) if alike else ())]
    for start in range(0, len(keys), AT_ONCE):
        rows = run.rows.filter(pk__in=keys[start : start + AT_ONCE]).order_by("row")
        _settle(run, list(rows), fresh.question["about"], given, again)
    return len(keys)


def same_question(run: ImportRun, row: ImportRow) -> list[int]:
    """The keys of the other held rows of a list that ask the same and offer the same answers."""
    others = run.rows.filter(outcome=HELD, question__about=row.question["about"], answered_at=None).exclude(pk=row.pk)
    asked = others.order_by("row").values_list("pk", "question")
    return [pk for pk, question in asked.iterator(chunk_size=AT_ONCE) if _keys(question) == _keys(row.question)]


def _keys(question: dict[str, Any]) -> set[str]:
    return {choice["key"] for choice in question["choices"]}


def _settle(run: ImportRun, rows: Sequence[ImportRow], about: str, given: str, again: Again) -> None:
    """Read rows again with one more answer each, and keep what would become of them."""
    before = [row.outcome for row in rows]
    for row in rows:
        row.answers = {**row.answers, **row.question.get("answers", {}), about: given}
    settled = again.settle_all([(row, row.answers) for row in rows], trial=True)
    for row, found in settled:
        row.outcome, row.question, row.remarks = found.outcome, found.question, remark_dicts(found)
        row.understood, row.uncounted = found.understood, uncounted_in(found.question)
    ImportRow.objects.bulk_update(rows, FIELDS, batch_size=AT_ONCE)
    recount(run, list(zip(before, (found for _, found in settled), strict=True)), again.settler)
