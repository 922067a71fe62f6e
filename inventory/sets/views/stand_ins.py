"""What may stand in for a part of a set model: written, changed, struck out; what sits in a set; all of it as JSON."""

from typing import Any

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.views.decorators.http import require_GET

from inventory.house.access import needs
from inventory.house.edit_pages import WITH_CHANGES
from inventory.house.history import changes_of
from inventory.house.records.pages import WELCOME, correct_page, reason_in, strike_page
from inventory.sets.actions.stand_ins import save_fitted, save_stand_in, strike_stand_in
from inventory.sets.forms.stand_ins import StandInFittedForm, StandInForm
from inventory.sets.models import Position, SetModel, StandIn, StandInFitted
from inventory.sets.queries import chassis_here
from inventory.sets.queries.stand_ins import stand_ins_asked
from inventory.sets.views.stays import BENCH_CAUTION


def _word_form(request: HttpRequest, row: StandIn, **page: Any) -> HttpResponse:
    back = row.set_model.get_absolute_url()
    start = {"on": timezone.localdate()} if not row.pk else {}

    def save(form: Any) -> tuple[str, str]:
        saved = save_stand_in(
            form.save(commit=False), today=timezone.localdate(), by=request.user, reason=reason_in(form)
        )
        return f"{saved}: written.", back

    return correct_page(
        request, row, lambda data: StandInForm(data, instance=row, initial=start), save, why=WELCOME, back=back,
        caution="What serves in one set model may kill in another. It is shown beside what others say and hides none "
        "of it.", **page,
    )  # fmt: skip


@needs("add", "sets.standin")
def stand_in_add(request: HttpRequest, pk: int) -> HttpResponse:
    """``?position=``: the position it is for."""
    model = get_object_or_404(SetModel, pk=pk)
    asked = request.GET.get("position", "")
    row = StandIn(set_model=model, position=Position.objects.filter(set_model=model, mark=asked).first())
    return _word_form(request, row, heading=f"A stand-in for a part of {model}")


@needs("change", "sets.standin")
def stand_in_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(StandIn.objects.select_related("set_model", "position"), pk=pk)
    return _word_form(request, row, heading=f"Change: {row}", template=WITH_CHANGES, changes=changes_of(row))


@needs("change", "sets.standin")
def stand_in_strike(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(StandIn.objects.select_related("set_model", "position"), pk=pk)
    return strike_page(
        request, row, back=row.set_model.get_absolute_url(), heading=f"Strike out: {row}",
        strike=lambda form: strike_stand_in(row, form.cleaned_data["why"], by=request.user),
    )  # fmt: skip


def _fitted_form(request: HttpRequest, row: StandInFitted, **page: Any) -> HttpResponse:
    back = row.chassis.get_absolute_url()
    start = {"since": timezone.localdate(), "stand_in": request.GET.get("stand_in", "")} if not row.pk else {}

    def save(form: Any) -> tuple[str, str]:
        saved = save_fitted(
            form.save(commit=False), today=timezone.localdate(), by=request.user, reason=reason_in(form)
        )
        return f"{saved.stand_in}: written for {saved.chassis}.", back

    return correct_page(
        request, row, lambda data: StandInFittedForm(data, instance=row, initial=start), save, why=WELCOME,
        caution=row.chassis.model.caution or BENCH_CAUTION, back=back, **page,
    )  # fmt: skip


@needs("add", "sets.standinfitted")
def fitted_add(request: HttpRequest, tag: str) -> HttpResponse:
    """``?stand_in=``: which."""
    chassis = get_object_or_404(chassis_here(), item__tag=tag)
    return _fitted_form(request, StandInFitted(chassis=chassis), heading=f"Put into {chassis} in place of a part")


@needs("change", "sets.standinfitted")
def fitted_change(request: HttpRequest, pk: int) -> HttpResponse:
    rows = StandInFitted.objects.select_related("chassis__model", "chassis__item", "stand_in__position")
    row = get_object_or_404(rows, pk=pk)
    return _fitted_form(
        request, row, heading=f"From when to when: {row}", template=WITH_CHANGES, changes=changes_of(row)
    )


@require_GET
@needs("view", "sets.setmodel")
@needs("view", "sets.standin")
@needs("view", "sets.standinfitted")
def api_stand_ins(request: HttpRequest) -> JsonResponse:
    """``/api/stand-ins?name=MODEL`` or a tag; without a name all that is curated: as ``manage.py stand_ins``."""
    try:
        return JsonResponse(stand_ins_asked(request.GET.get("name", "")).as_dict())
    except ValueError as refusal:
        return JsonResponse({"errors": {"name": [str(refusal)]}}, status=400)
