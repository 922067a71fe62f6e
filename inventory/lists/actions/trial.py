"""Lists that wait on a page: kept with their rows, tried out, written. ``importing`` does the work."""

from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import date
from itertools import chain
from typing import IO, Any

from django.db import transaction

from inventory.house.writing import person_or_none
from inventory.lists.actions.files import FileRefused, open_table
from inventory.lists.actions.on_trial import check_on_trial, locked_as_read, locked_trial
from inventory.lists.actions.progress import READING, TRYING, WRITING, telling
from inventory.lists.actions.read import (
    AT_ONCE,
    Laid,
    Options,
    Progress,
    Spool,
    check_currencies,
    check_rows,
    fields_for,
    lay_out,
    options_of,
    read_all,
    reader,
)
from inventory.lists.actions.settle import Settled
from inventory.lists.actions.take_in import TakenIn, Work, answers_of, named_with_sheet, taken_before
from inventory.lists.actions.write import Tally, import_row
from inventory.lists.models import ImportRow, ImportRun
from inventory.lists.rules.columns import check_columns, check_naming, in_order
from inventory.lists.rules.records import Line, kept_cells, line_of
from tubes.queries import knowledge

MOST_TOLD = 200  # new places that a trial names
FORGOTTEN = " given for other columns and counts no more: look at those rows again."


def keep_upload(file: IO[bytes], *, name: str, by: Any, sheet: str = "") -> ImportRun:
    """Keep the rows of an uploaded list with the proposed columns, to be tried out. Raises FileRefused, ValueError."""
    table = open_table(file, name, sheet)
    if before := taken_before(table.digest):
        raise FileRefused(f"The same file was taken in on {before.at:%Y-%m-%d} as list {before.pk}.")
    laid = lay_out(table)
    spool = Spool()
    try:
        _put_by(spool, laid)
        run = ImportRun(
            file_name=named_with_sheet(name, table), digest=table.digest, state=ImportRun.TRIAL, heading=laid.headings,
            columns=fields_for(laid, None), by=person_or_none(by),
            counts={"rows": spool.count, "above": len(laid.above), "notes": table.notes},
        )  # fmt: skip
        with transaction.atomic():
            run.save()
            for batch in spool.batches():
                ImportRow.objects.bulk_create(
                    [_untried(run, number, line) for number, line in batch], batch_size=AT_ONCE
                )
    finally:
        spool.close()
    return run


def _put_by(spool: Spool, laid: Laid) -> None:
    batch: list[tuple[int, Line]] = []
    for number, line in enumerate(chain(laid.above, laid.rows), 1):
        check_rows(number)
        batch.append((number, line))
        if len(batch) >= AT_ONCE:
            spool.put(batch)
            batch = []
    spool.put(batch)


def _untried(run: ImportRun, number: int, line: Line) -> ImportRow:
    return ImportRow(run=run, row=number, line=line.number, cells=kept_cells(line), outcome="")


def _kept_lines(run: ImportRun) -> Iterator[Line]:
    rows = run.rows.order_by("row").only("row", "line", "cells")
    last = 0
    while batch := list(rows.filter(row__gt=last)[: 4 * AT_ONCE]):
        last = batch[-1].row
        yield from (line_of(row.line, row.cells) for row in batch)


@contextmanager
def _again(run: ImportRun, today: date, progress: Progress) -> Iterator[Work]:
    """A kept list read with the columns and options it has now."""
    known = knowledge()
    options = options_of(run.options)
    columns = in_order(run.heading, run.columns)
    reads = reader(known, today, run.heading, list(columns.values()), options)
    above = int(run.counts.get("above", 0))
    lines = _kept_lines(run)
    first = [next(lines) for _ in range(above)]
    laid = Laid(run.heading, list(columns), first, lines, [])
    spool = read_all(first, lines, reads, progress)
    try:
        yield Work(run.file_name, spool, laid, reads, known, run.counts.get("notes", []))
    finally:
        spool.close()


