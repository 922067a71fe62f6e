"""All plans with what they come to."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Count, QuerySet

from inventory.restoration.models import Plan
from inventory.restoration.queries.allotment import Allotment, allotment
from inventory.restoration.queries.beside import where_away
from inventory.restoration.queries.cover import covers_of
from inventory.restoration.queries.reserved import still_kept
from inventory.restoration.rules.cover import Count as Lines
from inventory.sets.models import Chassis


@dataclass(frozen=True)
class PlanLine:
    """A plan in the list: its sets, how its lines stand (None where it is not open), and what is reserved.

    ``away``: of each set that is not here where it is, in words.
    """

    plan: Plan
    sets: tuple[Chassis, ...]
    count: Lines | None
    kept: int
    away: tuple[str, ...] = ()


def all_plans() -> QuerySet[Any]:
    """Every plan, the open ones first in the order in which they are served."""
    return Plan.objects.prefetch_related("sets__model", "sets__item", "findings")


def plan_lines(on: date, found: Allotment | None = None) -> list[PlanLine]:
    """Every plan with what its own page answers (a fixed number of queries)."""
    plans = list(all_plans())
    kept = dict(still_kept().order_by().values_list("plan").annotate(Count("pk")))
    found = found or allotment()
    covers = covers_of([plan for plan in plans if plan.is_open], on, found)
    told = []
    for plan in plans:
        count = covers[plan.pk].count if plan.pk in covers else None
        sets = tuple(plan.sets.all())
        away = tuple(f"{one}: {words}" for one in sets if count and (words := where_away(one)))
        told.append(PlanLine(plan, sets, count, kept.get(plan.pk, 0), away))
    order = {state: at for at, (state, _) in enumerate(Plan.STATES)}
    return sorted(told, key=lambda one: (not one.plan.is_open, one.plan.priority, order[one.plan.state], one.plan.name))
