"""Rows to count from before the register said of what they are: named by what their cells bear."""

from typing import Any

from django.db import DEFAULT_DB_ALIAS, connections, transaction
from django.db.migrations.executor import MigrationExecutor

from inventory.lists.actions.write import uncounted_in
from inventory.lists.models import ImportRow
from inventory.lists.rules.columns import plain_cells, said_by
from tubes.queries import knowledge, type_for_stamp

AT_ONCE = 500


@transaction.atomic
def name_uncounted() -> int:
    """Say of every row that waits to be counted and does not say so what it is of. Returns how many were named.

    Where nothing is to do, one query.
    """
    rows = ImportRow.objects.filter(
        run__state="written", question__about="count", question__type__isnull=True, answered_at__isnull=True
    )
    rows = rows.select_related("run").prefetch_related("made__item__tube__type")
    waiting = list(rows)
    if not waiting:
        return 0
    known = knowledge()
    for row in waiting:
        made = next(iter(row.made.all()), None)
        kind = made.item.tube.type if made and hasattr(made.item, "tube") else None
        mark, place = said_by(row.run.heading, row.run.columns, plain_cells(row.cells))
        mark = mark or "not named"
        name = kind.name if kind else type_for_stamp(known.read(mark), known) or ""
        row.question = {**row.question, "mark": mark, "type": name, "place": place}
        row.uncounted = uncounted_in(row.question)
    ImportRow.objects.bulk_update(waiting, ["uncounted", "question"], batch_size=AT_ONCE)
    return len(waiting)


def when_migrated(using: str = DEFAULT_DB_ALIAS, plan: Any = None, **told: Any) -> None:
    """``name_uncounted`` once the tables are those of this program: not halfway, and not when they were emptied.

    Stamps are read by all that the program knows of tubes, so no step of the migrations can do it.
    """
    if plan is None or using != DEFAULT_DB_ALIAS:
        return
    executor = MigrationExecutor(connections[using])
    if not executor.migration_plan(executor.loader.graph.leaf_nodes()):
        name_uncounted()
