"""What a text finds among sets and plug-in units: serials, and models by the words of their names."""

from inventory.house.search import Finds, finds, place_words, told, worded
from inventory.sets.models import Chassis, PlugInUnit, SetModel, UnitModel


def search(text: str) -> list[Finds]:
    """Chassis and units by serial, digit for digit (also those that left); set models and unit models by name."""
    found: list[Finds] = []
    for kind, model in (("chassis", Chassis), ("plug-in unit", PlugInUnit)):
        rows = model._default_manager.filter(serial__iexact=text).select_related("model", "item__place")
        found += finds(kind, rows.order_by("item__tag"), lambda row: (str(row), told(row.tag, place_words(row.item))))
    if (named := worded(text, "name")) is not None:
        sets = SetModel.objects.filter(named).order_by("name")
        found += finds("set model", sets, lambda row: (row.name, row.kind))
        units = UnitModel.objects.filter(named).order_by("name")
        found += finds("unit model", units, lambda row: (row.name, ""))
    return found
