"""Pages for adding and changing tubes, for places, and for moving anything in the register."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone

from inventory.holdings.actions import add_tubes, change_place, change_tube, move, save_place
from inventory.holdings.actions.settling import with_marked_type
from inventory.holdings.forms import MoveForm, NewTubeForm, PlaceForm, TubeForm
from inventory.holdings.forms.alone import why_alone
from inventory.holdings.models import Item, Place, Tube
from inventory.holdings.queries import counts_of_place, items_in, places_with_counts
from inventory.holdings.queries.doubts import with_words_of_items
from inventory.holdings.queries.hazard_register import checks_at, hazards_at
from inventory.holdings.queries.together import counted_words, left_behind
from inventory.holdings.wording.moves import moved_words
from inventory.house.access import may, needs
from inventory.house.areas import thing_columns
from inventory.house.concerns import held_by, minded_when_carried
from inventory.house.edit_pages import change_page
from inventory.house.records.pages import WELCOME, correct_page, reason_in
from inventory.house.search import in_words
from inventory.house.sheets import sheet


@needs("add", "holdings.tube")
def tube_add(request: HttpRequest) -> HttpResponse:
    asked = request.GET
    start: dict[str, Any] = {key: asked[key] for key in ("marked", "type", "place", "state") if key in asked}
    if "like" in asked and (like := Tube.objects.select_related("item").filter(item__tag=asked["like"]).first()):
        # what was seen and measured on the first one says nothing of this one: it is untested, and nothing is noted
        alike = [name for name in TubeForm.base_fields if name not in ("state", "condition", "note")]
        start |= {name: getattr(like, name) for name in alike} | {"place": like.item.place_id}

    def save(form: Any) -> tuple[str, str]:
        tube, remark = with_marked_type(form.save(commit=False))
        cells = form.cleaned_data
        made = add_tubes(
            tube, by=request.user, on=timezone.localdate(), place=cells["place"], tag=cells["tag"], count=cells["count"]
        )
        tags = made[0].tag if len(made) == 1 else f"{made[0].tag} to {made[-1].tag}"
        return f"{tags} added.{remark}", made[0].item.get_absolute_url()

    back = reverse("holdings:tube-list")
    return change_page(
        request, lambda data: NewTubeForm(data, initial=start), save, heading="Add tubes", act="Add", back=back
    )


@needs("change", "holdings.tube")
def tube_change(request: HttpRequest, tag: str) -> HttpResponse:
    tube = get_object_or_404(Tube.objects.select_related("item", "type"), item__tag=tag)

    def save(form: Any) -> tuple[str, str]:
        row, remark = with_marked_type(form.save(commit=False))
        change_tube(row, by=request.user, reason=reason_in(form))
        return f"{tag} written.{remark}", tube.get_absolute_url()

    return correct_page(
        request, tube, lambda data: TubeForm(data, instance=tube), save, why=WELCOME,
        heading=f"Change {tag}", back=tube.get_absolute_url(),
    )  # fmt: skip


@needs("view", "holdings.place")
def place_list(request: HttpRequest) -> HttpResponse:
    return render(request, "holdings/places.html", {"rows": places_with_counts()})


@needs("view", "holdings.place")
def place_page(request: HttpRequest, pk: int) -> HttpResponse:
    place = get_object_or_404(Place.objects.select_related("parent"), pk=pk)
    rows = items_in(place).select_related(*thing_columns())
    page = sheet(request, rows)
    page.object_list = list(page.object_list)
    with_words_of_items(page.object_list)
    context = {
        "place": place,
        "page": page,
        "children": place.children.all(),
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


@needs("add", "holdings.movement")
def item_move(request: HttpRequest, tag: str) -> HttpResponse:
    item = get_object_or_404(Item.objects.select_related("place"), tag=tag)
    back = item.get_absolute_url()

    def save(form: Any) -> tuple[str, str]:
        cells = form.cleaned_data
        move([item], cells["place"], on=cells["on"], by=request.user, reason=cells["reason"], apart=cells["reason"])
        return moved_words(item, cells["place"]), back

    left = left_behind(item)
    counted = counted_words([item])
    counted = f"{counted} Out of its room it goes with a reason." if counted else ""
    start = {"place": item.place, "on": timezone.localdate()}
    now = in_words(held_by(item)) or (f"in {item.place.path}" if item.place else "without a place")
    heading = f"Move {tag}, now {now}"
    return change_page(
        request,
        lambda data: why_alone(MoveForm(data, initial=start), left, "reason"),
        save,
        heading=heading,
        act="Move",
        back=back,
        caution=" ".join(filter(None, [minded_when_carried([item]), left, counted])),
    )
