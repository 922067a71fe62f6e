"""The page of figures that are missing, most wanted first."""

from types import SimpleNamespace

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from inventory.frontpage.forms import GapForm
from inventory.house.access import may, needs
from inventory.house.sheets import sheet


@needs("view", "tubes.tubetype")
def gap_list(request: HttpRequest) -> HttpResponse:
    """Types owned or wanted here that lack figures; each leads to the form that its sheet is typed into."""
    form = GapForm(request.GET)
    rows = form.found() if form.is_valid() else []
    return render(
        request, "tubes/gaps.html",
        {
            "filter": SimpleNamespace(form=form), "page": sheet(request, rows),
            "may_write": may(request.user, "add", "tubes.rating"),
        },
    )  # fmt: skip
