"""Pages of instruments: the list, one with its repeatability and minimums, two beside each other."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone

from inventory.house.access import needs
from inventory.house.edit_pages import way_back
from inventory.house.history import changes_of
from inventory.house.records.pages import WELCOME, correct_page, reason_in
from inventory.house.sheets import sheet
from inventory.running.actions import save_instrument, save_minimum
from inventory.running.filters import InstrumentFilter
from inventory.running.forms import CompareForm, InstrumentForm, TypeMinimumForm
from inventory.running.models import Instrument, TypeMinimum
from inventory.running.queries import calibrations_due, compare, instrument_answer, instruments
from inventory.running.wording.charts import scatter_chart


def _address(pk: int) -> str:
    return reverse("running:instrument", args=[pk])


@needs("view", "running.instrument")
def instrument_list(request: HttpRequest) -> HttpResponse:
    found = InstrumentFilter(request.GET, queryset=instruments())
    overdue = {row.pk: end for row, end in calibrations_due(timezone.localdate())}
    context = {"filter": found, "page": sheet(request, found.qs), "overdue": overdue}
    return render(request, "running/instruments.html", context)


@needs("view", "running.instrument")
def instrument_page(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Instrument, pk=pk)
    answer = instrument_answer(row)
    form = CompareForm(request.GET if "other" in request.GET else None, instrument=row)
    found, status = None, 200
    if form.is_bound:
        if form.is_valid():
            found = compare(answer, form.cleaned_data["other"], form.cleaned_data["type"])
        else:
            status = 422
    context = {
        "instrument": row,
        "answer": answer,
        "form": form,
        "found": found,
        "chart": scatter_chart(found) if found else None,
        "changes": changes_of(row),
    }
    return render(request, "running/instrument.html", context, status=status)


def _instrument_form(request: HttpRequest, row: Instrument, heading: str) -> HttpResponse:
    def save(form: Any) -> tuple[str, str]:
        saved = save_instrument(
            form.save(commit=False), today=timezone.localdate(), by=request.user, reason=reason_in(form)
        )
        return f"{saved} written.", _address(saved.pk)

    back = _address(row.pk) if row.pk else reverse("running:instrument-list")
    return correct_page(
        request, row, lambda data: InstrumentForm(data, instance=row), save, why=WELCOME, heading=heading, back=back
    )


@needs("add", "running.instrument")
def instrument_add(request: HttpRequest) -> HttpResponse:
    return _instrument_form(request, Instrument(), "Add an instrument")


@needs("change", "running.instrument")
def instrument_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Instrument, pk=pk)
    return _instrument_form(request, row, f"Change {row}")


def _minimum_form(request: HttpRequest, row: TypeMinimum, heading: str) -> HttpResponse:
    back = way_back(request, _address(row.instrument_id))
    start = {"type": request.GET.get("type", "")} if not row.pk else {}

    def save(form: Any) -> tuple[str, str]:
        saved = save_minimum(form.save(commit=False), by=request.user, reason=reason_in(form))
        return f"{saved.type} on {saved.instrument}: minimum {saved.minimum:g}.", back

    return correct_page(
        request, row, lambda data: TypeMinimumForm(data, instance=row, initial=start), save, why=WELCOME,
        heading=heading, back=back,
    )  # fmt: skip


@needs("add", "running.typeminimum")
def minimum_add(request: HttpRequest, pk: int) -> HttpResponse:
    instrument = get_object_or_404(Instrument, pk=pk)
    return _minimum_form(request, TypeMinimum(instrument=instrument), f"The minimum of a type on {instrument}")


@needs("change", "running.typeminimum")
def minimum_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(TypeMinimum.objects.select_related("instrument", "type"), pk=pk)
    return _minimum_form(request, row, f"The minimum of {row.type} on {row.instrument}")