@transaction.atomic
def set_columns(run: ImportRun, columns: dict[str, str], options: Options) -> ImportRun:
    """Say what each column of a list on trial is; what was tried out with others counts no more.

    Answers that were given to rows as they were read by other columns or options are forgotten, and a note says so.
    Raises ValueError for what no column can be, where none names the things, and for a currency that is none,
    ValidationError for a list that is written or forgotten.
    """
    columns = check_columns(columns)
    check_naming(columns)
    check_currencies(options)
    if set(columns) != set(run.columns):
        raise ValueError("the columns are not those of the list")
    fresh = locked_trial(run)
    run.counts = _untried_counts(fresh, "rows")
    notes = [note for note in run.counts.get("notes", []) if not note.endswith(FORGOTTEN)]
    other = (fresh.columns, options_of(fresh.options).as_dict()) != (columns, options.as_dict())
    if other and (count := fresh.rows.exclude(answers={}).update(answers={})):
        told = "The answer to 1 row was" if count == 1 else f"The answers to {count} rows were"
        notes.append(f"{told}{FORGOTTEN}")
    run.counts["notes"] = notes
    run.columns, run.options = columns, options.as_dict()
    run.save(update_fields=["columns", "options", "counts"])
    return run


def _untried_counts(run: ImportRun, *more: str) -> dict[str, Any]:
    """What the counts say of the file alone."""
    return {name: run.counts[name] for name in ("above", "notes", *more) if name in run.counts}


def _look_on_trial(run: ImportRun) -> None:
    """Raises ValidationError before much is read for nothing; what decides is asked again under the lock."""
    check_on_trial(ImportRun.objects.only("state").filter(pk=run.pk).first())


def try_out(run: ImportRun, *, today: date) -> ImportRun:
    """Read a kept list again and keep what would become of every row. Nothing goes into the register."""
    _look_on_trial(run)
    tally, outcome = Tally(), Spool()
    with closing(outcome), telling(run) as told, _again(run, today, told.of(READING)) as work:
        settler, before, tell = work.settler(), work.before(), told.of(TRYING)
        given = answers_of(run)
        for batch in work.spool.batches():
            pairs = [
                (read, settler.settle(read, known, given.get(read.row)))
                for read, known in zip(batch, before.of(batch), strict=True)
            ]
            for _, settled in pairs:
                tally.add(settled)
            outcome.put([(read, _without_things(settled), given.get(read.row, {})) for read, settled in pairs])
            tell(tally.rows)
        _keep_trial(run, outcome, tally, settler.maker.places.fresh)
    return run


@transaction.atomic
def _keep_trial(run: ImportRun, outcome: Spool, tally: Tally, places: list[str]) -> None:
    fresh = locked_as_read(run)
    run.rows.all()._raw_delete(run.rows.db)
    for pairs in outcome.batches():
        again = [import_row(run, read, settled, on_trial=True, answers=given) for read, settled, given in pairs]
        ImportRow.objects.bulk_create(again, batch_size=AT_ONCE)
    run.counts = tally.as_dict() | _untried_counts(fresh) | {"tried": True, "new_places": places[:MOST_TOLD]}
    run.save(update_fields=["counts"])


def _without_things(settled: Settled) -> Settled:
    return Settled(
        settled.outcome,
        settled.why,
        settled.remarks,
        settled.question,
        digest=settled.digest,
        core=settled.core,
        understood=settled.understood,
    )


def write_run(run: ImportRun, *, by: Any, today: date) -> TakenIn:
    """Write a list on trial into the register with the answers given on trial, all that is plain or nothing."""
    _look_on_trial(run)
    with telling(run) as told, _again(run, today, told.of(READING)) as work:
        return work.written(run, by=by, today=today, writing=told.of(WRITING))


@transaction.atomic
def drop_trial(run: ImportRun) -> None:
    """Forget a list that was only tried out."""
    fresh = locked_trial(run)
    fresh.rows.all()._raw_delete(fresh.rows.db)
    fresh.delete()
