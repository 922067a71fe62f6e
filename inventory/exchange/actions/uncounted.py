"""Rows to count from before the register said of what they are: named by what their cells bear."""

from inventory.exchange.actions.importing_write import uncounted_in
from inventory.exchange.models import ImportRow, ImportRun
from tubes.queries import knowledge, type_for_stamp

AT_ONCE = 500


def name_uncounted() -> int:
    """Say of every row that waits to be counted and does not say so what it is of. Returns how many were named.

    Runs after the database was brought up to date and after an archive came in; where nothing is to do, one query.
    """
    rows = ImportRow.objects.filter(
        run__state=ImportRun.WRITTEN, question__about="count", question__type__isnull=True, answered_at__isnull=True
    )
    rows = rows.select_related("run").prefetch_related("made__item__tube__type")
    waiting = list(rows)
    if not waiting:
        return 0
    known = knowledge()
    for row in waiting:
        made = next(iter(row.made.all()), None)
        kind = made.item.tube.type if made and hasattr(made.item, "tube") else None
        mark = row.mark_as_written or "not named"
        name = kind.name if kind else type_for_stamp(known.read(mark), known) or ""
        row.question = {**row.question, "mark": mark, "type": name, "place": row.place_as_written}
        row.uncounted = uncounted_in(row.question)
    ImportRow.objects.bulk_update(waiting, ["uncounted", "question"], batch_size=AT_ONCE)
    return len(waiting)
