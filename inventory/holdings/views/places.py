"""Pages of places: the tree, one place with what lies in it, a change, two that become one, one that goes."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from inventory.holdings.actions import change_place, merge_places, remove_place, save_place
from inventory.holdings.forms import PlaceForm
from inventory.holdings.forms.places import PlaceMergeForm, PlaceRemoveForm
from inventory.holdings.models import Place
from inventory.holdings.queries import children_with_counts, counts_of_place, items_in, place_now, places_with_counts
from inventory.holdings.queries.doubts import with_words_of_items
from inventory.holdings.queries.hazard_register import checks_at, hazards_at
from inventory.house.access import may, needs
from inventory.house.areas import thing_columns
from inventory.house.edit_pages import change_page
from inventory.house.records.pages import WELCOME, correct_page, reason_in
from inventory.house.sheets import sheet


@needs("view", "holdings.place")
def place_list(request: HttpRequest) -> HttpResponse:
    return render(request, "holdings/places.html", {"rows": places_with_counts()})


@needs("view", "holdings.place")
def place_page(request: HttpRequest, pk: int) -> HttpResponse:
    place = place_now(pk)
    if place is None:
        raise Http404("There is no such place.")
    if place.pk != pk:
        messages.info(request, f"The place that was asked for is {place.path} now.")
        return redirect("holdings:place", place.pk)
    rows = items_in(place).select_related(*thing_columns())
    page = sheet(request, rows)
    page.object_list = list(page.object_list)
    with_words_of_items(page.object_list)
    context = {
        "place": place,
        "page": page,
        "children": children_with_counts(place),
        "counts": counts_of_place(place),
        "hazards": hazards_at(place) if may(request.user, "view", "holdings.hazardmark") else (),
        "checks": checks_at(place) if may(request.user, "view", "holdings.hazardcheck") else (),
    }
    return render(request, "holdings/place.html", context)


@needs("add", "holdings.place")
def place_add(request: HttpRequest) -> HttpResponse:
    def save(form: Any) -> tuple[str, str]:
        place = save_place(form.save(commit=False), by=request.user)
        return f"Place {place} added.", reverse("holdings:place", args=[place.pk])

    start = {"parent": request.GET.get("inside")}
    back = reverse("holdings:place-list")
    return change_page(
        request, lambda data: PlaceForm(data, initial=start), save, heading="Add a place", act="Add", back=back
    )


@needs("change", "holdings.place")
def place_change(request: HttpRequest, pk: int) -> HttpResponse:
    place = get_object_or_404(Place, pk=pk)
    back = reverse("holdings:place", args=[pk])

    def save(form: Any) -> tuple[str, str]:
        row = form.save(commit=False)
        count = change_place(row, on=timezone.localdate(), by=request.user, reason=reason_in(form))
        return f"Place {row} written{f', and {count} of the things in it moved with it' if count else ''}.", back

    return correct_page(
        request, place, lambda data: PlaceForm(data, instance=place), save, why=WELCOME,
        heading=f"Place {place}", back=back,
    )  # fmt: skip


@needs("change", "holdings.place")
def place_merge(request: HttpRequest, pk: int) -> HttpResponse:
    place = get_object_or_404(Place, pk=pk)

    def save(form: Any) -> tuple[str, str]:
        cells = form.cleaned_data
        count = merge_places(place, cells["into"], on=cells["on"], by=request.user, reason=cells["reason"])
        told = f"{place.path} is {cells['into'].path} now; {count} thing{'' if count == 1 else 's'} lie there."
        return told, reverse("holdings:place", args=[cells["into"].pk])

    start = {"on": timezone.localdate()}
    return change_page(
        request, lambda data: PlaceMergeForm(data, initial=start, place=place), save,
        heading=f"{place.path} {place.name} is another place that is here already", act="Make them one",
        back=reverse("holdings:place", args=[pk]),
    )  # fmt: skip


@needs("change", "holdings.place")
def place_remove(request: HttpRequest, pk: int) -> HttpResponse:
    place = get_object_or_404(Place, pk=pk)

    def save(form: Any) -> tuple[str, str]:
        path = remove_place(place, by=request.user, reason=form.cleaned_data["reason"])
        return f"Place {path} deleted.", reverse("holdings:place-list")

    return change_page(
        request, PlaceRemoveForm, save, heading=f"Delete the place {place.path} {place.name}", act="Delete it",
        back=reverse("holdings:place", args=[pk]),
    )  # fmt: skip
