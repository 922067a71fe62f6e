"""Pages of what is reserved: the assignment over all plans, reserving and releasing."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.house.access import needs
from inventory.house.sheets import sheet
from inventory.restoration.actions import (
    release,
    release_all,
    release_line,
    reserve_all,
    reserve_at,
    reserve_line,
)
from inventory.restoration.models import Plan, Requirement, Reservation
from inventory.restoration.queries.allocation import assigned, if_swapped, short_of
from inventory.restoration.queries.allotment import allotment, open_plans
from inventory.restoration.queries.parts import line_key
from inventory.restoration.queries.proposed import proposed
from inventory.restoration.rules.allocation import Points
from inventory.restoration.rules.part_lots import PartPoints
from inventory.sets.models import Chassis, Position


@needs("view", "restoration.plan")
def assignment(request: HttpRequest) -> HttpResponse:
    """Who gets what in every open plan; with ``?one=1&other=2`` what would change if two swapped their priorities."""
    found = allotment()
    context: dict[str, Any] = {
        "page": sheet(request, assigned(found)), "short": sheet(request, short_of(found), name="short"),
        "cost": found.total_cost, "plans": open_plans(), "points": Points(),
        "part_points": PartPoints(),
    }  # fmt: skip
    asked = [request.GET.get(name, "") for name in ("one", "other")]
    by_key = {str(plan.pk): plan for plan in context["plans"]}
    chosen = [by_key[key] for key in dict.fromkeys(asked) if key in by_key]
    if len(chosen) == 2:
        context["swap"] = if_swapped(chosen[0], chosen[1], found)
    elif any(asked):
        context["swap_fault"] = "Choose two open plans."
    return render(request, "restoration/assignment.html", context | {"chosen": chosen})


@require_POST
@needs("change", "restoration.reservation")
def reserve_proposed(request: HttpRequest, pk: int) -> HttpResponse:
    """Reserve every good tube, and all parts, that the assignment gives to this plan."""
    plan = get_object_or_404(Plan, pk=pk)
    try:
        kept = reserve_all(plan, on=timezone.localdate(), by=request.user, seen=_seen(request))
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
        return redirect(plan)
    told = f"{len(kept)} reserved for {plan}." if kept else "There was nothing to reserve."
    told += " What is untested, or of another type that nobody approved there, stays free: decide at its line."
    if number := proposed(plan, allotment()).in_service:
        told += f" {number} stand{'s' * (number == 1)} in a set in service: decide at the line."
    messages.success(request, told)
    return redirect(plan)


@require_POST
@needs("change", "restoration.reservation")
def release_everything(request: HttpRequest, pk: int) -> HttpResponse:
    """Release everything that is reserved for this plan."""
    plan = get_object_or_404(Plan, pk=pk)
    messages.success(request, f"{release_all(plan, by=request.user)} released.")
    return redirect(plan)


@require_POST
@needs("change", "restoration.reservation")
def reserve_one(request: HttpRequest, pk: int, tag: str, position: int) -> HttpResponse:
    """Reserve the tube that is proposed for one position."""
    plan = get_object_or_404(Plan, pk=pk)
    chassis = get_object_or_404(Chassis.objects.select_related("model", "item"), item__tag=tag)
    place = get_object_or_404(Position, pk=position)
    try:
        row = reserve_at(plan, chassis, place, on=timezone.localdate(), by=request.user, seen=_seen(request))
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        messages.success(request, f"{row.item.tag} reserved for {place.mark}.")
    return redirect(plan)


def _seen(request: HttpRequest) -> str:
    """What the page showed as proposed; empty where it does not say."""
    return request.POST.get("seen", "")


@require_POST
@needs("change", "restoration.reservation")
def release_one(request: HttpRequest, pk: int) -> HttpResponse:
    """Release one thing."""
    row = get_object_or_404(Reservation.objects.select_related("plan", "item"), pk=pk)
    release(row, by=request.user)
    messages.success(request, f"{row.item.tag} released.")
    return redirect(row.plan)


@require_POST
@needs("change", "restoration.reservation")
def reserve_of_lots(request: HttpRequest, pk: int) -> HttpResponse:
    """Reserve the parts that are proposed for one line."""
    plan = get_object_or_404(Plan, pk=pk)
    try:
        key = line_key(request.POST.get("line", ""))
        kept = reserve_line(plan, key, on=timezone.localdate(), by=request.user, seen=_seen(request))
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
        return redirect(plan)
    told = ", ".join(f"{row.quantity} of {row.item.tag}" for row in kept)
    messages.success(request, f"{told} reserved for {kept[0].requirement}.")
    return redirect(plan)


@require_POST
@needs("change", "restoration.reservation")
def release_of_line(request: HttpRequest, pk: int) -> HttpResponse:
    """Release all parts that are reserved for a line."""
    row = get_object_or_404(Requirement.objects.select_related("plan"), pk=pk)
    count = release_line(row, by=request.user)
    messages.success(request, f"Parts of {count} lot{'s' * (count != 1)} released.")
    return redirect(row.plan)
