"""Numbers that things had in lists taken in before they were facts: they stand beside the other facts of the thing."""

from collections import Counter
from typing import Any

from django.db import transaction

from inventory.holdings.models import Fact
from inventory.lists.models import ImportMade

AT_ONCE = 500
NUMBER, A_ROW = "number", "row"  # as facts of the register say them


@transaction.atomic
def tell_own_numbers() -> int:
    """Say of every thing of a list that has a number there, and no fact of it, which. Returns how many were told.

    The number of a row that made several things is told as the row's, for so many.
    """
    made, facts = ImportMade.objects, Fact.objects
    rows = (
        made.filter(facts__number__isnull=False).order_by("pk").values_list("row_id", "item_id", "item__tag", "facts")
    )
    waiting = [(row, item, said["number"]) for row, item, tag, said in rows if _own(said["number"], tag)]
    if not waiting:
        return 0
    told = set(facts.filter(about=NUMBER).values_list("item_id", flat=True))
    things = Counter(made.filter(row_id__in={row for row, _, _ in waiting}).values_list("row_id", flat=True))
    new = [
        Fact(
            item_id=item, about=NUMBER, text=number, from_list=True,
            **({"per": A_ROW, "of_count": things[row]} if things[row] > 1 else {}),
        )
        for row, item, number in waiting if item not in told
    ]  # fmt: skip
    facts.bulk_create(new, batch_size=AT_ONCE)
    return len(new)


def _own(number: Any, tag: str) -> bool:
    return isinstance(number, str) and bool(number.strip()) and number.strip().upper() != tag
