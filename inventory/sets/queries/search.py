"""What a text finds among sets and plug-in units: serials and names, and models by the words of their names."""

from django.db.models import Q

from inventory.house.search import Finds, begins, called, finds, thing_finds, told, worded
from inventory.sets.models import Chassis, PlugInUnit, SetModel, UnitModel


def search(text: str) -> list[Finds]:
    """Chassis and units by serial, digit for digit, or model and serial or tag (also those that left); else those
    whose serial begins so. Set models and unit models by name.
    """
    found: list[Finds] = []
    for kind, model in (("chassis", Chassis), ("plug-in unit", PlugInUnit)):
        rows = model._default_manager.select_related("model", "item__place").order_by("item__tag")
        names = called(text, "model__name", "serial") | called(text, "model__name", "item__tag")
        bearing = thing_finds(
            kind,
            rows.filter(Q(serial__iexact=text) | names),
            lambda row: (str(row), row.tag),
        )
        if not bearing and (begun := begins(text, "serial")) is not None:
            bearing = thing_finds(
                kind,
                rows.filter(begun),
                lambda row: (str(row), told(row.tag, "serial begins so")),
            )
        found += bearing
    if (named := worded(text, "name")) is not None:
        sets = SetModel.objects.filter(named).order_by("name")
        found += finds("set model", sets, lambda row: (row.name, row.kind))
        units = UnitModel.objects.filter(named).order_by("name")
        found += finds("unit model", units, lambda row: (row.name, ""))
    return found
