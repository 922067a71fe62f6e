"""Recording that the list of a box was printed."""

from collections.abc import Iterable

from django.db import transaction

from inventory.holdings.models import BoxPrint
from inventory.holdings.queries.labels import BoxList


@transaction.atomic
def record_prints(boxes: Iterable[BoxList]) -> int:
    """Keep what each list said when it was printed, so that a later change is noticed. Gives the number of lists."""
    count = 0
    for box in boxes:
        BoxPrint.objects.update_or_create(place=box.place, defaults={"digest": box.digest})
        count += 1
    return count
