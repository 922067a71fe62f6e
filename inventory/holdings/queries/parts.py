"""Questions about part lots and hazards."""

from django.db.models import QuerySet

from inventory.holdings.models import HazardMark, Item, PartLot


def part_lots() -> QuerySet[PartLot]:
    """Part lots that have not left, with tag and place at hand."""
    return PartLot.objects.filter(item__gone_on__isnull=True).select_related("item__place")


def hazards_of(item: Item) -> QuerySet[HazardMark]:
    """Every hazard mark of a thing, by name."""
    return item.hazards.order_by("hazard")
