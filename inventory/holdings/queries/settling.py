"""Tubes that lie here without a type and bear a mark that settles it by now."""

from django.db.models import QuerySet

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


def marked_alike(text: str) -> tuple[list[str], QuerySet[Tube]]:
    """(spellings, tubes) here without a type whose mark is this text, whatever its case and spaces (one query).

    The comparison is Python's, so that no alphabet depends on the database: 6н8с and 6Н8С are one.
    """
    loose = tubes_here().filter(type__isnull=True)
    borne = loose.order_by("marked").values_list("marked", flat=True).distinct()
    alike = [one for one in borne if _plainly(one) == _plainly(text)] if text.strip() else []
    return alike, loose.filter(marked__in=alike).order_by("item_id")


def _plainly(text: str) -> str:
    return " ".join(text.split()).casefold()


def unsettled_of(name: str) -> list[Tube]:
    """Tubes here without a type whose mark means this type (two queries)."""
    marks = marks_of_now(name)
    if not marks:
        return []
    return list(tubes_here().filter(type__isnull=True, marked__in=marks).select_related("item").order_by("item_id"))
