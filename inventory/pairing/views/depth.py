"""Pages of one pair in depth, of the whole station, and of a set model's neutralizing circuit."""

from typing import Any

from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone

from inventory.house.access import needs
from inventory.house.records.pages import WELCOME, correct_page, reason_in
from inventory.house.sheets import sheet
from inventory.pairing.actions import save_bridge
from inventory.pairing.forms import BridgeForm, BridgeInsteadForm, StationForm
from inventory.pairing.queries import Instead, StationFilter, bridge_of, pair_in_depth, station_view
from inventory.pairing.rules.null import SAFETY
from inventory.sets.models import Chassis, PlugInUnit, SetModel

ACROSS = 12  # chassis on one sheet of the station view


@needs("view", "pairing.neutralization")
def pair_page(request: HttpRequest, chassis: str, unit: str) -> HttpResponse:
    one = get_object_or_404(Chassis.objects.select_related("model", "item"), item__tag__iexact=chassis)
    other = get_object_or_404(PlugInUnit.objects.select_related("model", "item"), item__tag__iexact=unit)
    found = pair_in_depth(one, other, timezone.localdate())
    if found is None:
        raise Http404(f"A {other.model} does not go into a {one.model}.")
    page = sheet(request, found.lines)  # type: ignore[arg-type]
    context = {"found": found, "chassis": one, "unit": other, "page": page, "caution": SAFETY}
    return render(request, "pairing/pair.html", context)


@needs("view", "pairing.neutralization")
def station(request: HttpRequest) -> HttpResponse:
    form = StationForm(request.GET or None)
    on, wanted, status = timezone.localdate(), StationFilter(), 200
    if form.is_bound and form.is_valid():
        cells = form.cleaned_data
        on = cells["on"] or on
        wanted = StationFilter(cells["chassis"], cells["unit"], cells["frequency"], tuple(cells["state"]))
    elif form.is_bound:
        status = 422
    whole = station_view(on).narrowed(wanted)
    page = Paginator(whole.chassis, ACROSS).get_page(request.GET.get("page"))
    query = request.GET.copy()
    query.pop("page", None)
    context = {
        "form": form,
        "whole": whole,
        "view": whole.of_chassis(page.start_index() - 1, page.end_index()),
        "page": page,
        "query": query.urlencode(),
        "frequency_kc": wanted.frequency_kc,
        "today": timezone.localdate(),
    }
    return render(request, "pairing/station.html", context, status=status)


@needs("view", "sets.setmodel")
def bridge_page(request: HttpRequest, pk: int) -> HttpResponse:
    """The capacitance that the neutralizing capacitor must have, for the types wanted and for one to put in instead."""
    model = get_object_or_404(SetModel, pk=pk)
    form = BridgeInsteadForm(request.GET if "type" in request.GET else None, circuit=model.bridge_circuit)
    instead = None
    if form.is_bound and form.is_valid():
        cells = form.cleaned_data
        instead = Instead(cells["type"].name, cells.get("cpk"), cells.get("cgf"), cells["frequency"])
    context = {
        "model": model,
        "form": form,
        "caution": SAFETY,
        "lines": bridge_of(model, instead),
        "figures": [(BridgeForm.FIGURES.get(name, name), value) for name, value in model.bridge.items()],
    }
    return render(request, "pairing/bridge.html", context, status=422 if form.errors else 200)


@needs("change", "sets.setmodel")
def bridge_set(request: HttpRequest, pk: int) -> HttpResponse:
    model = get_object_or_404(SetModel, pk=pk)
    back = reverse("pairing:bridge", args=[pk])

    def save(form: Any) -> tuple[str, str]:
        save_bridge(form.save(commit=False), by=request.user, reason=reason_in(form))
        return f"The neutralizing circuit of {model} is written.", back

    return correct_page(
        request, model, lambda data: BridgeForm(data, instance=model), save, why=WELCOME,
        heading=f"Neutralizing circuit of {model}", back=back,
    )  # fmt: skip
