"""Lists of chassis and plug-in units, and of tubes with where they are fitted; chassis and units added and changed."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone

from inventory.holdings.queries import with_own_number
from inventory.holdings.queries.doubts import with_words
from inventory.holdings.views.listed import listed
from inventory.house.access import may_see_money, needs
from inventory.house.edit_pages import change_page
from inventory.house.records.pages import WELCOME, correct_page, reason_in
from inventory.sets.actions import add_serialled, change_serialled
from inventory.sets.filters import ChassisFilter, OwnedTubeFilter, UnitFilter
from inventory.sets.forms import ChassisForm, NewChassisForm, NewUnitForm, UnitForm
from inventory.sets.models import Chassis, PlugInUnit, UnitModel
from inventory.sets.queries import chassis_here, owned_tubes, set_models, units_here, where_seated


@needs("view", "holdings.tube")
def tube_list(request: HttpRequest) -> HttpResponse:
    found = OwnedTubeFilter(request.GET, queryset=owned_tubes(), money=may_see_money(request.user))
    return render(
        request, "holdings/tubes.html", {"filter": found, "listed": listed(request, "tubes", found, with_words)}
    )


@needs("view", "sets.chassis")
def chassis_list(request: HttpRequest) -> HttpResponse:
    found = ChassisFilter(request.GET, queryset=with_own_number(chassis_here()), money=may_see_money(request.user))
    context = {"filter": found, "listed": listed(request, "chassis", found), "models": set_models()}
    return render(request, "sets/chassis_list.html", context)


@needs("view", "sets.pluginunit")
def unit_list(request: HttpRequest) -> HttpResponse:
    found = UnitFilter(request.GET, queryset=where_seated(with_own_number(units_here())))
    models = UnitModel.objects.prefetch_related("fits")
    context = {"filter": found, "listed": listed(request, "units", found), "models": models}
    return render(request, "sets/unit_list.html", context)


def _add_thing(request: HttpRequest, form_class: Any, heading: str, back: str) -> HttpResponse:
    def save(form: Any) -> tuple[str, str]:
        cells = form.cleaned_data
        row = add_serialled(
            form.save(commit=False),
            by=request.user,
            on=timezone.localdate(),
            place=cells["place"],
            tag=cells["tag"],
            twin_confirmed=cells["twin_confirmed"],
        )
        return f"{row} added as {row.tag}.", row.get_absolute_url()

    start = {"model": request.GET.get("model")}
    like = form_class._meta.model.objects.select_related("item").filter(item__tag=request.GET.get("like", "")).first()
    if like:  # its serial and what is noted are its own
        start = {"model": like.model_id, "place": like.item.place_id}
    return change_page(
        request, lambda data: form_class(data, initial=start), save, heading=heading, act="Add", back=back
    )


def _change_thing(request: HttpRequest, row: Any, form_class: Any) -> HttpResponse:
    def save(form: Any) -> tuple[str, str]:
        change_serialled(
            form.save(commit=False), by=request.user, twin_confirmed=form.cleaned_data["twin_confirmed"],
            reason=reason_in(form),
        )  # fmt: skip
        return f"{row.tag} written.", row.get_absolute_url()

    return correct_page(
        request, row, lambda data: form_class(data, instance=row), save, why=WELCOME,
        heading=f"Change {row}", back=row.get_absolute_url(),
    )  # fmt: skip


@needs("add", "sets.chassis")
def chassis_add(request: HttpRequest) -> HttpResponse:
    return _add_thing(request, NewChassisForm, "Add a chassis", reverse("sets:chassis-list"))


@needs("change", "sets.chassis")
def chassis_change(request: HttpRequest, tag: str) -> HttpResponse:
    return _change_thing(
        request, get_object_or_404(Chassis.objects.select_related("item", "model"), item__tag=tag), ChassisForm
    )


@needs("add", "sets.pluginunit")
def unit_add(request: HttpRequest) -> HttpResponse:
    return _add_thing(request, NewUnitForm, "Add a plug-in unit", reverse("sets:unit-list"))


@needs("change", "sets.pluginunit")
def unit_change(request: HttpRequest, tag: str) -> HttpResponse:
    return _change_thing(
        request, get_object_or_404(PlugInUnit.objects.select_related("item", "model"), item__tag=tag), UnitForm
    )
