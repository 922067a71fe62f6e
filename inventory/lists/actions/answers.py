"""Rows that waited for the keeper: a question answered, a count given. What the row means is written then."""

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Any

from django.db import transaction
from django.utils import timezone

from inventory.holdings.actions import for_change, let_go
from inventory.holdings.models import Item
from inventory.house.concerns import held_by_many
from inventory.house.writing import refuse
from inventory.lists.actions.again import Again
from inventory.lists.actions.ask import LEAVE_OUT, LEFT_OUT
from inventory.lists.actions.own_types import make_types, type_named
from inventory.lists.actions.read import AT_ONCE
from inventory.lists.actions.settle import Settled, Settler
from inventory.lists.actions.take_in import lock_tags, made_besides
from inventory.lists.actions.things import NEW_MODEL
from inventory.lists.actions.types import AS_MARKED, NAMED_TYPE
from inventory.lists.actions.undo import touched
from inventory.lists.actions.write import Writer, remark_dicts, uncounted_in
from inventory.lists.models import ImportRow, ImportRun
from inventory.lists.queries.runs import ALREADY, CHANGED, CORRECTED, REPEAT, TAGGED, waiting_alike
from inventory.lists.rules.rows import HELD, NOT_AN_ITEM, REFUSED, REMARKED, WRITTEN

COUNTS = {WRITTEN: "written", REMARKED: "written", HELD: "held", REFUSED: "refused", NOT_AN_ITEM: "not_items"}
#: One answer for all rows of a list that may stand for things which are here: by the question, its answers in words.
ALIKE: dict[str, dict[str, str]] = {
    ALREADY: {LEAVE_OUT: "leave them out", "more": "write them as more of the same"},
    CORRECTED: {LEAVE_OUT: "leave them out", "more": "write them as other ones"},
    CHANGED: {LEAVE_OUT: "leave them out", "more": "write them as other ones"},
    REPEAT: {LEAVE_OUT: "leave them out", "more": "write them as more of them"},
    TAGGED: {LEAVE_OUT: "leave them out"},
}
_TOGETHER = (ALREADY, REPEAT, TAGGED)  # what an answer goes to that does not say to which question


def _locked_run(run_id: int) -> ImportRun:
    lock_tags()
    run = ImportRun.objects.select_for_update(of=("self",)).get(pk=run_id)
    if run.state != ImportRun.WRITTEN:
        raise refuse("answer", f"The list is {run.get_state_display()}, not written; nothing of it waits.")
    return run


def _locked(row: ImportRow) -> ImportRow:
    """The row and its list, locked. Raises ValidationError where nothing waits for an answer."""
    run = _locked_run(row.run_id)
    fresh = ImportRow.objects.select_for_update(of=("self",)).get(pk=row.pk)
    fresh.run = run
    if fresh.answered_at or not fresh.question:
        raise refuse("answer", f"Row {fresh.row} waits for no answer.")
    return fresh


@transaction.atomic
def answer_held(
    row: ImportRow, key: str, *, by: Any, today: date, name: str = "", about: str | None = None
) -> list[str]:
    """Answer the question of a held row. Writes its things unless the answer raises another question.

    ``name``: that of a model which is not here yet. ``about``: what the question that was read is about; "" where that
    is not told, which does for the first question of a row; None: whatever it asks. Returns the tags made. Raises
    ValidationError for an answer that was not offered, or to another question.
    """
    row = _locked(row)
    if row.outcome != HELD:
        raise refuse("answer", f"Row {row.row} is not held.")
    if asks_another(row.question, about):
        raise refuse("answer", f"Row {row.row} asks something else by now: {row.question['text']}. Answer that.")
    if key not in {choice["key"] for choice in row.question["choices"]}:
        raise refuse("answer", "Choose one of the answers.")
    given = answer_given(row.question, key, name)
    make_types(row.run, [(row.row, {row.question["about"]: given})], by=by)
    again = Again(row.run, today)
    settled = again.settle(row, _with_answer(row, given))
    return _close(row.run, [(row, settled)], again.settler, by=by, today=today)[0]


