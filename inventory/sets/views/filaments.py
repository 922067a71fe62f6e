"""The filament supply of a set model, and of a chassis with what is fitted; trying another tube in a socket."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from inventory.house.access import needs
from inventory.sets.forms import InsteadForm
from inventory.sets.models import Chassis, SetModel
from inventory.sets.queries import chassis_here
from inventory.sets.queries.filaments import filaments_of


def _page(request: HttpRequest, model: SetModel, chassis: Chassis | None) -> HttpResponse:
    form = InsteadForm(request.GET or None, set_model=model)
    instead: dict[int, str] = {}
    if form.is_bound and form.is_valid():
        instead = {form.cleaned_data["position"].pk: form.cleaned_data["type"].name}
    found = filaments_of(model, chassis, instead)
    if not instead.keys() <= {line.position.pk for line in found.lines}:
        form.add_error("position", "Nothing changes: this position is not counted, for the reason given below.")
        instead = {}
    context: dict[str, Any] = {"model": model, "chassis": chassis, "form": form, "instead": instead, "found": found}
    return render(request, "sets/filaments.html", context)


@needs("view", "sets.setmodel")
def model_filaments(request: HttpRequest, pk: int) -> HttpResponse:
    return _page(request, get_object_or_404(SetModel, pk=pk), None)


@needs("view", "sets.chassis")
def chassis_filaments(request: HttpRequest, tag: str) -> HttpResponse:
    chassis = get_object_or_404(chassis_here(), item__tag=tag)
    return _page(request, chassis.model, chassis)
