"""Pages that print: labels for things and places, the list of what lies in a box, and boxes to list again."""

from typing import Any
from urllib.parse import urlsplit

from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.holdings.actions.labels import record_prints
from inventory.holdings.filters import TubeFilter
from inventory.holdings.forms.labels import BoxListForm, LabelForm
from inventory.holdings.models import BoxPrint, Item, Place
from inventory.holdings.queries.labels import (
    BoxList,
    box_lists,
    labels_of,
    place_labels,
    stale_boxes,
    things_here,
    things_tagged,
)
from inventory.holdings.queries.register import items_in, places_within
from inventory.holdings.rules.label_layout import LabelWords
from inventory.holdings.rules.tag_runs import MOST
from inventory.holdings.views.ticked import hands_on, ticked_tags
from inventory.house.access import may_see_money, needs
from inventory.house.areas import list_named
from inventory.house.paper import paper_of, pdf_answer, site_of


@needs("view", "holdings.item")
def label_sheet(request: HttpRequest, narrow: Any = TubeFilter) -> HttpResponse:
    """Labels of typed tags, of a place, or of the tubes of a narrowed list (``narrow`` is the filter of that list)."""
    tags = " ".join(request.GET.getlist("tag") + ticked_tags(request))
    start = {
        "tags": tags, "place": request.GET.get("place"),
        "narrowed": "" if tags or hands_on(request) else request.GET.get("narrowed", ""),
        "of": request.GET.get("of", LabelForm.THINGS), "sheet": request.COOKIES.get("label-sheet", "a4-24-gap"),
    }  # fmt: skip
    form = LabelForm(request.POST if request.method == "POST" else None, initial=start)
    if request.method == "POST" and form.is_valid():
        labels = _labels(request, form, narrow)
        if form.is_valid():
            from inventory.holdings.views.label_pdf import label_pdf  # its fonts and tables load slowly: when asked

            cells = form.cleaned_data
            body = label_pdf(
                labels, cells["sheet"], start=cells["start"], copies=cells["copies"], borders=cells["borders"]
            )
            answer = pdf_answer(body, "labels")
            answer.set_cookie("label-sheet", cells["sheet"].key, max_age=31536000, samesite="Lax", httponly=True)
            return answer
    site = site_of(request)("")
    context = {
        "form": form, "heading": "Print labels", "act": "Make the sheet (PDF)", "site": site,
        "only_here": urlsplit(site).hostname in ("127.0.0.1", "localhost", "::1"),
    }  # fmt: skip
    return render(request, "holdings/labels.html", context, status=422 if form.is_bound else 200)


def _labels(request: HttpRequest, form: LabelForm, narrow: Any) -> list[LabelWords]:
    """The labels that the form asks for; what cannot be labelled becomes an error of the form."""
    cells, site = form.cleaned_data, site_of(request)
    if cells["place"] and not cells["tags"] and cells["of"] == LabelForm.PLACES:
        places = places_within(cells["place"]).order_by("path")
        return place_labels(places, lambda place: site(reverse("holdings:place", args=[place.pk])))
    items: list[Item]
    if cells["tags"]:
        items, missing = things_tagged(cells["tags"])
        if missing:
            more = f" and {len(missing) - 8} more" if len(missing) > 8 else ""
            form.add_error("tags", f"Not in the collection: {', '.join(missing[:8])}{more}.")
    elif cells["place"]:
        items = list(things_here(items_in(cells["place"])).order_by("place__path", "tag")[: MOST + 1])
    else:
        seen = may_see_money(request.user)
        tubes = list_named("tubes").here()  # groups look further than the plain list of tubes
        found = narrow(QueryDict(cells["narrowed"]), queryset=tubes, money=seen)
        if not found.is_valid():
            form.add_error(None, "The list is narrowed by what it does not take: narrow it again.")
        items = list(things_here(Item.objects.filter(tube__in=found.qs.order_by())).order_by("tag")[: MOST + 1])
    if not items and not form.errors:
        form.add_error(None, "There is nothing to label in that.")
    if len(items) * cells["copies"] > MOST:
        form.add_error(None, f"More than {MOST} labels in one go; take a smaller place, fewer tags or fewer of each.")
    return labels_of(items, lambda item: site(item.get_absolute_url())) if not form.errors else []


# --- box lists --------------------------------------------------------------------------------------------------------


@needs("view", "holdings.place")
def place_contents(request: HttpRequest, pk: int) -> HttpResponse:
    """What lies in a place, by type: to read, and to print from the browser."""
    place = get_object_or_404(Place.objects.select_related("box_print"), pk=pk)
    (box,) = box_lists([place])
    printed = getattr(place, "box_print", None)
    context = {
        "place": place, "box": box, "printed": printed, "changed": printed and printed.digest != box.digest,
        "form": BoxListForm(), "inside": place.children.exists(),
    }  # fmt: skip
    return render(request, "holdings/labels_box.html", context)


@needs("add", "holdings.boxprint")
@require_POST
def place_contents_print(request: HttpRequest, pk: int) -> HttpResponse:
    """Record that the list of a place is on paper, and answer it as PDF unless the browser printed it."""
    place = get_object_or_404(Place, pk=pk)
    if "by-browser" in request.POST:
        record_prints(box_lists([place]))
        return redirect("holdings:place-contents", pk)
    places = list(places_within(place).order_by("path")) if "each" in request.POST else [place]
    return _print(request, [box for box in box_lists(places) if box.things or box.place.pk == pk])


@needs("view", "holdings.place")
def place_lists(request: HttpRequest) -> HttpResponse:
    """Boxes whose content is another than their printed list says."""
    context = {"stale": stale_boxes(), "form": BoxListForm(), "printed": BoxPrint.objects.exists()}
    return render(request, "holdings/labels_stale.html", context)


@needs("add", "holdings.boxprint")
@require_POST
def place_lists_print(request: HttpRequest) -> HttpResponse:
    """Print the lists of all boxes that changed, and record it."""
    boxes = [row.box for row in stale_boxes()]
    return _print(request, boxes) if boxes else redirect("holdings:place-lists")


def _print(request: HttpRequest, boxes: list[BoxList]) -> HttpResponse:
    from inventory.holdings.views.label_pdf import box_pdf  # its fonts and tables load slowly: when asked

    site = site_of(request)
    paper = paper_of(request)
    addressed = [(box, site(reverse("holdings:place", args=[box.place.pk]))) for box in boxes]
    printed = f"Printed {timezone.localtime():%Y-%m-%d %H:%M} by {request.user.get_username()}"
    body = box_pdf(addressed, paper=paper, printed=printed)
    record_prints(boxes)
    return pdf_answer(body, "box-list")
