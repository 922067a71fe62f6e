"""Pages of single lines: what the keeper adds to a plan; work that was done."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.holdings.models import PartLot
from inventory.house.access import may, needs
from inventory.house.edit_pages import person
from inventory.house.records.pages import WELCOME, correct_page, reason_in, strike_page
from inventory.restoration.actions import (
    record_work,
    save_requirement,
    strike_requirement,
    strike_work,
)
from inventory.restoration.forms import RequirementForm, WorkForm
from inventory.restoration.models import Plan, Requirement, Work

STARTS = ("chassis", "requirement", "weak_part", "put_in", "used", "settles")  # of a work, from a line of the plan
CAUTION = (
    "Supply off, discharged with a shorting stick and proved dead before hands go in; capacitors keep their charge. "
    "Local codes and licensed practice come first."
)


def _requirement_form(request: HttpRequest, row: Requirement, heading: str) -> HttpResponse:
    def save(form: Any) -> tuple[str, str]:
        saved = save_requirement(
            form.save(commit=False), today=timezone.localdate(), by=request.user, reason=reason_in(form)
        )
        return f"{saved}: written.", row.plan.get_absolute_url()

    return correct_page(
        request, row, lambda data: RequirementForm(data, instance=row), save, why=WELCOME, heading=heading,
        back=row.plan.get_absolute_url(),
    )  # fmt: skip


@needs("add", "restoration.requirement")
def requirement_add(request: HttpRequest, pk: int) -> HttpResponse:
    plan = get_object_or_404(Plan, pk=pk)
    return _requirement_form(request, Requirement(plan=plan), f"Add a line to {plan}")


@needs("change", "restoration.requirement")
def requirement_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Requirement.objects.select_related("plan"), pk=pk)
    return _requirement_form(request, row, f"Change: {row}")


@require_POST
@needs("change", "restoration.requirement")
def requirement_here(request: HttpRequest, pk: int) -> HttpResponse:
    """Say that a tool, a book or a part without a kind is at hand, from today on."""
    row = get_object_or_404(Requirement.objects.select_related("plan"), pk=pk)
    row.here_on = row.here_on or timezone.localdate()
    try:
        save_requirement(row, today=timezone.localdate(), by=request.user, reason="said to be at hand")
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        messages.success(request, f"{row}: at hand since {row.here_on}.")
    return redirect(row.plan)


@needs("change", "restoration.requirement")
def requirement_strike(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Requirement.objects.select_related("plan"), pk=pk)
    return strike_page(
        request, row, back=row.plan.get_absolute_url(), heading=f"Strike out: {row}",
        strike=lambda form: strike_requirement(row, form.cleaned_data["why"], by=request.user),
    )  # fmt: skip


def _work_form(request: HttpRequest, row: Work, heading: str) -> HttpResponse:
    start: dict[str, Any] = {"on": timezone.localdate(), "by_whom": person(request)} if not row.pk else {}
    if not row.pk:  # from a line of the plan
        start |= {name: request.GET[name] for name in STARTS if name in request.GET}
    rights = {
        "may_settle": may(request.user, "change", "restoration.requirement"),
        "may_claim": may(request.user, "change", "restoration.reservation"),
    }

    def save(form: Any) -> tuple[str, str]:
        cells = form.cleaned_data
        saved = record_work(
            form.save(commit=False), today=timezone.localdate(), by=request.user, reason=reason_in(form),
            photographs=cells.get("photographs"), settles=cells.get("settles", False),
            weak=cells.get("weak_part"), claimed=cells.get("claimed", False),
        )  # fmt: skip
        return f"{saved}: recorded.{_left_in(saved)}", row.plan.get_absolute_url()

    return correct_page(
        request, row, lambda data: WorkForm(data, instance=row, initial=start, **rights), save,
        heading=heading, back=row.plan.get_absolute_url(), caution=CAUTION,
    )  # fmt: skip


def _left_in(row: Work) -> str:
    """How many the lot holds now that the work is booked; empty where it took none."""
    lot = PartLot.objects.filter(pk=row.put_in_id).select_related("item").first() if row.used else None
    return f" {lot.tag} holds {lot.quantity_text} now." if lot else ""


@needs("add", "restoration.work")
def work_add(request: HttpRequest, pk: int) -> HttpResponse:
    plan = get_object_or_404(Plan, pk=pk)
    return _work_form(request, Work(plan=plan), f"Work done: {plan}")


@needs("change", "restoration.work")
def work_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Work.objects.select_related("plan"), pk=pk)
    return _work_form(request, row, f"Correct: {row}")


@needs("change", "restoration.work")
def work_strike(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Work.objects.select_related("plan", "put_in", "requirement"), pk=pk)
    told = [
        f"The {row.used} of {row.put_in.tag} that it took are given back to the lot."
        if row.used and row.put_in
        else "",
        f"The line {row.requirement} stays done, and what was released for it free; change it if it is not done, and "
        "reserve again."
        if _is_done(row.requirement)
        else "",
    ]
    return strike_page(
        request, row, back=row.plan.get_absolute_url(), heading=f"Strike out: {row}",
        caution=" ".join(filter(None, told)),
        strike=lambda form: strike_work(row, form.cleaned_data["why"], by=request.user),
    )  # fmt: skip


def _is_done(line: Requirement | None) -> bool:
    return line is not None and line.done_on is not None
