"""What this area shows on the pages of sets and of set models."""

from inventory.house.areas import Panel
from inventory.restoration.models import Plan
from inventory.sets.models import Chassis, SetModel


def of_set(chassis: Chassis) -> Panel:
    """The plans that a set is in, the open ones first, and how many weak parts of its model are known (two queries)."""
    plans = sorted(Plan.objects.filter(sets=chassis), key=lambda plan: not plan.is_open)
    free = not chassis.item.gone_on and not any(plan.is_open for plan in plans)
    told = {"free": free, "weak": chassis.model.weak_parts.count()}  # type: ignore[attr-defined]
    return Panel("Restoration", "restoration/panel_set.html", chassis, plans, told)


def of_model(model: SetModel) -> Panel:
    """The parts that are known to be weak in every set of a model, with all that is said of each (two queries)."""
    rows = list(model.weak_parts.select_related("type").prefetch_related("said"))  # type: ignore[attr-defined]
    return Panel("Known weak parts", "restoration/panel_model.html", model, rows)
