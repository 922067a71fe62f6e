"""Pages of plans: all of them, one with every line, a set as if it were planned."""

from datetime import date
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone

from inventory.house.access import needs
from inventory.house.records.pages import WELCOME, correct_page, reason_in
from inventory.house.sheets import sheet
from inventory.restoration.actions import save_plan
from inventory.restoration.forms import PlanForm
from inventory.restoration.models import Plan
from inventory.restoration.queries.allotment import open_plans
from inventory.restoration.queries.answer import Readiness, answer_of
from inventory.restoration.queries.plans import plan_lines
from inventory.restoration.queries.progress import works_of
from inventory.restoration.queries.proposed import proposed
from inventory.restoration.queries.reserved import still_kept
from inventory.restoration.wording import grouped
from inventory.sets.models import Chassis


@needs("view", "restoration.plan")
def plan_list(request: HttpRequest) -> HttpResponse:
    """All plans with their counts, the open ones in the order in which they are served."""
    return render(request, "restoration/plans.html", {"page": sheet(request, plan_lines(timezone.localdate()))})


def _shown(request: HttpRequest, found: Readiness, **more: Any) -> HttpResponse:
    context = {
        "found": found, "plan": found.cover.plan, "name": found.cover.name,
        "count": found.cover.count, "groups": grouped(found.cover.lines),
        **more,
    }  # fmt: skip
    return render(request, "restoration/plan.html", context)


@needs("view", "restoration.plan")
def plan_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Can it start? Every line by what is to be done."""
    plan = get_object_or_404(Plan, pk=pk)
    others = [one for one in open_plans() if one.pk != plan.pk] if plan.is_open else []
    found = answer_of(plan, timezone.localdate())
    return _shown(
        request,
        found,
        others=others,
        kept=still_kept().filter(plan=plan).count(),
        seen=proposed(plan, found.cover.allotment).seen,
        works=works_of(plan),
    )


@needs("view", "restoration.plan")
def set_page(request: HttpRequest, tag: str) -> HttpResponse:
    """The same for one set: its lines in the open plan that has it, else as if it were planned."""
    chassis = get_object_or_404(Chassis.objects.select_related("model", "item"), item__tag=tag)
    return _shown(request, answer_of(chassis, timezone.localdate()), as_if=chassis)


def _plan_form(request: HttpRequest, row: Plan, heading: str, back: str) -> HttpResponse:
    start = (
        _turned(request, row) if row.pk else {"sets": Chassis.objects.filter(item__tag=request.GET.get("set", "")[:20])}
    )

    def save(form: Any) -> tuple[str, str]:
        said = row.began, row.ended
        saved = save_plan(
            form.save(commit=False), list(form.cleaned_data["sets"]), today=timezone.localdate(), by=request.user,
            reason=reason_in(form), as_it_is=form.cleaned_data.get("as_it_is", False),
        )  # fmt: skip
        return f"{saved}: written.{_filled_in(saved, *said)}", saved.get_absolute_url()

    return correct_page(
        request, row, lambda data: PlanForm(data, instance=row, initial=start), save, why=WELCOME,
        heading=heading, back=back,
    )  # fmt: skip


def _turned(request: HttpRequest, row: Plan) -> dict[str, Any]:
    """What the form starts with where it was opened to say that work begins, or that the plan is finished."""
    day = {Plan.AT_WORK: "began", Plan.FINISHED: "ended"}.get(state := request.GET.get("state", ""))
    return {"state": state, day: getattr(row, day) or timezone.localdate()} if day else {}


def _filled_in(row: Plan, began: date | None, ended: date | None) -> str:
    """Which days were filled in by writing a plan, in words; empty where none."""
    days = (("begun", row.began, began), ("finished", row.ended, ended))
    return "".join(f" It is down as {word} on {day}; change it if it was another day." for word, day, said in days
                   if day and not said)  # fmt: skip


@needs("add", "restoration.plan")
def plan_add(request: HttpRequest) -> HttpResponse:
    return _plan_form(request, Plan(), "Plan a restoration", reverse("restoration:plan-list"))


@needs("change", "restoration.plan")
def plan_change(request: HttpRequest, pk: int) -> HttpResponse:
    plan = get_object_or_404(Plan, pk=pk)
    return _plan_form(request, plan, f"Change: {plan}", plan.get_absolute_url())
