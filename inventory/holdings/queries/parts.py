"""Questions about part lots and hazards."""

from django.db.models import QuerySet

from inventory.holdings.models import HazardMark, Item, PartLot

#: What is usual with each hazard. Common practice, no source; local codes and licensed practice come first.
CARE = {
    "high voltage": "Supply off, discharged and proved dead before a hand goes in; never alone at a live set.",
    "stored charge": "Capacitors keep their charge: discharge through a resistor, prove dead, short while working.",
    "mercury": "Keep upright, carry in a box. If it breaks: people out, air in, no sweeping, no vacuum cleaner.",
    "radium": "Luminous paint: do not open, scrape or sand; keep closed and apart; wash hands.",
    "beryllia": "White ceramic of power tubes may be beryllium oxide: never grind, file, break or blast it.",
    "PCB oil": "Oil capacitors and transformers made before 1979 may hold PCB: gloves, a tray under leaks.",
    "asbestos": "Do not cut, brush or blow on heat shields and cords; leave in place and ask a licensed firm.",
    "selenium": "A selenium rectifier that burns gives off poisonous smoke: air the room, do not run it to find out.",
    "X-rays": "Above about 10 kV tubes can give X-rays: shields on, distance, measured by somebody who may.",
    "implosion": "Large bulbs are under vacuum: goggles, gloves, never lift by the neck.",
    "weight": "Two people or a hoist; empty racks and drawers first; mind the fingers.",
    "other": "See the reason.",
}


def part_lots() -> QuerySet[PartLot]:
    """Part lots that have not left, with tag and place at hand."""
    return PartLot.objects.filter(item__gone_on__isnull=True).select_related("item__place")


def hazards_of(item: Item) -> QuerySet[HazardMark]:
    """Every hazard mark of a thing, by name."""
    return item.hazards.order_by("hazard")
