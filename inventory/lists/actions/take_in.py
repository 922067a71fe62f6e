"""Taking in a keeper's list: a trial run, everything or nothing, questions answered later.

Reading takes the longest and needs nobody else to wait: all rows are read first and put by in a temporary file. Then
one transaction settles them against the register and writes them; a fault anywhere leaves nothing.
"""

import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass, field
from datetime import date
from itertools import chain
from pathlib import Path
from typing import IO, Any

from django.db import transaction

from inventory.holdings.models import TagSeries
from inventory.house.areas import kinds
from inventory.house.writing import person_or_none, refuse
from inventory.lists.actions.before import Known
from inventory.lists.actions.files import FileRefused, Table, open_table
from inventory.lists.actions.on_trial import locked_as_read
from inventory.lists.actions.own_types import MADE as MADE_TYPES
from inventory.lists.actions.own_types import make_types
from inventory.lists.actions.read import (
    Laid,
    Options,
    Progress,
    Reader,
    ReadRow,
    Spool,
    check_currencies,
    fields_for,
    lay_out,
    read_all,
    reader,
)
from inventory.lists.actions.settle import Settled, Settler
from inventory.lists.actions.write import Tally, Writer, remark_dicts
from inventory.lists.models import ImportMapping, ImportRun
from inventory.lists.rules import fields as f
from inventory.lists.rules.columns import WHY, ColumnTold, check_columns, check_naming, column_keys, columns_told
from inventory.lists.rules.rows import NOT_AN_ITEM, REFUSED
from inventory.lists.rules.spreadsheet_cells import safe_cell
from tubes.queries import Knowledge, knowledge

__all__ = ["FileRefused", "Options", "TakenIn", "keep_mapping", "named_mapping", "take_in"]


def silent(count: int) -> None:
    """Progress that nobody wants to see."""


@dataclass
class TakenIn:
    """What a list came to. ``report`` gives its rows one by one; ``run`` is the list in the register, if written."""

    file: str
    tally: Tally
    headings: list[str]
    spool: Spool
    run: ImportRun | None = None
    again: bool = False  # the same file was taken in before
    notes: list[str] = field(default_factory=list)
    columns: list[ColumnTold] = field(default_factory=list)

    def counts(self) -> dict[str, Any]:
        return {"file": self.file, **self.tally.as_dict()}

    def columns_told(self) -> dict[str, Any]:
        """What each column was taken for, and those of them that are only kept as text."""
        return {
            "columns": [asdict(one) for one in self.columns],
            "kept_as_text": [{"column": one.column, "reason": one.reason} for one in self.columns if one.is_text],
        }

    def report(self) -> Iterator[dict[str, Any]]:
        """Each row: number, line, outcome, remarks, tags made, what was understood (``rules.understood``)."""
        for kept in self.spool:
            yield {name: kept[name] for name in ("row", "line", "outcome", "remarks", "made", "understood")}

    def refused_rows(self) -> Iterator[list[str]]:
        """The refused rows as a file of their own says them: see ``refused_table``."""
        return refused_table(
            self.headings,
            lambda: ((kept["cells"], kept["remarks"]) for kept in self.spool if kept["outcome"] == REFUSED),
        )


def refused_table(
    headings: Sequence[str], rows: Callable[[], Iterable[tuple[Sequence[str], list[dict[str, str]]]]]
) -> Iterator[list[str]]:
    """Refused rows as they were, with a column that says why; the heading first. Cells are safe for a spreadsheet.

    ``rows`` gives (cells, remarks) of each, and is asked twice: the widest of them says where the column stands.
    """
    width = max([len(headings), *(len(cells) for cells, _ in rows())])
    told: Iterable[tuple[Sequence[str], str]] = ((cells, _why_of(remarks)) for cells, remarks in rows())
    for cells, why in chain([(headings, WHY)], told):
        yield [safe_cell(cell) for cell in (*cells, *[""] * (width - len(cells)), why)]


def _why_of(remarks: list[dict[str, str]]) -> str:
    """The reasons of a row in one text, with what to do."""
    return "; ".join(f"{one['reason']} ({one['action']})" if one["action"] else one["reason"] for one in remarks)