def asks_another(question: dict[str, Any], about: str | None) -> bool:
    """Whether a question is not the one that was read: the same key may answer both."""
    return bool(question.get("answers")) if about == "" else about not in (None, question["about"])


def _with_answer(row: ImportRow, given: str) -> dict[str, str]:
    return {**row.question.get("answers", {}), row.question["about"]: given}


def answer_given(question: dict[str, Any], key: str, name: str) -> str:
    """The answer as it is kept: for a model or a type that the keeper names, with that name."""
    if question["about"] == "mark" and key == NAMED_TYPE:
        return type_named(name)
    if question["about"] != "set" or key != NEW_MODEL:
        return key
    name = " ".join(name.replace("\0", "").split())
    if not name or len(name) > 80:
        raise refuse("answer", "Give the name of the model, up to 80 letters.")
    return f"{NEW_MODEL}{name}"


@transaction.atomic
def answer_alike(run: ImportRun, key: str, *, by: Any, today: date, about: str = "") -> tuple[int, int]:
    """One answer for all rows of a list that are asked the same of whether they are here already: see ``ALIKE``.

    ``about``: the question; empty: all of them but that about readings that were corrected. Returns (rows, things
    made). Raises ValidationError for another answer, or where no such row waits.
    """
    abouts = [one for one in ((about,) if about else _TOGETHER) if key in ALIKE.get(one, {})]
    if not abouts:
        raise refuse("answer", f"Choose one of the answers: {', '.join(ALIKE.get(about, ALIKE[ALREADY]).values())}.")
    run = _locked_run(run.pk)
    again = None if key == LEAVE_OUT else Again(run, today)
    rows = made = 0
    for batch in _batches(run, abouts):
        rows += len(batch)
        if again is None:
            _leave_out(run, batch)
            continue
        settled = again.settle_all([(row, _with_answer(row, key)) for row in batch])
        made += sum(map(len, _close(run, settled, again.settler, by=by, today=today)))
    if not rows:
        raise refuse("answer", "No row of the list waits for this answer.")
    return rows, made


def _batches(run: ImportRun, abouts: Sequence[str]) -> Iterator[list[ImportRow]]:
    last = 0
    while batch := list(waiting_alike(run, *abouts).filter(row__gt=last)[:AT_ONCE]):
        last = batch[-1].row
        yield batch


def _leave_out(run: ImportRun, batch: Sequence[ImportRow]) -> None:
    """Leave rows out without reading them again: each keeps the remark that names its like."""
    for row in batch:
        told = row.question["text"]
        row.remarks = [{**one, "action": LEFT_OUT} if one["reason"] == told else one for one in row.remarks]
    ImportRow.objects.bulk_update(batch, ["remarks"], batch_size=AT_ONCE)
    keys = [row.pk for row in batch]
    ImportRow.objects.filter(pk__in=keys).update(outcome=NOT_AN_ITEM, question={}, answered_at=timezone.now())
    counts = run.counts
    counts["held"] = counts.get("held", 0) - len(batch)
    counts["not_items"] = counts.get("not_items", 0) + len(batch)
    run.save(update_fields=["counts"])


