"""Tubes that lie here without a type and bear a mark that settles it by now."""

from inventory.holdings.models import Tube
from inventory.holdings.queries.register import tubes_here
from tubes.queries import knowledge, type_for_stamp
from tubes.rules.text import fold_key


def marks_of_now(name: str) -> list[str]:
    """Marks of unsettled tubes that mean this type, as they stand (one query).

    Only marks that hold the name of the type or one of its numbers are read.
    """
    known = knowledge()
    same = known.kin.same_as(name) | {name}
    numbers = {fold_key(mark.designation) for mark in known.marks if mark.type in same} | {
        fold_key(one) for one in same
    }
    borne = tubes_here().filter(type__isnull=True).order_by("marked").values_list("marked", flat=True).distinct()
    held = [text for text in borne if any(number and number in fold_key(text) for number in numbers)]
    return [text for text in held if type_for_stamp(known.read(text), known) == name]


def unsettled_of(name: str) -> list[Tube]:
    """Tubes here without a type whose mark means this type (two queries)."""
    marks = marks_of_now(name)
    if not marks:
        return []
    return list(tubes_here().filter(type__isnull=True, marked__in=marks).select_related("item").order_by("item_id"))