def take_in(
    source: Path | IO[bytes], *, name: str, by: Any, today: date, trial: bool,
    mapping: dict[str, str] | None = None, options: Options | None = None, sheet: str = "",
    progress: Progress = silent, writing: Progress = silent,
) -> TakenIn:  # fmt: skip
    """Read a list and, unless it is a trial, write what is plain, all of it or nothing. ``sheet``: of a workbook.

    Raises FileRefused for a file that is no list, ValueError for a mapping that does not fit it and for a currency that
    is none. The same file twice writes nothing the second time and says so in every row.
    """
    if isinstance(source, Path):
        with source.open("rb") as file:
            return take_in(
                file, name=name, by=by, today=today, trial=trial, mapping=mapping, options=options,
                sheet=sheet, progress=progress, writing=writing,
            )  # fmt: skip
    options = options or Options()
    check_currencies(options)
    table = open_table(source, name, sheet)
    laid = lay_out(table, mapping)
    columns = fields_for(laid, mapping)
    check_naming(columns)
    known = knowledge()
    reads = reader(known, today, laid.headings, list(columns.values()), options)
    before = taken_before(table.digest)
    spool = read_all(laid.above, laid.rows, reads, progress)
    try:
        told = columns_told(columns, () if mapping else laid.proposals(), mapping)
        work = Work(name, spool, laid, reads, known, table.notes, told)
        if before is not None:
            return work.nothing_new(before)
        if trial:
            return work.tried(writing)
        run = ImportRun(
            file_name=named_with_sheet(name, table), digest=table.digest, state=ImportRun.WRITTEN,
            heading=laid.headings, columns=columns, options=options.as_dict(),
            by=person_or_none(by),
        )  # fmt: skip
        return work.written(run, by=by, today=today, writing=writing)
    finally:
        spool.close()


def named_with_sheet(name: str, table: Table) -> str:
    """What a list is called in the register: the file, and the sheet where it has several."""
    return (f"{name[:150]}, sheet {table.sheet[:40]}" if table.sheet else name[:200]) or "a list"


def taken_before(digest: str) -> ImportRun | None:
    """The list that the same file was taken in as, unless that was undone."""
    return ImportRun.objects.filter(digest=digest, state=ImportRun.WRITTEN).first()


@dataclass
class Work:
    """One list that is read and waits to be settled."""

    name: str
    spool: Spool
    laid: Laid
    reads: Reader
    known: Knowledge
    notes: list[str]
    columns: list[ColumnTold] = field(default_factory=list)

    def settler(self) -> Settler:
        return settler_for(self.known, self.laid.headings, self.reads.mapping)

    def before(self, run: ImportRun | None = None) -> Known:
        """What the register has already of the rows; ``run``: this list, where it is being written."""
        own = self.reads.context.own
        return Known(
            column_keys(self.laid.headings, len(self.reads.mapping)),
            run.pk if run else None,
            own=own,
            mapping=self.reads.mapping,
            name=run.file_name if run else self.name,
            heading=self.laid.headings,
            ahead=lambda: self.spool,
        )

    def _answer(self, run: ImportRun | None = None) -> TakenIn:
        notes, columns = list(self.notes), self.columns
        return TakenIn(self.name, Tally(), self.laid.headings, Spool(), run, notes=notes, columns=columns)

    def nothing_new(self, before: ImportRun) -> TakenIn:
        answer = self._answer(before)
        answer.again = True
        told = f"the same file was taken in on {before.at:%Y-%m-%d} as list {before.pk}: nothing is written"
        answer.notes.append(f"{told[0].upper()}{told[1:]}.")
        remark = {
            "column": "file",
            "found": self.name,
            "reason": told,
            "action": f"undo list {before.pk} first to take it in anew",
        }
        for batch in self.spool.batches():
            kept = []
            for read in batch:
                answer.tally.add(Settled(NOT_AN_ITEM))
                kept.append(_kept(read, NOT_AN_ITEM, [remark], [], {}))
            answer.spool.put(kept)
        return answer

    def tried(self, writing: Progress) -> TakenIn:
        answer, settler, before = self._answer(), self.settler(), self.before()
        for batch in self.spool.batches():
            kept = []
            for read, known in zip(batch, before.of(batch), strict=True):
                settled = settler.settle(read, known)
                answer.tally.add(settled)
                kept.append(_reported(read, settled, []))
            answer.spool.put(kept)
            writing(answer.tally.rows)
        return answer

    def written(self, run: ImportRun, *, by: Any, today: date, writing: Progress) -> TakenIn:
        """Settle and write in one transaction. The tag series are locked first, so that one list waits for another.

        ``run``: a new one, or of a list on trial, which is locked too. Raises ValidationError where that is none any
        more, or its columns are others than those by which it was read.
        """
        answer = self._answer(run)
        with transaction.atomic():
            lock_tags()
            if run.pk:
                locked_as_read(run)
            if before := taken_before(run.digest):
                return self.nothing_new(before)
            run.state = ImportRun.WRITTEN
            run.save()
            given = answers_of(run)
            run.rows.all()._raw_delete(run.rows.db)
            settler, known = self.settler(), self.before(run)
            settler.maker.type_keys.update(make_types(run, sorted(given.items()), by=by))
            writer = Writer(run, settler, by=by, today=today)
            for batch in self.spool.batches():
                pairs = [
                    (read, settler.settle(read, here, given.get(read.row)))
                    for read, here in zip(batch, known.of(batch), strict=True)
                ]
                for _, settled in pairs:
                    answer.tally.add(settled)
                answer.spool.put([_reported(*made) for made in writer.write(pairs)])
                writing(answer.tally.rows)
            made = made_besides(settler) | {MADE_TYPES: run.counts.get(MADE_TYPES, [])}
            run.counts = answer.tally.as_dict() | {"notes": self.notes} | made
            run.save(update_fields=["counts"])
        return answer


