"""Rows that waited for the keeper: a question answered, a count given. What the row means is written then."""

from datetime import date
from typing import Any

from django.db import transaction
from django.utils import timezone

from inventory.exchange.actions.importing import lock_tags, made_besides, settler_for
from inventory.exchange.actions.importing_read import options_of, reader
from inventory.exchange.actions.importing_settle import Settled, Settler
from inventory.exchange.actions.importing_trial import line_of
from inventory.exchange.actions.importing_write import Writer, remark_dicts
from inventory.exchange.models import ImportRow, ImportRun
from inventory.exchange.rules.columns import in_order
from inventory.holdings.rules import fields as f
from inventory.holdings.rules.rows import HELD, NOT_AN_ITEM, REFUSED, REMARKED, WRITTEN, RowReading
from inventory.house.history import refuse
from tubes.queries import knowledge

COUNTS = {WRITTEN: "written", REMARKED: "written", HELD: "held", REFUSED: "refused", NOT_AN_ITEM: "not_items"}


def _locked(row: ImportRow) -> ImportRow:
    """The row and its list, locked. Raises ValidationError where nothing waits for an answer."""
    lock_tags()
    run = ImportRun.objects.select_for_update(of=("self",)).get(pk=row.run_id)
    fresh = ImportRow.objects.select_for_update(of=("self",)).get(pk=row.pk)
    fresh.run = run
    if run.state != ImportRun.WRITTEN:
        raise refuse("answer", f"The list is {run.get_state_display()}, not written; nothing of it waits.")
    if fresh.answered_at or not fresh.question:
        raise refuse("answer", f"Row {fresh.row} waits for no answer.")
    return fresh


def _settler(row: ImportRow, today: date, count: int | None = None) -> tuple[Settler, RowReading]:
    """The row read again as on the day of the list, with another count where one is given."""
    run, known = row.run, knowledge()
    mapping = list(in_order(run.heading, run.columns).values())
    line = line_of(row)
    cells = list(line.cells)
    if count is not None and f.QUANTITY in mapping:
        at = mapping.index(f.QUANTITY)
        cells += [""] * (at + 1 - len(cells))
        cells[at] = str(count)
    reads = reader(known.tables, today, run.heading, mapping, options_of(run.options))
    return settler_for(known, run.heading, mapping), reads.read(type(line)(row.line, tuple(cells)))


@transaction.atomic
def answer_held(row: ImportRow, key: str, *, by: Any, today: date) -> list[str]:
    """Answer the question of a held row. Writes its things unless the answer raises another question.

    Returns the tags made. Raises ValidationError for an answer that was not offered.
    """
    row = _locked(row)
    if row.outcome != HELD:
        raise refuse("answer", f"Row {row.row} is not held.")
    question = row.question
    if key not in {choice["key"] for choice in question["choices"]}:
        raise refuse("answer", "Choose one of the answers.")
    settler, found = _settler(row, today)
    answers = {**question.get("answers", {}), question["about"]: key}
    return _close(row, settler, settler.settle(row.row, found, answers), by=by, today=today)


@transaction.atomic
def answer_count(row: ImportRow, count: int, *, by: Any, today: date) -> list[str]:
    """Say how many tubes a row is, after counting them. Tubes written already from a guess are not touched.

    Returns the tags made. Raises ValidationError for a row that wants no counting.
    """
    row = _locked(row)
    if row.question.get("about") != "count":
        raise refuse("count", f"Row {row.row} wants no counting.")
    if row.question.get("made"):
        row.answered_at = timezone.now()
        row.save(update_fields=["answered_at"])
        return []
    if not 0 <= count <= 1000:
        raise refuse("count", f"{count} tubes; give a number from 0 to 1000.")
    settler, found = _settler(row, today, count)
    settled = settler.settle(row.row, found, {"twin": "another", "mark": "as marked"} if found.choices else {})
    return _close(row, settler, settled, by=by, today=today)


def _close(row: ImportRow, settler: Settler, settled: Settled, *, by: Any, today: date) -> list[str]:
    before = row.outcome
    row.outcome, row.question = settled.outcome, settled.question
    row.remarks = remark_dicts(line_of(row).cells, settled)
    tags: list[str] = []
    if settled.outcome != HELD:
        row.answered_at = timezone.now()
        tags = Writer(row.run, settler, by=by, today=today).make([(row, settled)])[0]
    row.save(update_fields=["outcome", "question", "remarks", "answered_at"])
    _recount(row.run, before, settled, settler)
    return tags


def _recount(run: ImportRun, before: str, settled: Settled, settler: Settler) -> None:
    counts = dict(run.counts)
    counts[COUNTS[before]] = counts.get(COUNTS[before], 1) - 1
    counts[COUNTS[settled.outcome]] = counts.get(COUNTS[settled.outcome], 0) + 1
    for outcome, step in ((before, -1), (settled.outcome, 1)):
        if outcome == REMARKED:
            counts["remarked"] = counts.get("remarked", 0) + step
    records = dict(counts.get("records", {}))
    for thing in settled.things:
        records[thing.kind] = records.get(thing.kind, 0) + 1
    counts["records"] = records
    for name, keys in made_besides(settler).items():
        counts[name] = [*counts.get(name, []), *keys]
    run.counts = counts
    run.save(update_fields=["counts"])
