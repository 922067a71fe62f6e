"""Pages of sets and units, of tubes with where they are fitted, and the forms that put things into sets."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone

from inventory.holdings.forms import LendForm
from inventory.holdings.forms.alone import why_alone
from inventory.holdings.models import Item, Tube
from inventory.holdings.views import left_behind
from inventory.house.access import needs
from inventory.house.concerns import mates_of, ties_between, undone_by_another_tube
from inventory.house.edit_pages import change_page
from inventory.house.sheets import sheet
from inventory.sets.actions import (
    add_serialled,
    change_serialled,
    correct_stay,
    fit,
    lend_out,
    part_with,
    save_bay,
    save_position,
    save_set_model,
    save_unit_model,
    seat,
    take_out,
    unseat,
)
from inventory.sets.filters import ChassisFilter, OwnedTubeFilter, UnitFilter
from inventory.sets.forms import (
    BayForm,
    ChassisForm,
    FitForm,
    FittingForm,
    NewChassisForm,
    NewUnitForm,
    OutForm,
    PartForm,
    PositionForm,
    SeatForm,
    SeatingForm,
    SetModelForm,
    UnitForm,
    UnitModelForm,
)
from inventory.sets.models import Bay, Chassis, Fitting, PlugInUnit, Position, Seating, SetModel, UnitModel
from inventory.sets.queries import chassis_here, open_fittings, owned_tubes, set_models, units_here
from inventory.sets.queries.substitutes import judged_before_fitting, tube_tagged

BENCH_CAUTION = (
    "Plate supply off, discharged and proved dead before a hand goes in; mercury rectifiers stay upright; hot glass. "
    "Local codes and licensed practice come first."
)


@needs("view", "holdings.tube")
def tube_list(request: HttpRequest) -> HttpResponse:
    found = OwnedTubeFilter(request.GET, queryset=owned_tubes())
    return render(request, "holdings/tubes.html", {"filter": found, "page": sheet(request, found.qs)})


@needs("view", "sets.chassis")
def chassis_list(request: HttpRequest) -> HttpResponse:
    found = ChassisFilter(request.GET, queryset=chassis_here())
    context = {"filter": found, "page": sheet(request, found.qs), "models": set_models()}
    return render(request, "sets/chassis_list.html", context)


@needs("view", "sets.pluginunit")
def unit_list(request: HttpRequest) -> HttpResponse:
    found = UnitFilter(request.GET, queryset=units_here())
    context = {"filter": found, "page": sheet(request, found.qs), "models": UnitModel.objects.prefetch_related("fits")}
    return render(request, "sets/unit_list.html", context)


@needs("view", "sets.setmodel")
def model_page(request: HttpRequest, pk: int) -> HttpResponse:
    model = get_object_or_404(SetModel, pk=pk)
    context = {
        "model": model,
        "positions": model.positions.select_related("type").order_by("id"),
        "bays": model.bays.order_by("id"),
        "unit_models": model.unit_models.all(),
        "companion_kinds": model.companion_kinds.all(),
        "chassis": chassis_here().filter(model=model),
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
        save_set_model(form.save(commit=False), by=request.user)
        return f"{row} written.", _model_address(pk)

    return change_page(
        request, lambda data: SetModelForm(data, instance=row), save, heading=f"Change {row}", back=_model_address(pk)
    )


@needs("change", "sets.setmodel")
def position_add(request: HttpRequest, pk: int) -> HttpResponse:
    model = get_object_or_404(SetModel, pk=pk)

    def save(form: Any) -> tuple[str, str]:
        row = save_position(form.save(commit=False), by=request.user)
        return f"Position {row.mark} added.", _model_address(pk)

    def make(data: Any) -> Any:
        return PositionForm(data, instance=Position(set_model=model))

    return change_page(request, make, save, heading=f"A position of {model}", act="Add", back=_model_address(pk))


@needs("change", "sets.position")
def position_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Position.objects.select_related("set_model", "type"), pk=pk)
    back = _model_address(row.set_model_id)

    def save(form: Any) -> tuple[str, str]:
        save_position(form.save(commit=False), by=request.user)
        return f"Position {row.mark} written.", back

    return change_page(
        request, lambda data: PositionForm(data, instance=row), save, heading=f"Position {row}", back=back
    )


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
        save_unit_model(form.save(commit=False), list(form.cleaned_data["fits"]), by=request.user)
        return f"{row} written.", reverse("sets:unit-list")

    return change_page(
        request,
        lambda data: UnitModelForm(data, instance=row),
        save,
        heading=f"Change {row}",
        back=reverse("sets:unit-list"),
    )


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
    return change_page(
        request, lambda data: form_class(data, initial=start), save, heading=heading, act="Add", back=back
    )


def _change_thing(request: HttpRequest, row: Any, form_class: Any) -> HttpResponse:
    def save(form: Any) -> tuple[str, str]:
        change_serialled(form.save(commit=False), by=request.user, twin_confirmed=form.cleaned_data["twin_confirmed"])
        return f"{row.tag} written.", row.get_absolute_url()

    return change_page(
        request, lambda data: form_class(data, instance=row), save, heading=f"Change {row}", back=row.get_absolute_url()
    )


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


def _judged(position: Position, tube: Tube | None) -> dict[str, Any]:
    """What the judge says of the tube that is to be fitted, or why it cannot."""
    try:
        return {"judgement": judged_before_fitting(position, tube)}
    except ValueError as fault:
        return {"not_judged": str(fault)}


@needs("add", "sets.fitting")
def tube_fit(request: HttpRequest, tag: str, pk: int) -> HttpResponse:
    chassis = get_object_or_404(chassis_here(), item__tag=tag)
    position = get_object_or_404(Position.objects.select_related("type"), pk=pk, set_model=chassis.model)
    current = open_fittings().filter(chassis=chassis, position=position).select_related("tube__item").first()

    def save(form: Any) -> tuple[str, str]:
        row = fit(chassis=chassis, position=position, today=timezone.localdate(), by=request.user, **form.cleaned_data)
        look = " Look below which pairs are due now." if position.neutralized else ""
        return f"{row.tube.tag} fitted in {position.mark}.{look}", chassis.get_absolute_url()

    asked = request.POST.get("tube") or request.GET.get("tube", "")
    tube = tube_tagged(asked)
    start = {"tube": asked, "since": timezone.localdate(), "replace": current is not None}
    wants = f", wants {position.type}" if position.type else ""
    heading = f"{chassis} {position.mark}{wants}" + (f"; holds {current.tube.tag}" if current else "; empty")
    return change_page(
        request, lambda data: FitForm(data, initial=start), save,
        heading=heading, act="Fit", back=chassis.get_absolute_url(), caution=chassis.model.caution or BENCH_CAUTION,
        undone=undone_by_another_tube(chassis, position), template="sets/fit.html", **_judged(position, tube),
        mates=mates_of(tube.item) if tube else [],
    )  # fmt: skip


@needs("add", "sets.fitting")
def tube_out(request: HttpRequest, pk: int) -> HttpResponse:
    fitting = get_object_or_404(
        Fitting.objects.select_related("tube__item", "chassis__model", "chassis__item", "position"), pk=pk
    )

    def save(form: Any) -> tuple[str, str]:
        cells = form.cleaned_data
        take_out(
            fitting, until=cells["until"], until_at=cells["until_at"], place=cells["place"],
            today=timezone.localdate(), by=request.user,
        )  # fmt: skip
        return f"{fitting.tube.tag} is out of {fitting.position.mark}.", fitting.chassis.get_absolute_url()

    start = {"until": timezone.localdate()}
    return change_page(
        request, lambda data: OutForm(data, initial=start), save,
        heading=f"Take {fitting.tube.tag} out of {fitting.chassis} {fitting.position.mark}", act="Take out",
        back=fitting.chassis.get_absolute_url(), caution=fitting.chassis.model.caution or BENCH_CAUTION,
    )  # fmt: skip


def _stay_correct(request: HttpRequest, stay: Any, form_class: Any, heading: str) -> HttpResponse:
    def save(form: Any) -> tuple[str, str]:
        correct_stay(form.save(commit=False), today=timezone.localdate(), by=request.user)
        return "Corrected; what it said before stays in its history.", stay.chassis.get_absolute_url()

    def make(data: Any) -> Any:
        return form_class(data, instance=stay)

    return change_page(request, make, save, heading=heading, act="Correct", back=stay.chassis.get_absolute_url())


@needs("change", "sets.fitting")
def fitting_correct(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(
        Fitting.objects.select_related("tube__item", "chassis__model", "chassis__item", "position"), pk=pk
    )
    return _stay_correct(request, row, FittingForm, f"Correct: {row.tube.tag} in {row.chassis} {row.position.mark}")


@needs("change", "sets.seating")
def seating_correct(request: HttpRequest, pk: int) -> HttpResponse:
    rows = Seating.objects.select_related("unit__item", "unit__model", "chassis__model", "chassis__item", "bay")
    row = get_object_or_404(rows, pk=pk)
    return _stay_correct(request, row, SeatingForm, f"Correct: {row.unit} in {row.chassis}")


@needs("add", "sets.seating")
def unit_seat(request: HttpRequest, tag: str, pk: int) -> HttpResponse:
    chassis = get_object_or_404(chassis_here(), item__tag=tag)
    bay = get_object_or_404(Bay, pk=pk, set_model=chassis.model)

    def save(form: Any) -> tuple[str, str]:
        cells = form.cleaned_data
        seat(cells["unit"], chassis, bay, since=cells["since"], today=timezone.localdate(), by=request.user)
        return f"{cells['unit']} is in bay {bay.mark}.", chassis.get_absolute_url()

    def make(data: Any) -> Any:
        return SeatForm(data, initial={"since": timezone.localdate()}, set_model=chassis.model)

    return change_page(
        request, make, save, heading=f"{chassis}, bay {bay.mark}", act="Put in",
        back=chassis.get_absolute_url(), caution=chassis.model.caution or BENCH_CAUTION,
    )  # fmt: skip


@needs("add", "sets.seating")
def unit_out(request: HttpRequest, pk: int) -> HttpResponse:
    seating = get_object_or_404(
        Seating.objects.select_related("unit__item", "unit__model", "chassis__model", "chassis__item", "bay"), pk=pk
    )

    tied = ties_between(seating.unit.item, seating.chassis.item)

    def make(data: Any) -> Any:
        form = OutForm(data, initial={"until": timezone.localdate()})
        del form.fields["until_at"]
        return why_alone(form, "; ".join(tied), needed=False)

    def save(form: Any) -> tuple[str, str]:
        cells = form.cleaned_data
        unseat(
            seating, until=cells["until"], place=cells["place"], today=timezone.localdate(), by=request.user,
            why=cells.get("why", ""),
        )  # fmt: skip
        return f"{seating.unit} is out of bay {seating.bay.mark}.", seating.chassis.get_absolute_url()

    return change_page(
        request, make, save, heading=f"Take {seating.unit} out of {seating.chassis}", act="Take out",
        back=seating.chassis.get_absolute_url(),
        caution=" ".join([seating.chassis.model.caution or BENCH_CAUTION, *(f"Tied: {mate}." for mate in tied)]),
    )  # fmt: skip


@needs("change", "holdings.item")
def item_lend(request: HttpRequest, tag: str) -> HttpResponse:
    item = get_object_or_404(Item, tag=tag)
    left = left_behind(item)

    def save(form: Any) -> tuple[str, str]:
        cells = form.cleaned_data
        why = cells.get("why", "")
        lend_out(item, cells["lent_to"], on=cells["on"], today=timezone.localdate(), by=request.user, why=why)
        return f"{tag} is lent to {item.lent_to}.", item.get_absolute_url()

    start = {"on": timezone.localdate()}
    return change_page(
        request,
        lambda data: why_alone(LendForm(data, initial=start), left),
        save,
        heading=f"Lend {tag}",
        act="Lend",
        back=item.get_absolute_url(),
        caution=left,
    )


@needs("change", "holdings.item")
def item_part_with(request: HttpRequest, tag: str) -> HttpResponse:
    item = get_object_or_404(Item, tag=tag)
    left = left_behind(item)

    def save(form: Any) -> tuple[str, str]:
        cells, today = form.cleaned_data, timezone.localdate()
        part_with(item, cells["how"], on=cells["on"], today=today, by=request.user, why=cells.get("why", ""))
        return f"{tag} has left the collection. Its record and its tag stay.", item.get_absolute_url()

    start = {"on": timezone.localdate()}
    return change_page(
        request, lambda data: why_alone(PartForm(data, initial=start), left), save,
        heading=f"Part with {tag}", act="Part with it", grave=True, back=item.get_absolute_url(), caution=left,
    )  # fmt: skip
