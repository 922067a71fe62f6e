"""What a text finds among companions, mated sets and their pieces."""

from django.db.models import Q

from inventory.house.search import Finds, called, finds, thing_finds, told, worded
from inventory.pairing.models import Companion
from inventory.sets.models import MatedPart, MatedSet


def search(text: str) -> list[Finds]:
    """Companions by their serial or that of their set, or by what they are; mated sets and their
    pieces by number or name.
    """
    named = worded(text, "kind__name")
    bearing = Q(serial__iexact=text) | Q(mate_serial__iexact=text) | called(text, "kind__name", "serial")
    rows = Companion.objects.filter(bearing if named is None else bearing | named)
    rows = rows.select_related("kind__set_model", "item__place").order_by("item__tag")
    found = thing_finds("companion", rows, lambda row: (str(row), row.tag))
    named = worded(text, "name")
    sets = MatedSet.objects.filter(Q(number__iexact=text) if named is None else Q(number__iexact=text) | named)
    found += finds("mated set", sets.order_by("name"), lambda row: (row.name, row.number))
    named = worded(text, "name")
    parts = MatedPart.objects.filter(Q(number__iexact=text) if named is None else Q(number__iexact=text) | named)
    parts = parts.select_related("mated_set", "item")
    return found + finds("mated piece", parts, lambda row: (str(row), told(row.number, row.item and row.item.tag)))
