"""A list that comes back edited: tried out, or written in one step that can be taken back (``undo_changes``)."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from itertools import islice
from pathlib import Path
from typing import IO, Any

from django.db import transaction

from inventory.house.writing import person_or_none, refuse
from inventory.lists.actions.before import Known
from inventory.lists.actions.came_back import AT_ONCE, Answers, Cell, Laid, Outcome, lay_out_changes
from inventory.lists.actions.changes import KEPT_OUT, UNTOUCHED, WRITTEN_OVER, Changes
from inventory.lists.actions.files import FileRefused, Table, open_table
from inventory.lists.actions.on_trial import check_on_trial, locked_trial
from inventory.lists.actions.own_rows import with_marked_type
from inventory.lists.actions.read import Options, ReadRow, reader
from inventory.lists.actions.settle import Settled
from inventory.lists.actions.take_in import answers_of, lock_tags, made_besides, named_with_sheet, settler_for
from inventory.lists.actions.write import Tally, Writer, reason_of, remark_dicts
from inventory.lists.models import CAME_BACK, TOGETHER, ImportRow, ImportRun
from inventory.lists.rules import fields as f
from inventory.lists.rules.columns import column_keys
from inventory.lists.rules.own_lists import proposals
from inventory.lists.rules.records import Line, kept_cells, line_of
from inventory.lists.rules.rows import HELD, NOT_AN_ITEM, REFUSED
from inventory.lists.rules.stamps import STAMP
from tubes.queries import knowledge

LONGEST_WHY = 60  # letters, as on the pages: it stands in the history of each thing
KINDS = ("changed", "conflicts", "held", "read_only", "rewritten", "besides", "kept")  # of cells that are told


def update_list(
    source: Path | IO[bytes], *, name: str, by: Any, today: date, trial: bool, why: str = "", sheet: str = ""
) -> Outcome:
    """What was changed in a list that was taken out here is written, or on trial only told.

    ``why``: what the history says of it besides; asked of a move that is not made without a reason. Raises FileRefused
    for a file that is no such list. Where nothing in it is to be written, nothing is kept of it.
    """
    if isinstance(source, Path):
        with source.open("rb") as file:
            return update_list(file, name=name, by=by, today=today, trial=trial, why=why, sheet=sheet)
    table = open_table(source, name, sheet)
    laid = lay_out_changes(table.lines)
    run = _run(laid, table, name, ImportRun.WRITTEN, by)
    return _brought_back(run, laid, by=by, today=today, trial=trial, why=why, notes=table.notes)


def keep_changes(file: IO[bytes], *, name: str, by: Any, sheet: str = "") -> ImportRun:
    """Keep the rows of an uploaded list that comes back, to be tried out. Raises FileRefused."""
    table = open_table(file, name, sheet)
    return keep_laid(lay_out_changes(table.lines), table, name, by=by)


def keep_laid(laid: Laid, table: Table, name: str, *, by: Any, together: bool = False) -> ImportRun:
    """Keep a list that is laid out, to be tried out. ``together``: it is of many things that are changed alike."""
    run = _run(laid, table, name, ImportRun.TRIAL, by)
    if together:
        run.options[TOGETHER] = True
    with transaction.atomic():
        run.save()
        for some in _parts(laid.lines):
            rows = [
                ImportRow(run=run, row=number, line=line.number, cells=kept_cells(line), outcome=UNTOUCHED)
                for number, line in some
            ]
            ImportRow.objects.bulk_create(rows, batch_size=AT_ONCE)
    return run


def _kept(run: ImportRun) -> Laid:
    """A kept list as it was uploaded."""
    heading = Line(0, tuple(run.heading))
    rows = run.rows.order_by("row").values_list("row", "line", "cells").iterator(chunk_size=AT_ONCE)
    numbered = [(row, line_of(line, cells)) for row, line, cells in rows]
    laid = lay_out_changes([heading, *(line for _, line in numbered)])
    laid.lines = numbered
    return laid


def try_changes(run: ImportRun, *, today: date, why: str = "") -> Outcome:
    """Try out a kept list and keep what would become of each row. Nothing else is written."""
    check_on_trial(ImportRun.objects.only("state").filter(pk=run.pk).first())
    found = _brought_back(run, _kept(run), by=None, today=today, trial=True, why=why)
    with transaction.atomic():
        fresh = locked_trial(run)
        told = remarks_of(found)
        fresh.rows.exclude(outcome=UNTOUCHED).update(outcome=UNTOUCHED, remarks=[])
        for some in _parts(sorted(found.rows)):
            rows = list(fresh.rows.filter(row__in=some))
            for row in rows:
                row.outcome = found.rows[row.row]["outcome"]
                row.remarks = found.rows[row.row].get("remarks", []) + told[row.row]
            ImportRow.objects.bulk_update(rows, ["outcome", "remarks"], batch_size=AT_ONCE)
        notes = run.counts.get("notes", [])
        run.counts = _counts(found, run.counts["rows"]) | {"tried": True, "notes": notes, "told": found.notes}
        fresh.counts = run.counts
        fresh.save(update_fields=["counts"])
    return found


def write_changes(run: ImportRun, *, by: Any, today: date, why: str = "") -> Outcome:
    """Write a kept list: all that was changed in it, as it stands now. Raises ValidationError where it is written."""
    check_on_trial(ImportRun.objects.only("state").filter(pk=run.pk).first())
    return _brought_back(run, _kept(run), by=by, today=today, trial=False, why=why)


@transaction.atomic
def _brought_back(
    run: ImportRun, laid: Laid, *, by: Any, today: date, trial: bool, why: str, notes: Sequence[str] = ()
) -> Outcome:  # fmt: skip
    if len(why) > LONGEST_WHY:
        raise refuse("why", f"Why is told in up to {LONGEST_WHY} letters; this is {len(why)}.")
    if sum(laid.tags.values()) and not laid.name:
        raise FileRefused("Which list it is cannot be told.")
    lock_tags()
    new = run.pk is None
    if not new and not trial:
        run = locked_trial(run)
    before = dict(run.__dict__)
    run.state = ImportRun.WRITTEN
    run.save()
    reason = reason_of(run, "changed together, list" if run.together else "came back with list")
    answers: Answers = {} if new else answers_of(run)
    changes = Changes(laid, by=by, today=today, reason=reason, why=why, answers=answers)
    found = changes.found
    fresh, tally = _NewRows(run, laid, found, by=by, today=today, trial=trial), Tally()
    if not trial:
        run.rows.all()._raw_delete(run.rows.db)
    for some in _parts(changes.bring_back()):
        fresh.take(some, tally)
    found.notes[:0] = notes
    if trial or (new and not found.rows):
        transaction.set_rollback(True)
        run.__dict__.update(before)
        return found
    _keep_rows(run, found)
    run.counts = _counts(found, len(laid.lines)) | {"told": found.notes, "notes": list(notes)} | fresh.besides()
    run.counts["records"] = tally.as_dict()["records"]
    run.save(update_fields=["counts"])
    found.run = run
    return found


class _NewRows:
    """Rows that are new: read, settled and written as those of every list."""

    def __init__(self, run: ImportRun, laid: Laid, found: Outcome, *, by: Any, today: date, trial: bool) -> None:
        self.run, self.laid, self.found, self.by, self.today, self.trial = run, laid, found, by, today, trial
        self.settler: Any = None

    def _begin(self) -> None:
        """What settling needs is read only where there is a new row."""
        headings, known = self.laid.headings, knowledge()
        self.known, mapping = known, _fields(self.laid)
        self.reads = reader(known, self.today, headings, mapping, Options(kind=self.laid.name))
        self.settler = settler_for(known, headings, mapping)
        own = self.reads.context.own
        self.before = Known(column_keys(headings, len(mapping)), self.run.pk, own=own)
        self.writer = None if self.trial else Writer(self.run, self.settler, by=self.by, today=self.today)

    def take(self, lines: Sequence[tuple[int, Line]], tally: Tally) -> None:
        """Settle some new rows, and write them unless it is a trial."""
        if self.settler is None:
            self._begin()
        told = [
            (number, line, with_marked_type(line, self.laid.headings, self.laid.name, self.known))
            for number, line in lines
        ]
        read = [ReadRow(number, line, self.reads.read(typed)) for number, line, typed in told]
        pairs = [(one, self.settler.settle(one, known)) for one, known in zip(read, self.before.of(read), strict=True)]
        for one, settled in pairs:
            self._tell(one, settled)
            tally.add(settled)
        if self.writer:
            self.writer.write(pairs)

    def _tell(self, read: ReadRow, settled: Settled) -> None:
        if settled.outcome == NOT_AN_ITEM:
            return
        self.found.rows[read.row] = {
            "line": read.source, "outcome": settled.outcome, "new": True, "remarks": remark_dicts(settled),
        }  # fmt: skip
        if settled.outcome in (REFUSED, HELD):
            self.found.held.append(Cell(read.row, "", "row", "", "", settled.why))
            return
        self.found.new += 1

    def besides(self) -> dict[str, Any]:
        return made_besides(self.settler) if self.settler else {}


def _fields(laid: Laid) -> list[str]:
    """What each column is to a new row."""
    told = proposals(laid.headings, [line.cells for _, line in laid.lines[:200]])
    return [f.IGNORED if one.heading.strip() == STAMP else one.field for one in told]


def _run(laid: Laid, table: Table, name: str, state: str, by: Any) -> ImportRun:
    columns = dict(zip(column_keys(laid.headings, len(laid.headings)), _fields(laid), strict=False))
    return ImportRun(
        file_name=named_with_sheet(name, table), digest=table.digest, state=state, heading=laid.headings,
        columns=columns, options={CAME_BACK: laid.name, "kind": laid.name}, by=person_or_none(by),
        counts={"rows": len(laid.lines), "notes": table.notes},
    )  # fmt: skip


def _keep_rows(run: ImportRun, found: Outcome) -> None:
    told = remarks_of(found)
    for some in _parts(sorted(number for number, row in found.rows.items() if not row.get("new"))):
        rows = [
            ImportRow(
                run=run, row=number, line=found.rows[number]["line"].number,
                cells=kept_cells(found.rows[number]["line"]), outcome=found.rows[number]["outcome"],
                remarks=told[number],
            )
            for number in some
        ]  # fmt: skip
        ImportRow.objects.bulk_create(rows, batch_size=AT_ONCE)


def remarks_of(found: Outcome) -> Mapping[int, list[dict[str, str]]]:
    """What is told of each row, as remarks of it: ``code`` says of what kind, ``old`` what the register said."""
    told: dict[int, list[dict[str, str]]] = defaultdict(list)
    for kind in KINDS:
        for cell in getattr(found, kind):
            told[cell.row].append({
                "column": cell.column, "found": cell.new, "reason": cell.reason, "action": "", "code": kind,
                "old": cell.old, "tag": cell.tag,
            })  # fmt: skip
    return told


def _counts(found: Outcome, rows: int) -> dict[str, Any]:
    """The counts of a run, also under the names that all lists have."""
    outcomes = Counter(row["outcome"] for row in found.rows.values())
    new = [row["outcome"] for row in found.rows.values() if row.get("new")]
    written = outcomes[WRITTEN_OVER] + sum(outcome not in (HELD, REFUSED) for outcome in new)
    return {
        "rows": rows, "written": written, "held": outcomes[HELD], "refused": outcomes[REFUSED],
        "not_written": outcomes[KEPT_OUT], "new": found.new, "untouched": found.untouched,
        **{f"{kind}_cells": len(getattr(found, kind)) for kind in KINDS},
    }  # fmt: skip


def _parts(rows: Iterable[Any]) -> Iterator[list[Any]]:
    some = iter(rows)
    while part := list(islice(some, AT_ONCE)):
        yield part
