"""Rows of lists taken in before remarks had codes: a remark that says a want gets its code and is known by that."""

from django.db import transaction
from django.db.models import TextField
from django.db.models.functions import Cast

from inventory.lists.models import ImportRow
from inventory.lists.rules.row_wants import WANT

AT_ONCE = 500
SAID_THEN = "a want, not a thing owned"  # how such a remark ended when its words were all there was


@transaction.atomic
def name_wants() -> int:
    """Give the remarks of before that say a want their code. Returns how many rows were named."""
    rows = ImportRow.objects
    said = rows.annotate(told=Cast("remarks", TextField())).filter(told__contains=f'{SAID_THEN}"').order_by("pk")
    named, last = 0, 0
    while batch := list(said.filter(pk__gt=last).defer("cells", "question")[:AT_ONCE]):
        last = batch[-1].pk
        waiting = [row for row in batch if any(map(_without_code, row.remarks))]
        for row in waiting:
            row.remarks = [{**one, "code": WANT} if _without_code(one) else one for one in row.remarks]
        rows.bulk_update(waiting, ["remarks"])
        named += len(waiting)
    return named


def _without_code(remark: dict[str, str]) -> bool:
    return not remark.get("code") and str(remark.get("reason", "")).endswith(SAID_THEN)