def answers_of(run: ImportRun) -> dict[int, dict[str, str]]:
    """The answers that were given to rows of a list on trial, by the number of the row."""
    return dict(run.rows.exclude(answers={}).values_list("row", "answers")) if run.pk else {}


def settler_for(known: Knowledge, headings: list[str], mapping: list[str]) -> Settler:
    """A settler that names columns as the list does."""
    keys = column_keys(headings, len(mapping))
    named = {field: keys[at] for at, field in reversed(list(enumerate(mapping))) if at < len(headings)}
    other = {f.MODEL: f.MARK, f.MARK: f.MODEL}  # what a thing is stands in either
    return Settler(
        known, lambda name: named.get(name) or named.get(other.get(name, "")) or name.replace("_", " "), keys
    )


def made_besides(settler: Settler) -> dict[str, Any]:
    """Rows that a list made besides its things: what an undo takes away again if nothing uses it."""
    return {
        "made_places": settler.maker.places.made,
        "made_set_models": settler.maker.set_models.made,
        "made_unit_models": settler.maker.unit_models.made,
        "made_companion_kinds": settler.maker.kinds.made,
    }


def lock_tags() -> None:
    """Lock the tag series, in one order."""
    for prefix in sorted(kind.letters for kind in kinds().values()):
        TagSeries.objects.get_or_create(prefix=prefix)
    list(TagSeries.objects.select_for_update().order_by("prefix"))


def _reported(read: ReadRow, settled: Settled, made: list[str]) -> dict[str, Any]:
    return _kept(read, settled.outcome, remark_dicts(settled), made, settled.understood)


def _kept(
    read: ReadRow, outcome: str, remarks: list[dict[str, str]], made: list[str], told: dict[str, Any]
) -> dict[str, Any]:
    cells = list(read.cells) if outcome == REFUSED else []
    return {
        "row": read.row, "line": read.line, "outcome": outcome, "remarks": remarks, "made": made, "cells": cells,
        "understood": told,
    }  # fmt: skip


# --- named mappings ----------------------------------------------------------------------------------------------


def keep_mapping(name: str, columns: dict[str, str], options: Options, *, over: bool) -> ImportMapping:
    """Keep what the columns of a kind of list are under a name. An existing name is refused unless ``over``."""
    name = " ".join(name.split())
    if not name or len(name) > 80:
        raise refuse("name", "Give it a name of up to 80 letters.")
    row = ImportMapping.objects.filter(name=name).first()
    if row is not None and not over:
        raise refuse("name", f"There is a mapping {name} already; a keeper may replace it, or take another name.")
    row = row or ImportMapping(name=name)
    row.columns, row.options = check_columns(columns), options.as_dict()
    row.save()
    return row


def named_mapping(text: str) -> tuple[dict[str, str], dict[str, Any]]:
    """(columns, options) of a mapping by its name, or out of a JSON file. Raises ValueError."""
    row = ImportMapping.objects.filter(name=text).first()
    if row is not None:
        return dict(row.columns), dict(row.options)
    path = Path(text)
    if not path.is_file():
        names = ", ".join(ImportMapping.objects.values_list("name", flat=True)[:20]) or "none yet"
        raise ValueError(f"{text!r} is no mapping and no file; there are: {names}")
    try:
        kept = json.loads(path.read_text(encoding="utf-8-sig"))
    except (OSError, ValueError) as fault:
        raise ValueError(f"{text} cannot be read as JSON: {fault}") from fault
    if isinstance(kept, dict) and isinstance(kept.get("columns"), dict):
        return check_columns(kept["columns"]), kept.get("options") or {}
    return check_columns(kept), {}