@transaction.atomic
def answer_count(
    row: ImportRow, count: int, *, by: Any, today: date, fewer: bool = True
) -> tuple[list[str], list[str]]:
    """Say how many tubes of a row there are, after counting them: those in sets and those lent included.

    Where a guess was written, the missing ones are written too; those too many leave the register, the last one first,
    while they lie on a shelf and nothing but the list touched them; not without ``fewer``. Returns (tags made, tags
    that left). Raises ValidationError for a row that wants no counting, and where fewer can leave than were counted
    less.
    """
    row = _locked(row)
    if row.question.get("about") != "count":
        raise refuse("count", f"Row {row.row} wants no counting.")
    if not 0 <= count <= 1000:
        raise refuse("count", f"{count} tubes; give a number from 0 to 1000.")
    here = list(for_change(Item.objects.filter(import_made__row=row, gone_on__isnull=True)))
    again = Again(row.run, today)
    answers = {"twin": "another", "mark": AS_MARKED, "want": "here"} | row.question.get("answers", {})
    if count < len(here):
        if not fewer:
            raise refuse("count", f"{len(here)} are in the register: a keeper lets tubes leave that are not there.")
        left = _never_there(row, here, len(here) - count, count, by=by, today=today)
        _counted(row)
        return [], left
    if here and count == len(here):
        _counted(row)
        return [], []
    settled = again.settle(row, answers, count - len(here))
    return _close(row.run, [(row, settled)], again.settler, by=by, today=today)[0], []


def _counted(row: ImportRow) -> None:
    row.answered_at, row.uncounted = timezone.now(), ""
    row.save(update_fields=["answered_at", "uncounted"])


def _never_there(row: ImportRow, here: Sequence[Item], many: int, count: int, *, by: Any, today: date) -> list[str]:
    """Let tubes leave that were written from a guess and are not there."""
    held = held_by_many(here)
    busy = touched(row.run, [item.pk for item in here])
    free = [item for item in here if not item.lent_to and item.pk not in held and item.pk not in busy]
    if len(free) < many:
        raise refuse(
            "count",
            f"{count} counted, {len(here)} in the register, and only {len(free)} of them lie untouched on a shelf: "
            "part with those that are not there on their own pages, then give the count again.",
        )
    gone = free[-many:]
    how = f"never there: {count} counted, list {row.run_id} row {row.row} said {row.question['to_count']}"[:200]
    for item in gone:
        let_go(item, how, on=today, by=by)
    return [item.tag for item in gone]


def _close(
    run: ImportRun, pairs: Sequence[tuple[ImportRow, Settled]], settler: Settler, *, by: Any, today: date
) -> list[list[str]]:
    """Write what became of rows of one list, and its counts anew; gives back the tags made from each."""
    before = [row.outcome for row, _ in pairs]
    now = timezone.now()
    for row, settled in pairs:
        row.outcome, row.question = settled.outcome, settled.question
        row.uncounted = uncounted_in(settled.question)
        row.remarks, row.understood = remark_dicts(settled), settled.understood
        row.digest, row.core = settled.digest or row.digest, settled.core or row.core
        if not settled.question:  # what is written from a guess still waits to be counted
            row.answered_at = now
    done = [(row, settled) for row, settled in pairs if settled.outcome != HELD]
    tags = dict(zip((row.pk for row, _ in done), Writer(run, settler, by=by, today=today).make(done), strict=True))
    fields = ["outcome", "question", "remarks", "understood", "digest", "core", "uncounted", "answered_at"]
    ImportRow.objects.bulk_update([row for row, _ in pairs], fields, batch_size=AT_ONCE)
    recount(run, list(zip(before, (settled for _, settled in pairs), strict=True)), settler)
    return [tags.get(row.pk, []) for row, _ in pairs]


def recount(run: ImportRun, pairs: Sequence[tuple[str, Settled]], settler: Settler) -> None:
    counts = dict(run.counts)
    records = dict(counts.get("records", {}))
    for before, settled in pairs:
        for outcome, step in ((before, -1), (settled.outcome, 1)):
            counts[COUNTS[outcome]] = counts.get(COUNTS[outcome], 0) + step
            if outcome == REMARKED:
                counts["remarked"] = counts.get("remarked", 0) + step
        for thing in settled.things:
            records[thing.kind] = records.get(thing.kind, 0) + 1
    counts["records"] = records
    for name, keys in made_besides(settler).items():
        counts[name] = list(dict.fromkeys([*counts.get(name, []), *keys]))
    run.counts = counts
    run.save(update_fields=["counts"])
