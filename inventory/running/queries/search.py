"""What a text finds among instruments."""

from inventory.house.search import Finds, finds, worded
from inventory.running.models import Instrument


def search(text: str) -> list[Finds]:
    """Instruments by the words of their names."""
    named = worded(text, "name")
    if named is None:
        return []
    return finds("instrument", Instrument.objects.filter(named).order_by("name"), lambda row: (row.name, ""))
