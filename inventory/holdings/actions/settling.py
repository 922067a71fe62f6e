"""Tubes get the type that their mark means."""

from typing import Any

from django.db import transaction

from inventory.holdings.models import Tube
from inventory.holdings.queries.settling import unsettled_of
from inventory.house.writing import refuse, write
from tubes.models import TubeType
from tubes.queries import knowledge, other_meaning, type_for_stamp


@transaction.atomic
def settle_marked(kind: TubeType, *, by: Any) -> list[Tube]:
    """Give every unsettled tube whose mark means this type that type; its history says so. Refuses where none is."""
    tubes = unsettled_of(kind.name)
    if not tubes:
        raise refuse("__all__", f"No tube here without a type is marked as a {kind}.")
    for tube in tubes:
        tube.type = kind
        write(tube, by=by, reason=f"its mark means {kind} by now")
    return tubes


def with_marked_type(tube: Tube) -> tuple[Tube, str]:
    """Give a tube without a type (not written here) the one that its mark means, if there is just one; and what is to
    be said of it, as a sentence behind another.
    """
    known = knowledge()
    answer = known.read(tube.marked)
    name = type_for_stamp(answer, known)
    if tube.type:
        agree = not name or tube.type.name in known.kin.same_as(name)
        return tube, "" if agree else f" Take care: the mark reads {name}, you say {tube.type}."
    if name:
        tube.type = TubeType.objects.get(name=name)
        return tube, f" Read as {name}."
    meanings = ", ".join(dict.fromkeys(r.type for r in answer.readings if r.type))
    return (
        tube,
        f" Its mark can mean {meanings}{other_meaning(answer)}: choose."
        if meanings
        else " Its mark is not in the tables: no type yet.",
    )
