"""Rows to count from before the register said of what they are: named by what their cells bear."""

from inventory.exchange.models import ImportRow, ImportRun
from tubes.queries import knowledge, type_for_stamp

AT_ONCE = 500


def name_uncounted() -> int:
    """Say of every row that waits to be counted and does not say so what it is of. Returns how many were named.

    Runs after the database was brought up to date and after an archive came in; where nothing is to do, one query.
    """
    rows = ImportRow.objects.filter(
        run__state=ImportRun.WRITTEN, question__about="count", question__type__isnull=True, answered_at__isnull=True
    ).select_related("run")
    waiting = list(rows)
    if not waiting:
        return 0
    known = knowledge()
    for row in waiting:
        made = row.made.select_related("item__tube__type").first()
        kind = made.item.tube.type if made and hasattr(made.item, "tube") else None
        mark = row.mark_as_written or "not named"
        name = kind.name if kind else type_for_stamp(known.read(mark), known) or ""
        row.uncounted = (name or mark)[:80]
        row.question = {**row.question, "mark": mark, "type": name, "place": row.place_as_written}
    ImportRow.objects.bulk_update(waiting, ["uncounted", "question"], batch_size=AT_ONCE)
    return len(waiting)
