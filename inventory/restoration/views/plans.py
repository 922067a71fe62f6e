"""Pages of plans: all of them, one with every line, a set as if it were planned, the assignment."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.house.access import needs
from inventory.house.records.pages import WELCOME, correct_page, reason_in
from inventory.house.sheets import sheet
from inventory.restoration.actions import release, release_all, reserve_all, reserve_tube, save_plan
from inventory.restoration.forms import PlanForm
from inventory.restoration.models import Plan, Reservation
from inventory.restoration.queries.allocation import assigned, if_swapped
from inventory.restoration.queries.allotment import allotment, open_plans
from inventory.restoration.queries.answer import Readiness, answer_of, readiness
from inventory.restoration.queries.plans import plan_lines, works_of
from inventory.restoration.rules.allocation import Points
from inventory.restoration.wording import grouped
from inventory.sets.models import Chassis, Position


@needs("view", "restoration.plan")
def plan_list(request: HttpRequest) -> HttpResponse:
    """All plans with their counts, the open ones in the order in which they are served."""
    return render(request, "restoration/plans.html", {"page": sheet(request, plan_lines())})


def _shown(request: HttpRequest, found: Readiness, **more: Any) -> HttpResponse:
    context = {
        "found": found, "plan": found.cover.plan, "count": found.cover.count, "groups": grouped(found.cover.lines),
        **more,
    }  # fmt: skip
    return render(request, "restoration/plan.html", context)


@needs("view", "restoration.plan")
def plan_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Can it start? Every line by what is to be done."""
    plan = get_object_or_404(Plan, pk=pk)
    others = [one for one in open_plans() if one.pk != plan.pk] if plan.is_open else []
    return _shown(
        request,
        answer_of(plan, timezone.localdate()),
        others=others,
        kept=plan.reservations.count(),
        works=works_of(plan),
    )


@needs("view", "restoration.plan")
def set_page(request: HttpRequest, tag: str) -> HttpResponse:
    """The same for a set that is in no plan, as if it were."""
    chassis = get_object_or_404(Chassis.objects.select_related("model", "item"), item__tag=tag)
    found = readiness(chassis.tag, timezone.localdate())
    return _shown(request, found, as_if=chassis, plans=chassis.plans.all())


def _plan_form(request: HttpRequest, row: Plan, heading: str, back: str) -> HttpResponse:
    start = {"sets": Chassis.objects.filter(item__tag=request.GET.get("set", "")[:20])} if not row.pk else {}

    def save(form: Any) -> tuple[str, str]:
        saved = save_plan(
            form.save(commit=False), list(form.cleaned_data["sets"]), today=timezone.localdate(), by=request.user,
            reason=reason_in(form),
        )  # fmt: skip
        return f"{saved}: written.", saved.get_absolute_url()

    return correct_page(
        request, row, lambda data: PlanForm(data, instance=row, initial=start), save, why=WELCOME,
        heading=heading, back=back,
    )  # fmt: skip


@needs("add", "restoration.plan")
def plan_add(request: HttpRequest) -> HttpResponse:
    return _plan_form(request, Plan(), "Plan a restoration", reverse("restoration:plan-list"))


@needs("change", "restoration.plan")
def plan_change(request: HttpRequest, pk: int) -> HttpResponse:
    plan = get_object_or_404(Plan, pk=pk)
    return _plan_form(request, plan, f"Change: {plan}", plan.get_absolute_url())


@needs("view", "restoration.plan")
def assignment(request: HttpRequest) -> HttpResponse:
    """Who gets which tube in every open plan; with ``?swap=1,2`` what would change if two swapped their priorities."""
    found = allotment()
    context: dict[str, Any] = {
        "page": sheet(request, assigned(found)), "cost": found.total_cost, "plans": open_plans(), "points": Points(),
    }  # fmt: skip
    keys = [int(key) for key in request.GET.getlist("swap") if key.isascii() and key.isdigit() and len(key) < 10]
    swap = [plan for plan in context["plans"] if plan.pk in keys]
    if len(swap) == 2:
        context |= {"swap": swap, "changes": if_swapped(*swap)}
    elif keys:
        context["swap_fault"] = "Choose two open plans."
    return render(request, "restoration/assignment.html", context)


@require_POST
@needs("change", "restoration.reservation")
def keep_all(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep back every good tube that the assignment gives to this plan."""
    plan = get_object_or_404(Plan, pk=pk)
    try:
        kept = reserve_all(plan, on=timezone.localdate(), by=request.user)
    except ValidationError as refusal:  # somebody was quicker
        messages.error(request, " ".join(refusal.messages))
        return redirect(plan)
    messages.success(request, f"{len(kept)} kept back for {plan}." if kept else "There was nothing to keep back.")
    return redirect(plan)


@require_POST
@needs("change", "restoration.reservation")
def let_all_go(request: HttpRequest, pk: int) -> HttpResponse:
    """Let go of everything that is kept back for this plan."""
    plan = get_object_or_404(Plan, pk=pk)
    messages.success(request, f"{release_all(plan, by=request.user)} let go.")
    return redirect(plan)


@require_POST
@needs("change", "restoration.reservation")
def keep_one(request: HttpRequest, pk: int, tag: str, position: int) -> HttpResponse:
    """Keep back the tube that is proposed for one position."""
    plan = get_object_or_404(Plan, pk=pk)
    chassis = get_object_or_404(Chassis.objects.select_related("model", "item"), item__tag=tag)
    place = get_object_or_404(Position, pk=position)
    found = allotment()
    for number, slot in enumerate(found.slots):
        taken = int(found.taken[number])
        if (slot.plan.pk, slot.chassis.pk, slot.position.pk) == (plan.pk, chassis.pk, place.pk) and taken >= 0:
            tube = found.stock.tubes[taken]
            try:
                reserve_tube(plan, chassis, place, tube, on=timezone.localdate(), by=request.user)
            except ValidationError as refusal:  # somebody was quicker
                messages.error(request, " ".join(refusal.messages))
            else:
                messages.success(request, f"{tube.tag} kept back for {place.mark}.")
            return redirect(plan)
    messages.error(request, f"Nothing is proposed for {place.mark} any more.")
    return redirect(plan)


@require_POST
@needs("change", "restoration.reservation")
def let_go(request: HttpRequest, pk: int) -> HttpResponse:
    """Let go of one thing."""
    row = get_object_or_404(Reservation.objects.select_related("plan", "item"), pk=pk)
    release(row, by=request.user)
    messages.success(request, f"{row.item.tag} let go.")
    return redirect(row.plan)
