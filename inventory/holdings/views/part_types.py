"""Pages of the kinds of parts: what there is, by their figures, and lots whose words have not been read."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from inventory.holdings.actions.parts import read_kinds, save_part_type
from inventory.holdings.filters import PartTypeFilter
from inventory.holdings.forms import PartTypeForm
from inventory.holdings.models import PartType
from inventory.holdings.queries.parts import part_types
from inventory.house.access import needs
from inventory.house.records.pages import WELCOME, correct_page, reason_in
from inventory.house.sheets import sheet


@needs("view", "holdings.parttype")
def part_type_list(request: HttpRequest) -> HttpResponse:
    """Every kind of part, with how many lots are of it."""
    found = PartTypeFilter(request.GET, queryset=part_types())
    return render(request, "holdings/part_types.html", {"filter": found, "page": sheet(request, found.qs)})


def _form(request: HttpRequest, row: PartType, heading: str) -> HttpResponse:
    back = reverse("holdings:part-types")

    def save(form: Any) -> tuple[str, str]:
        saved = save_part_type(form.save(commit=False), by=request.user, reason=reason_in(form))
        return f"{saved}: written.", back

    return correct_page(
        request, row, lambda data: PartTypeForm(data, instance=row), save, why=WELCOME, heading=heading, back=back
    )


@needs("add", "holdings.parttype")
def part_type_add(request: HttpRequest) -> HttpResponse:
    return _form(request, PartType(), "A kind of part")


@needs("change", "holdings.parttype")
def part_type_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(PartType, pk=pk)
    return _form(request, row, f"Change: {row}")


@require_POST
@needs("change", "holdings.partlot")
def read_lots(request: HttpRequest) -> HttpResponse:
    """Give the lots without a kind of part the one that their words state in full."""
    count = read_kinds(by=request.user)
    told = f"{count} lot{'s' * (count != 1)} read" if count else "None of them states value and unit in full"
    messages.success(request, f"{told}; what cannot be read stays as found.")
    return redirect(f"{reverse('holdings:part-list')}?kind=none")
