"""Questions about part lots and hazards."""

from django.db.models import Count, Q, QuerySet

from inventory.holdings.models import HazardMark, Item, PartLot, PartType


def part_lots() -> QuerySet[PartLot]:
    """Part lots that have not left, with tag, place and kind of part at hand."""
    return PartLot.objects.filter(item__gone_on__isnull=True).select_related("item__place", "type")


def part_types() -> QuerySet[PartType]:
    """Every kind of part, with ``lots_here``: how many lots here are of it."""
    here = Count("lots", filter=Q(lots__item__gone_on__isnull=True))
    return PartType.objects.annotate(lots_here=here).order_by("kind", "value", "id")


def marks_of(item: Item) -> QuerySet[HazardMark]:
    """Every hazard mark of a thing, by name."""
    return item.hazards.order_by("hazard")
