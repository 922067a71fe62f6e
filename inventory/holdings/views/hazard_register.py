"""The register of hazards: its page, and the same on paper."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone

from inventory.holdings.forms.hazard_register import RegisterForm
from inventory.holdings.queries.hazard_register import kinds_in
from inventory.holdings.wording.hazard_register import counted, register_printed, rows_of
from inventory.house.access import may, needs
from inventory.house.edit_pages import person
from inventory.house.hazard_concerns import people_to_ask
from inventory.house.paper import paper_of, pdf_answer, site_of
from inventory.house.sheets import sheet


@needs("view", "holdings.hazardmark")
def hazard_list(request: HttpRequest) -> HttpResponse:
    """All hazards by place, a sheet at a time; what to do about those of the sheet below."""
    form = RegisterForm(request.GET)
    if not form.is_valid():
        return render(request, "holdings/hazard_register.html", {"filter": {"form": form}}, status=422)
    register, entries = form.found()
    page = sheet(request, rows_of(entries))
    page.object_list = list(page.object_list)
    shown = [one for row in page.object_list for one in row.entries]
    asked = request.GET.copy()
    asked.pop("page", None)
    context = {
        "filter": {"form": form}, "page": page, "kinds": kinds_in(shown), "counted": counted(register),
        "people": _people(request), "asked": asked.urlencode(), "place": form.cleaned_data["place"],
    }  # fmt: skip
    return render(request, "holdings/hazard_register.html", context)


def _people(request: HttpRequest) -> list[tuple[str, str, str]]:
    """Whom of the house to ask; how to reach people is a matter of keepers."""
    return people_to_ask() if may(request.user, "change", "holdings.hazardmark") else []


@needs("view", "holdings.hazardmark")
def hazard_print(request: HttpRequest) -> HttpResponse:
    """The same as PDF, all of it; keepers have also whom of the house to ask."""
    form = RegisterForm(request.GET)
    if not form.is_valid():
        return render(request, "holdings/hazard_register.html", {"filter": {"form": form}}, status=422)
    from inventory.house.printed_pdf import printed_pdf  # its fonts load slowly: when asked

    register, entries = form.found()
    printed = register_printed(register, entries, form.asked, _people(request))
    asked = request.GET.copy()
    asked.pop("paper", None)
    address = reverse("holdings:hazard-list") + (f"?{asked.urlencode()}" if asked else "")
    foot = f"Register of hazards; printed {timezone.localtime():%Y-%m-%d %H:%M} by {person(request)}"
    body = printed_pdf(printed, site_of(request)(address), paper=paper_of(request), foot=foot)
    return pdf_answer(body, "hazards")
