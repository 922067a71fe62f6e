"""Pages of pairs: the table, a chassis and a unit with their pairs, companions."""

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone

from inventory.holdings.queries import movements_of
from inventory.house.access import needs
from inventory.house.edit_pages import WITH_CHANGES, change_page, way_back
from inventory.house.history import changes_of
from inventory.house.records.pages import WELCOME, correct_page, reason_in
from inventory.house.sheets import sheet
from inventory.pairing.actions import (
    add_companion,
    change_companion,
    record_comparison,
    save_companion_kind,
)
from inventory.pairing.forms import (
    CompanionForm,
    CompanionKindForm,
    ComparisonForm,
    NewCompanionForm,
    PairingFilterForm,
)
from inventory.pairing.models import Companion, CompanionCheck, CompanionKind
from inventory.pairing.queries import COMPANION, UNIT, PairFilter, pair_list, pairing_table, told_of
from inventory.pairing.views.ledger import correct, start_of_pair
from inventory.sets.models import Chassis, PlugInUnit
from inventory.sets.queries import bays_of, seatings_of_unit, sockets_of
from inventory.sets.queries.mercury import mercury_in
from tubes.queries import knowledge

LATEST = 12  # lines of the ledger on the page of a thing; all of them stand on the ledger's own


@needs("view", "pairing.neutralization")
def table(request: HttpRequest) -> HttpResponse:
    form = PairingFilterForm(request.GET or None)
    today = timezone.localdate()
    on, wanted = today, PairFilter()
    status = 200
    if form.is_bound:
        if form.is_valid():
            on, wanted = wanted_pairs(form, today)
        else:
            status = 422
    rows = pair_list(on, wanted)
    page = sheet(request, rows)  # type: ignore[arg-type]
    context = {
        "form": form, "page": page, "rows": list(page.object_list), "on": on, "today": today, "counts": rows.counts,
        "any": rows.anything,
    }  # fmt: skip
    return render(request, "pairing/table.html", context, status=status)


def wanted_pairs(form: forms.Form, today: Any) -> tuple[Any, PairFilter]:
    """The day and the filter that a valid filter form asks for."""
    cells = form.cleaned_data
    wanted = PairFilter(cells["chassis"], cells["unit"], cells["frequency"], tuple(cells["state"]))
    return cells["on"] or today, wanted


@needs("view", "sets.chassis")
def chassis_page(request: HttpRequest, tag: str) -> HttpResponse:
    chassis = get_object_or_404(Chassis.objects.select_related("model", "item__place"), item__tag__iexact=tag)
    today = timezone.localdate()
    rows = pairing_table(today, PairFilter(chassis_key=chassis.pk))
    told = told_of(chassis=chassis, on=today)
    known = knowledge()
    sockets = sockets_of(chassis, known)
    context = {
        "chassis": chassis,
        "item": chassis.item,
        "sockets": sockets,
        "mercury": mercury_in(sockets, chassis.model, known),
        "bays": bays_of(chassis),
        "pairs": [row for row in rows if row.kind == UNIT],
        "companions": [row for row in rows if row.kind == COMPANION],
        "told": told,
        "ledger": told.lines[:LATEST],
        "changes": changes_of(chassis, chassis.item),
        "movements": movements_of(chassis.item)[:10],
    }
    return render(request, "sets/chassis.html", context)


@needs("view", "sets.pluginunit")
def unit_page(request: HttpRequest, tag: str) -> HttpResponse:
    unit = get_object_or_404(PlugInUnit.objects.select_related("model", "item__place"), item__tag__iexact=tag)
    today = timezone.localdate()
    told = told_of(unit=unit, on=today)
    seatings = list(seatings_of_unit(unit))
    context = {
        "unit": unit,
        "item": unit.item,
        "pairs": pairing_table(today, PairFilter(unit_key=unit.pk)),
        "seating": next((row for row in seatings if row.until is None), None),
        "seatings": seatings,
        "told": told,
        "ledger": told.lines[:LATEST],
        "changes": changes_of(unit, unit.item),
        "movements": movements_of(unit.item)[:10],
    }
    return render(request, "sets/unit.html", context)


