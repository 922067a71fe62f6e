"""What the register of hazards must know of sets: what stands in them, and which voltages are in them."""

from collections import defaultdict

from inventory.holdings.rules.hazard_grounds import Ground, of_voltages
from inventory.house.hazard_concerns import Inside
from inventory.sets.models import Chassis, Position, Seating
from inventory.sets.queries import open_fittings


def inside_sets() -> dict[int, Inside]:
    """By key of a tube or unit the set that it stands in, and where there (two queries)."""
    fittings = open_fittings().select_related("chassis__model", "chassis__item__place", "position")
    seatings = Seating.objects.filter(until__isnull=True).select_related(
        "chassis__model", "chassis__item__place", "bay"
    )
    return {
        **{row.tube_id: _inside(row.chassis, row.position.mark) for row in fittings},
        **{row.unit_id: _inside(row.chassis, f"bay {row.bay.mark}") for row in seatings},
    }


def _inside(chassis: Chassis, mark: str) -> Inside:
    item, place = chassis.item, chassis.item.place
    away = f"which is lent to {item.lent_to}" if item.lent_to else ""
    if not away and item.missed_on:
        away = f"which was not found on {item.missed_on}"
    return Inside(chassis.tag, place.path if place else "", f"in {mark} of {chassis.tagged}", away)


def voltages_of_sets() -> dict[int, list[Ground]]:
    """By key of a set high voltage and X-rays, by the plate voltages of the positions of its model (two queries)."""
    at: dict[int, list[tuple[str, float]]] = defaultdict(list)
    rows = Position.objects.filter(plate_v__isnull=False).values_list("set_model_id", "mark", "plate_v")
    for model, mark, volts in rows:
        at[model].append((mark, volts))
    sets = Chassis.objects.filter(item__gone_on__isnull=True).select_related("model")
    return {one.pk: list(of_voltages(at[one.model_id], str(one.model))) for one in sets if one.model_id in at}
