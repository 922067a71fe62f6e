"""The shelf session: one stamp after the other, with state, place, maker and date code kept from the one before."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.cache import patch_vary_headers
from django.views.decorators.http import require_POST

from inventory.holdings.actions import take_back_entry, untouched
from inventory.holdings.actions.shelf import add_from_shelf
from inventory.holdings.forms import ShelfForm
from inventory.holdings.models import Tube
from inventory.holdings.queries import place_scanned, shelf_reading
from inventory.holdings.queries.shelf import shelf_line
from inventory.holdings.rules.shelf_line import ShelfLine
from inventory.house.access import needs
from inventory.house.edit_pages import show_refusal

KEPT, MADE = "shelf_kept", "shelf_made"  # what the session remembers: cells, and the keys of the last entries
LAST = 10
MOST_READ = 200  # letters; a stamp has fewer


@needs("add", "holdings.tube")
def shelf(request: HttpRequest) -> HttpResponse:
    form, reading, status = _form(request), None, 200
    typed = request.POST if request.method == "POST" else request.GET
    if request.method == "GET" or "look" in request.POST:
        line = _line(request, typed)
        reading = shelf_reading(line.stamp) if line.stamp else None
    elif request.method == "POST" and (place := place_scanned(typed.get("marked", ""))):
        request.session[KEPT] = request.session.get(KEPT, {}) | {"place": place.pk}
        messages.success(request, f"Now at {place}.")
        return redirect("holdings:shelf")
    elif request.method == "POST":
        line = _line(request, typed)
        form = ShelfForm(_parted(request.POST, line))
        two = {str(line.count), typed.get("count", "").strip() or "1", "1"} if line.count else ()
        if form.is_valid() and len(two) > 2:
            form.add_error("count", f"The line says {line.count}, and here stands {typed['count']}; leave one out.")
        elif form.is_valid() and _save(request, form):
            return redirect("holdings:shelf")
        status = 422
        reading = shelf_reading(line.stamp) if line.stamp else None
    if request.method == "GET" and request.headers.get("HX-Request"):  # while typing: only how it reads
        part = render(request, "holdings/shelf_reading.html", {"reading": reading, "line": line})
        patch_vary_headers(part, ["HX-Request"])
        return part
    context = {"form": form, "reading": reading, "line": line, "entries": _entries(request)}
    return render(request, "holdings/shelf.html", context, status=status)


def _line(request: HttpRequest, typed: Any) -> ShelfLine:
    """What stands in the box: a stamp, how many, or a ditto mark for the stamp of the entry before."""
    return shelf_line(typed.get("marked", "")[:MOST_READ], request.session.get(KEPT, {}).get("stamp", ""))


def _parted(typed: QueryDict, line: ShelfLine) -> QueryDict:
    """What was typed, with the parts of its line in their own cells."""
    if not line.count and not line.ditto:
        return typed
    cells = typed.copy()
    cells["marked"] = line.stamp
    cells["count"] = str(line.count or typed.get("count", "1"))
    return cells


def _form(request: HttpRequest) -> ShelfForm:
    """An empty form with what was kept; after a look without saving, with all that was typed."""
    start: dict[str, Any] = dict(request.session.get(KEPT, {}))
    if request.method == "POST":
        start = {name: request.POST.get(name, "") for name in ShelfForm.base_fields}
    else:
        start |= {name: request.GET[name] for name in ("place", "marked") if name in request.GET}
    return ShelfForm(initial={"state": Tube.UNTESTED, "count": 1} | start)


def _save(request: HttpRequest, form: Any) -> bool:
    cells, chosen = form.cleaned_data, request.POST.get("choice", "")
    try:
        made = add_from_shelf(
            form.save(commit=False), chosen, count=cells["count"], place=cells["place"], by=request.user,
            on=timezone.localdate(),
        )  # fmt: skip
    except ValidationError as refusal:
        show_refusal(form, refusal)
        return False
    place = cells["place"]
    request.session[KEPT] = {
        "stamp": cells["marked"],
        "state": cells["state"],
        "place": place.pk if place else "",
        "maker": cells["maker"],
        "date_code": cells["date_code"],
    }
    request.session[MADE] = [[one.pk for one in made.tubes], *request.session.get(MADE, [])][:LAST]
    (messages.success if made.tubes[0].type else messages.warning)(request, f"{made.tags} added. {made.says}")
    return True


def _entries(request: HttpRequest) -> list[dict[str, Any]]:
    """The last entries of this session: first and last tube, how many, and whether the latest can be taken back."""
    batches = request.session.get(MADE, [])
    ends = {key for keys in batches for key in (keys[0], keys[-1])}
    tubes = {tube.pk: tube for tube in Tube.objects.filter(pk__in=ends).select_related("type", "item__place")}
    entries = [
        {"first": tubes[keys[0]], "last": tubes[keys[-1]], "count": len(keys), "keys": keys}
        for keys in batches
        if keys[0] in tubes and keys[-1] in tubes
    ]
    if entries:
        entries[0]["stays"] = untouched(entries[0]["keys"])
        entries[0]["latest"] = True
    return entries


@require_POST
@needs("add", "holdings.tube")
def shelf_take_back(request: HttpRequest) -> HttpResponse:
    batches = request.session.get(MADE, [])
    if not batches or str(batches[0][0]) != request.POST.get("entry"):
        messages.error(request, "Only the latest entry of this session can be taken back.")
        return redirect("holdings:shelf")
    try:
        tags = take_back_entry(batches[0], by=request.user)
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        request.session[MADE] = batches[1:]
        told = tags[0] if len(tags) == 1 else f"{tags[0]} to {tags[-1]}"
        messages.success(request, f"{told} taken back. The tags are not given again.")
    return redirect("holdings:shelf")