@needs("change", "pairing.companioncheck")
def comparison_correct(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(CompanionCheck.objects.select_related("companion__item", "companion__kind"), pk=pk)
    back = row.companion.item.get_absolute_url()
    return correct(request, row, record_comparison, ComparisonForm, "Correct a comparison", back)


@needs("add", "pairing.companionkind")
def companion_kind_add(request: HttpRequest) -> HttpResponse:
    def save(form: Any) -> tuple[str, str]:
        row = save_companion_kind(form.save(commit=False), by=request.user)
        return f"Every {row.set_model} should have its {row.name}.", reverse("sets:model", args=[row.set_model_id])

    start = {"set_model": request.GET.get("set_model")}
    return change_page(
        request, lambda data: CompanionKindForm(data, initial=start), save,
        heading="What every set of a model should have with it", act="Add", back=reverse("sets:chassis-list"),
    )  # fmt: skip


@needs("change", "pairing.companionkind")
def companion_kind_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(CompanionKind.objects.select_related("set_model"), pk=pk)
    back = reverse("sets:model", args=[row.set_model_id])

    def save(form: Any) -> tuple[str, str]:
        saved = save_companion_kind(form.save(commit=False), by=request.user, reason=reason_in(form))
        return f"{saved} written.", back

    return correct_page(
        request, row, lambda data: CompanionKindForm(data, instance=row), save, why=WELCOME,
        heading=f"Change {row}", back=back, template=WITH_CHANGES, changes=changes_of(row),
    )  # fmt: skip


@needs("view", "pairing.companion")
def companion_page(request: HttpRequest, tag: str) -> HttpResponse:
    row = get_object_or_404(
        Companion.objects.select_related("kind__set_model", "item__place", "kept_with__model", "kept_with__item"),
        item__tag__iexact=tag,
    )
    pairs = pairing_table(timezone.localdate(), PairFilter(kinds=(COMPANION,), companion_key=row.pk))
    context = {
        "companion": row,
        "item": row.item,
        "pair": pairs[0] if pairs else None,
        "changes": changes_of(row, row.item, *row.checks.all()[:5]),
        "checks": row.checks.select_related("chassis__model", "chassis__item").order_by("-on", "-pk"),
        "movements": movements_of(row.item)[:10],
    }
    return render(request, "pairing/companion.html", context)


@needs("add", "pairing.companion")
def companion_add(request: HttpRequest) -> HttpResponse:
    def save(form: Any) -> tuple[str, str]:
        cells = form.cleaned_data
        row = add_companion(
            form.save(commit=False), by=request.user, on=timezone.localdate(), place=cells["place"], tag=cells["tag"]
        )
        return f"{row} added as {row.tag}.", way_back(request, row.get_absolute_url())

    like = Companion.objects.select_related("item").filter(item__tag=request.GET.get("like", "")).first()
    start = {"kind": like.kind_id, "place": like.item.place_id} if like else {}  # its numbers are its own
    return change_page(
        request, lambda data: NewCompanionForm(data, initial=start), save, heading="Add a companion", act="Add",
        back=way_back(request, reverse("pairing:table")),
    )  # fmt: skip


@needs("change", "pairing.companion")
def companion_change(request: HttpRequest, tag: str) -> HttpResponse:
    row = get_object_or_404(Companion.objects.select_related("item", "kind"), item__tag=tag)

    def save(form: Any) -> tuple[str, str]:
        change_companion(form.save(commit=False), by=request.user, reason=reason_in(form))
        return f"{tag} written.", row.get_absolute_url()

    return correct_page(
        request, row, lambda data: CompanionForm(data, instance=row), save, why=WELCOME,
        heading=f"Change {row}", back=row.get_absolute_url(),
    )  # fmt: skip


@needs("add", "pairing.companioncheck")
def companion_compare(request: HttpRequest, tag: str) -> HttpResponse:
    row = get_object_or_404(Companion.objects.select_related("item", "kind__set_model"), item__tag=tag)

    def make(data: Any) -> Any:
        return ComparisonForm(data, initial=start_of_pair(request), instance=CompanionCheck(companion=row))

    def save(form: Any) -> tuple[str, str]:
        check = record_comparison(form.save(commit=False), today=timezone.localdate(), by=request.user)
        return f"{row} {check.outcome} with {check.chassis}.", row.get_absolute_url()

    return change_page(
        request, make, save, heading=f"Compare {row} with a set", act="Record", back=row.get_absolute_url()
    )
