"""Pages of set models with their positions and bays, and of the models of plug-in units."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from inventory.house.access import needs
from inventory.house.edit_pages import WITH_CHANGES, change_page
from inventory.house.history import changes_of
from inventory.house.records.pages import WELCOME, correct_page, reason_in
from inventory.sets.actions import save_bay, save_position, save_set_model, save_unit_model
from inventory.sets.forms import BayForm, PositionForm, SetModelForm, UnitModelForm
from inventory.sets.models import Bay, Position, SetModel, UnitModel
from inventory.sets.queries import SocketRow, chassis_here
from inventory.sets.queries.mercury import mercury_in


@needs("view", "sets.setmodel")
def model_page(request: HttpRequest, pk: int) -> HttpResponse:
    model = get_object_or_404(SetModel, pk=pk)
    positions = list(model.positions.select_related("type").order_by("id"))
    context = {
        "model": model,
        "positions": positions,
        "mercury": mercury_in([SocketRow(position, None) for position in positions], model),
        "bays": model.bays.order_by("id"),
        "unit_models": model.unit_models.all(),
        "companion_kinds": model.companion_kinds.all(),
        "chassis": chassis_here().filter(model=model),
        "changes": changes_of(model),
    }
    return render(request, "sets/model.html", context)


def _model_address(pk: int) -> str:
    return reverse("sets:model", args=[pk])


@needs("add", "sets.setmodel")
def model_add(request: HttpRequest) -> HttpResponse:
    def save(form: Any) -> tuple[str, str]:
        row = save_set_model(form.save(commit=False), by=request.user)
        return f"{row} added. Now its positions and bays.", _model_address(row.pk)

    return change_page(
        request, SetModelForm, save, heading="Add a set model", act="Add", back=reverse("sets:chassis-list")
    )


@needs("change", "sets.setmodel")
def model_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(SetModel, pk=pk)

    def save(form: Any) -> tuple[str, str]:
        save_set_model(form.save(commit=False), by=request.user, reason=reason_in(form))
        return f"{row} written.", _model_address(pk)

    return correct_page(
        request, row, lambda data: SetModelForm(data, instance=row), save, why=WELCOME,
        heading=f"Change {row}", back=_model_address(pk),
    )  # fmt: skip


@needs("change", "sets.setmodel")
def position_add(request: HttpRequest, pk: int) -> HttpResponse:
    model = get_object_or_404(SetModel, pk=pk)

    def save(form: Any) -> tuple[str, str]:
        row = save_position(form.save(commit=False), by=request.user)
        whereto = request.path if "another" in request.POST else _model_address(pk)
        return f"Position {row.mark} added.", whereto

    def make(data: Any) -> Any:
        return PositionForm(data, instance=Position(set_model=model))

    return change_page(
        request, make, save, heading=f"A position of {model}", act="Add", another="Add, and another",
        back=_model_address(pk),
    )  # fmt: skip


@needs("change", "sets.position")
def position_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Position.objects.select_related("set_model", "type"), pk=pk)
    back = _model_address(row.set_model_id)

    def save(form: Any) -> tuple[str, str]:
        save_position(form.save(commit=False), by=request.user, reason=reason_in(form))
        return f"Position {row.mark} written.", back

    return correct_page(
        request, row, lambda data: PositionForm(data, instance=row), save, why=WELCOME,
        heading=f"Position {row}", back=back, template=WITH_CHANGES, changes=changes_of(row),
    )  # fmt: skip


@needs("change", "sets.setmodel")
def bay_add(request: HttpRequest, pk: int) -> HttpResponse:
    model = get_object_or_404(SetModel, pk=pk)

    def save(form: Any) -> tuple[str, str]:
        row = save_bay(form.save(commit=False), by=request.user)
        return f"Bay {row.mark} added.", _model_address(pk)

    def make(data: Any) -> Any:
        return BayForm(data, instance=Bay(set_model=model))

    return change_page(request, make, save, heading=f"A bay of {model}", act="Add", back=_model_address(pk))


@needs("add", "sets.unitmodel")
def unit_model_add(request: HttpRequest) -> HttpResponse:
    def save(form: Any) -> tuple[str, str]:
        row = save_unit_model(form.save(commit=False), list(form.cleaned_data["fits"]), by=request.user)
        return f"{row} added.", reverse("sets:unit-list")

    return change_page(
        request, UnitModelForm, save, heading="Add a unit model", act="Add", back=reverse("sets:unit-list")
    )


@needs("change", "sets.unitmodel")
def unit_model_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(UnitModel, pk=pk)

    def save(form: Any) -> tuple[str, str]:
        save_unit_model(
            form.save(commit=False), list(form.cleaned_data["fits"]), by=request.user, reason=reason_in(form)
        )
        return f"{row} written.", reverse("sets:unit-list")

    return correct_page(
        request, row, lambda data: UnitModelForm(data, instance=row), save, why=WELCOME,
        heading=f"Change {row}", back=reverse("sets:unit-list"), template=WITH_CHANGES, changes=changes_of(row),
    )  # fmt: skip
