"""Pages of how far a plan is, and its report for the next keeper."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone

from inventory.house.access import needs
from inventory.house.edit_pages import person
from inventory.house.paper import paper_of, pdf_answer, site_of
from inventory.restoration.models import Plan
from inventory.restoration.queries.progress import progress_of
from inventory.restoration.queries.report import report_of


@needs("view", "restoration.plan")
def progress_page(request: HttpRequest, pk: int) -> HttpResponse:
    """What was done, what waits, which tubes went in and out, with their readings before and after."""
    plan = get_object_or_404(Plan, pk=pk)
    found = progress_of(plan)
    return render(request, "restoration/progress.html", {"found": found, "plan": plan, "works": found.works})


@needs("view", "restoration.plan")
def report_page(request: HttpRequest, pk: int) -> HttpResponse:
    """What the next keeper has to know."""
    plan = get_object_or_404(Plan, pk=pk)
    return render(request, "restoration/report.html", {"report": report_of(plan, timezone.localdate()), "plan": plan})


@needs("view", "restoration.plan")
def report_paper(request: HttpRequest, pk: int) -> HttpResponse:
    """The same on paper, with the photographs."""
    from inventory.restoration.views.report_pdf import report_pdf  # its fonts load slowly: when asked

    plan = get_object_or_404(Plan, pk=pk)
    address = site_of(request)(reverse("restoration:report", args=[plan.pk]))
    today = timezone.localdate()
    body = report_pdf(report_of(plan, today), address, paper=paper_of(request), by=person(request))
    return pdf_answer(body, f"restoration-{plan.pk}")
