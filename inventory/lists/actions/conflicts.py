"""Cells that were changed here and in a list that came back: the keeper says which of the two stands.

One cell, or all of a column. On trial the answers are kept with the rows and the list is written with them; of a list
that is written they are written at once, under the same reason as the rest of it, so that one step takes all back.
"""

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

from django.db import transaction

from inventory.house.writing import refuse
from inventory.lists.actions.bring_back import remarks_of, try_changes
from inventory.lists.actions.came_back import AT_ONCE, HERE, LISTED, Outcome, lay_out_changes
from inventory.lists.actions.changes import KEPT, KEPT_OUT, WRITTEN_OVER, Changes
from inventory.lists.actions.take_in import lock_tags
from inventory.lists.models import ImportRow, ImportRun
from inventory.lists.rules.records import Line, line_of

OPEN = ("conflicts", "kept")  # what is told of a cell that can be answered
Picked = Mapping[str, tuple[str, str]]  # by heading: the answer, what stands here


def settle_conflicts(
    run: ImportRun, answer: str, *, by: Any, today: date, row: int | None = None, column: str = ""
) -> tuple[int, Outcome]:
    """Say of cells that were changed on both sides what stands: ``here`` or ``list``.

    ``row``, ``column``: of which cells; all of a column without a row. What stands here is what the page showed: where
    it was changed once more, the cell is a conflict again. Returns (cells answered, what came of it). Raises
    ValidationError for another answer, and where no such cell waits.
    """
    if answer not in (HERE, LISTED):
        raise refuse("answer", "Choose what stands: what is here, or what the list says.")
    with transaction.atomic():
        lock_tags()
        run = ImportRun.objects.select_for_update(of=("self",)).get(pk=run.pk)
        if not run.came_back or run.state == ImportRun.UNDONE:
            raise refuse("answer", "Nothing of this list waits for an answer.")
        picked = dict(_picked(run, answer, row, column))
        count = sum(map(len, picked.values()))
        if not count:
            raise refuse("answer", "No such cell of the list waits for an answer.")
        if run.state == ImportRun.WRITTEN:
            return count, _write(run, picked, answer, by=by, today=today)
        for one in picked:
            one.answers = {**one.answers, **{heading: list(told) for heading, told in picked[one].items()}}
        ImportRow.objects.bulk_update(picked, ["answers"], batch_size=AT_ONCE)
    return count, try_changes(run, today=today, why=str(run.options.get("why", "")))


def _picked(run: ImportRun, answer: str, number: int | None, column: str) -> Iterator[tuple[ImportRow, Picked]]:
    """The rows of which cells are answered, with the answers."""
    rows = run.rows.filter(outcome__in=(WRITTEN_OVER, KEPT_OUT)).order_by("row")
    for row in rows if number is None else rows.filter(row=number):
        told = {
            one["column"]: (answer, one["old"])
            for one in row.remarks
            if one.get("code") in OPEN or one["column"] in row.answers
        }
        if found := {heading: one for heading, one in told.items() if column in ("", heading)}:
            yield row, found


def _write(run: ImportRun, picked: Mapping[ImportRow, Picked], answer: str, *, by: Any, today: date) -> Outcome:
    """Write the answers to a list that is written, and what came of each into its rows and counts."""
    found, written = Outcome(), answer == LISTED
    if written:
        lines = [line_of(row.line, row.cells) for row in picked]
        laid = lay_out_changes([Line(0, tuple(run.heading)), *lines])
        laid.lines = list(zip((row.row for row in picked), lines, strict=True))
        laid.name = run.came_back
        changes = Changes(
            laid, by=by, today=today, reason=run.reason, why=str(run.options.get("why", "")),
            answers={row.row: told for row, told in picked.items()}, alone=True,
        )  # fmt: skip
        list(changes.bring_back())
        found = changes.found
    told_of = remarks_of(found)
    counts, notes = dict(run.counts), run.counts.get("told", [])
    for row, cells in picked.items():
        left = [one for one in row.remarks if not (one.get("code") in OPEN and one["column"] in cells)]
        gone = [one for one in row.remarks if one not in left]
        more = [one for one in told_of[row.row] if one["code"] != "read_only"]
        if not written:
            more = [{**one, "code": "kept", "reason": KEPT} for one in gone]
        for step, some in ((-1, gone), (1, more)):
            for one in some:
                name = f"{one['code']}_cells"
                counts[name] = max(0, counts.get(name, 0) + step)
        row.remarks = [*left, *more]
        if any(one["code"] == "changed" for one in more):
            row.outcome = WRITTEN_OVER
    ImportRow.objects.bulk_update(picked, ["remarks", "outcome"], batch_size=AT_ONCE)
    run.counts = counts | {"told": list(dict.fromkeys([*notes, *found.notes]))}
    run.save(update_fields=["counts"])
    return found


def conflicts_by_column(run: ImportRun) -> dict[str, int]:
    """How many cells of each column wait for an answer."""
    found: dict[str, int] = {}
    if not run.counts.get("conflicts_cells"):
        return found
    rows = run.rows.filter(outcome__in=(WRITTEN_OVER, KEPT_OUT)).values_list("remarks", flat=True)
    for remarks in rows.iterator(chunk_size=AT_ONCE):
        for one in remarks:
            if one.get("code") == "conflicts":
                found[one["column"]] = found.get(one["column"], 0) + 1
    return found
