"""Pages of the start sheet: to read and print, the blanks to type results into, a result corrected or struck out."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone

from inventory.house.access import may, needs
from inventory.house.edit_pages import change_page, person
from inventory.house.paper import paper_of, pdf_answer, site_of
from inventory.house.records.pages import correct_page, reason_in, strike_page
from inventory.restoration.actions import record_finding, record_findings
from inventory.restoration.forms.findings import FindingForm, FindingsForm
from inventory.restoration.models import Finding, Plan
from inventory.restoration.queries.start_sheet import StartSheet, start_sheet
from inventory.restoration.rules.start_rows import ORDER_OF_WORK, ORDER_RULE, ORDER_SOURCE, UNDO_SOURCE

STAYS_RELEASED = "What was released for its line by this stays free: reserve it again on the plan."
CAUTION = (
    "Nothing is measured alone. Plug out, discharged, proved dead and shorted before hands go in; what has to be read "
    "with power on is clipped on while dead and read with hands off. Local codes and licensed practice come first."
)


def _sheet(pk: int, tag: str) -> StartSheet:
    plan = get_object_or_404(Plan, pk=pk)
    chassis = get_object_or_404(plan.sets.select_related("model", "item"), item__tag=tag)
    return start_sheet(plan, chassis, timezone.localdate())


def _address(sheet: StartSheet) -> str:
    return reverse("restoration:start-sheet", args=[sheet.plan.pk, sheet.chassis.tag])


@needs("view", "restoration.plan")
def page(request: HttpRequest, pk: int, tag: str) -> HttpResponse:
    """What to look for, test and write down before a set gets power, and what was found so far."""
    context = {
        "sheet": _sheet(pk, tag), "caution": CAUTION, "order": ORDER_OF_WORK, "order_rule": ORDER_RULE,
        "order_sources": (ORDER_SOURCE, UNDO_SOURCE),
    }  # fmt: skip
    return render(request, "restoration/start_sheet.html", context)


@needs("view", "restoration.plan")
def paper(request: HttpRequest, pk: int, tag: str) -> HttpResponse:
    """The same on paper, with room to write."""
    from inventory.restoration.views.start_sheet_pdf import start_sheet_pdf  # its fonts load slowly: when asked

    sheet = _sheet(pk, tag)
    body = start_sheet_pdf(sheet, site_of(request)(_address(sheet)), paper=paper_of(request), by=person(request))
    return pdf_answer(body, f"start-sheet-{tag}")


def _may_release(request: HttpRequest) -> bool:
    """Whether what a line has reserved goes with a finding: a helper's leaves it, and the plan says so."""
    return may(request.user, "change", "restoration.reservation")


@needs("add", "restoration.finding")
def findings_add(request: HttpRequest, pk: int, tag: str) -> HttpResponse:
    """The blanks of the sheet, to type results into; each is a finding of its own, a later one beside the earlier."""
    sheet = _sheet(pk, tag)
    start = {"on": timezone.localdate(), "by_whom": person(request)}

    def save(form: Any) -> tuple[str, str]:
        rows = form.findings()
        if not rows:
            return "Nothing was typed in, so nothing is written.", _address(sheet)
        kept = record_findings(
            rows, today=timezone.localdate(), by=request.user, outside=form.outside, releases=_may_release(request)
        )
        return f"{len(kept)} written down.", _address(sheet)

    return change_page(
        request, lambda data: FindingsForm(data, sheet, initial=start), save, "restoration/findings.html",
        heading=f"Results: {sheet.chassis}", act="Write down", back=_address(sheet), caution=CAUTION, sheet=sheet,
    )  # fmt: skip


def _finding(pk: int) -> tuple[Finding, str]:
    row = get_object_or_404(Finding.objects.select_related("plan", "chassis__model", "chassis__item"), pk=pk)
    return row, reverse("restoration:start-sheet", args=[row.plan_id, row.chassis.tag])


@needs("change", "restoration.finding")
def finding_change(request: HttpRequest, pk: int) -> HttpResponse:
    row, back = _finding(pk)

    def save(form: Any) -> tuple[str, str]:
        saved = record_finding(
            form.save(commit=False), today=timezone.localdate(), by=request.user, reason=reason_in(form),
            outside=form.cleaned_data.get("outside", False), releases=_may_release(request),
        )  # fmt: skip
        return f"{saved}: written.", back

    return correct_page(
        request, row, lambda data: FindingForm(data, instance=row), save, heading=f"Correct: {row.asked or row.step}",
        back=back, caution=CAUTION,
    )  # fmt: skip


@needs("change", "restoration.finding")
def finding_strike(request: HttpRequest, pk: int) -> HttpResponse:
    row, back = _finding(pk)
    of_line = row.all_well and (row.weak_id or row.requirement_id)
    return strike_page(
        request, row, back=back, heading=f"Strike out: {row}", caution=STAYS_RELEASED if of_line else "",
    )  # fmt: skip
