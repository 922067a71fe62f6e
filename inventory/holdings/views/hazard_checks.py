"""Pages of checks that found no hazard: of a thing, of a place in one step, corrected, struck out."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone

from inventory.holdings.actions.hazard_checks import check_place, check_things, left_out_words, save_check
from inventory.holdings.forms.hazards import CheckForm, CheckOfPlaceForm, CorrectCheckForm
from inventory.holdings.models import HazardCheck, Item, Place
from inventory.holdings.wording.hazard_register import LAW
from inventory.house.access import needs
from inventory.house.areas import thing_columns
from inventory.house.edit_pages import change_page, person
from inventory.house.history import changes_of
from inventory.house.records.pages import correct_page, reason_in, strike_page
from inventory.house.sheets import sheet

CAUTION = f"Look without opening, scraping or breaking; sets off, discharged and proved dead first. {LAW}"


def _start(request: HttpRequest) -> dict[str, Any]:
    return {"on": timezone.localdate(), "by_whom": person(request), "hazard": request.GET.get("hazard", "")}


@needs("add", "holdings.hazardcheck")
def item_check(request: HttpRequest, tag: str) -> HttpResponse:
    """A thing was looked at and none was found."""
    item = get_object_or_404(Item, tag=tag)
    back = reverse("holdings:item-hazards", args=[tag])

    def save(form: Any) -> tuple[str, str]:
        row = check_things(form.save(commit=False), [item], by=request.user, today=timezone.localdate())
        return f"{tag}: {row}.", back

    return change_page(
        request, lambda data: CheckForm(data, initial=_start(request)), save, heading=f"{tag}: checked, none found",
        act="Write", back=back, caution=CAUTION,
    )  # fmt: skip


@needs("add", "holdings.hazardcheck")
def place_check(request: HttpRequest, pk: int) -> HttpResponse:
    """All that stands in a place was looked at and none was found."""
    place = get_object_or_404(Place, pk=pk)

    def save(form: Any) -> tuple[str, str]:
        row, left = check_place(
            form.save(commit=False), place, by=request.user, with_bearing=form.cleaned_data["with_bearing"],
            today=timezone.localdate(),
        )  # fmt: skip
        told = f"Left out: {left_out_words(left)}" if left else ""
        return f"{row.things.count()} things: {row}. {told}".strip(), row.get_absolute_url()

    return change_page(
        request, lambda data: CheckOfPlaceForm(data, initial=_start(request)), save,
        heading=f"{' '.join(filter(None, (place.path, place.name)))}: all checked, none found",
        act="Write", back=place.get_absolute_url(), caution=CAUTION,
    )  # fmt: skip


@needs("view", "holdings.hazardcheck")
def check_page(request: HttpRequest, pk: int) -> HttpResponse:
    """A check with its things."""
    row = get_object_or_404(HazardCheck, pk=pk)
    things = row.things.select_related(*thing_columns()).order_by("tag")
    context = {"check": row, "page": sheet(request, things), "changes": changes_of(row), "law": LAW}
    return render(request, "holdings/hazard_check.html", context)


@needs("change", "holdings.hazardcheck")
def check_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(HazardCheck, pk=pk)

    def save(form: Any) -> tuple[str, str]:
        saved = save_check(
            form.save(commit=False), by=request.user, without=form.cleaned_data["without"], reason=reason_in(form),
            today=timezone.localdate(),
        )  # fmt: skip
        return f"{saved}: written.", saved.get_absolute_url()

    return correct_page(
        request, row, lambda data: CorrectCheckForm(data, instance=row), save, heading=f"Correct: {row}",
        back=row.get_absolute_url(),
    )  # fmt: skip


@needs("change", "holdings.hazardcheck")
def check_strike(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(HazardCheck, pk=pk)
    return strike_page(request, row, heading=f"Strike out: {row} ({row.how})", back=row.get_absolute_url())
