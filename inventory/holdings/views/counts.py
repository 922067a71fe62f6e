"""Pages of stock-takes, and for moving a selection or a whole box."""

from collections.abc import Sequence
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.views.decorators.http import require_POST

from inventory.holdings.actions import begin_count, close_count, drop_count, mark_seen, move, move_place, scan, tick
from inventory.holdings.forms import BeginCountForm, CloseCountForm, ManyForm, PlaceMoveForm
from inventory.holdings.forms.alone import why_alone
from inventory.holdings.models import Item, Place, StockTake, StockTakeLine
from inventory.holdings.queries import (
    SHOWN,
    differing_lines,
    items_in,
    lent_lines,
    lines_of,
    open_lines,
    place_scanned,
    stock_takes,
    tally_of,
    things_named,
)
from inventory.holdings.queries.together import counted_words, left_behind_of
from inventory.holdings.views.ticked import ticked_tags
from inventory.house.access import needs
from inventory.house.concerns import minded_when_carried
from inventory.house.edit_pages import change_page, show_refusal
from inventory.house.keys import key_of
from inventory.house.sheets import sheet
from inventory.house.writing import refuse

COUNT_SHEET = 100
HEAVY = "A full box is heavy and tubes break: two people or a trolley, mercury rectifiers upright."


@needs("add", "holdings.movement")
def things_move(request: HttpRequest) -> HttpResponse:
    """Move several things, or only write that they were seen: tags picked in a list, typed or scanned."""
    today, picked = timezone.localdate(), ticked_tags(request)
    form = ManyForm(
        request.POST if request.method == "POST" else None,
        initial={"tags": "\n".join(picked), "on": today, "place": request.GET.get("place")},
    )
    status = 200
    if request.method == "POST":
        if form.is_valid():
            try:
                return _move_or_see(request, form)
            except ValidationError as refusal:
                show_refusal(form, refusal)
        status = 422
    items = _items_of(form, picked)
    caution, carried = left_behind_of(items), minded_when_carried(items)
    if not caution:
        del form.fields["apart"]
    if counted := counted_words(items):
        carried = f"{carried} {counted} Out of their room they go with a reason.".strip()
    told = {"form": form, "caution": caution, "carried": carried}
    return render(request, "holdings/many.html", told, status=status)


def _items_of(form: Any, picked: list[str]) -> Sequence[Item]:
    """The things in the form, picked or typed."""
    if form.is_bound:
        return list(form.cleaned_data.get("tags", []))
    return things_named("\n".join(picked))[0]


def _move_or_see(request: HttpRequest, form: Any) -> HttpResponse:
    cells = form.cleaned_data
    place = cells["place"]
    if "seen" in request.POST:
        count = mark_seen(cells["tags"], on=cells["on"], by=request.user, reason=cells["reason"] or "seen")
        messages.success(request, f"Last seen on {cells['on']}: written for {_things(count)}.")
    else:
        if bool(place) == cells["nowhere"]:
            raise refuse("place", "Choose a place, or tick below that it is not known; not both.")
        apart = (cells["reason"] or "left where the others are") if cells["apart"] else ""
        count = move(cells["tags"], place, on=cells["on"], by=request.user, reason=cells["reason"], apart=apart)
        messages.success(request, f"{_things(count)} moved to {place or 'no place'}.{_elsewhere(cells['tags'], place)}")
    return redirect("holdings:place", place.pk) if place else redirect("holdings:things-move")


def _elsewhere(items: Sequence[Item], place: Place | None) -> str:
    """What to say of things that a later move had taken elsewhere: a move dated back goes into the history alone."""
    tags = {item.tag for item in items}
    rows = (
        Item.objects.filter(tag__in=tags).exclude(place=place)
        if place
        else Item.objects.filter(tag__in=tags, place__isnull=False)
    )
    stay = list(rows.values_list("tag", flat=True)[:6])
    return f" A later move stands: {', '.join(stay)} stays where it is." if stay else ""


def _things(count: int) -> str:
    return "1 thing" if count == 1 else f"{count} things"


@needs("change", "holdings.place")
def place_move(request: HttpRequest, pk: int) -> HttpResponse:
    place = get_object_or_404(Place.objects.select_related("parent"), pk=pk)
    back = reverse("holdings:place", args=[pk])
    before = place.path

    def save(form: Any) -> tuple[str, str]:
        cells = form.cleaned_data
        count = move_place(place, cells["into"], on=cells["on"], by=request.user, reason=cells["reason"])
        return f"{before} moved into {cells['into'] or 'the top'}, and {_things(count)} with it.", back

    start = {"on": timezone.localdate()}
    things = list(items_in(place))
    left, carried = left_behind_of(things), minded_when_carried(things)
    return change_page(
        request, lambda data: why_alone(PlaceMoveForm(data, initial=start, place=place), left, "reason"), save,
        heading=f"Move {before} {place.name} with everything in it", act="Move it", back=back,
        caution=" ".join(filter(None, [HEAVY, carried, left])),
    )  # fmt: skip


@needs("view", "holdings.stocktake")
def count_list(request: HttpRequest) -> HttpResponse:
    return render(request, "holdings/counts.html", {"page": sheet(request, stock_takes())})


@needs("add", "holdings.stocktake")
def count_begin(request: HttpRequest) -> HttpResponse:
    def save(form: Any) -> tuple[str, str]:
        cells = form.cleaned_data
        seed = cells["seed"] if cells["seed"] is not None else StockTake.objects.count() + 1
        take = begin_count(
            place=cells["place"], percent=cells["percent"], seed=0 if cells["place"] else seed,
            on=timezone.localdate(), by=request.user, note=cells["note"],
        )  # fmt: skip
        return f"{_things(take.lines.count())} to find.", reverse("holdings:place-count", args=[take.pk])

    start = {"place": request.GET.get("place")}
    return change_page(
        request, lambda data: BeginCountForm(data, initial=start), save,
        heading="Begin a stock-take", act="Begin", back=reverse("holdings:place-counts"),
    )  # fmt: skip


@needs("view", "holdings.stocktake")
def count_page(request: HttpRequest, pk: int) -> HttpResponse:
    take = get_object_or_404(StockTake.objects.select_related("place", "by", "closed_by"), pk=pk)
    lists = {"open": open_lines, "differences": differing_lines, "all": lines_of}
    shown = request.GET.get("show", "")
    if shown not in lists:
        shown = "differences" if take.closed else "open"
    context = {
        "take": take,
        "tally": tally_of(take),
        "shown": shown,
        "ways": [(name, words) for name, words in SHOWN.items() if not (take.closed and name == "open")],
        "page": sheet(request, lists[shown](take), COUNT_SHEET),
        "lent": lent_lines(take),
        "places": Place.objects.all(),
        "at": key_of(request.GET.get("at", "")),
    }
    return render(request, "holdings/count.html", context)


def _back(request: HttpRequest, take: StockTake, at: Place | None = None) -> HttpResponse:
    """To the stock-take again, at the place (``at``: another from now on) and in the list where the person was."""
    kept = {name: request.POST[name] for name in ("at", "show", "page") if request.POST.get(name)}
    kept |= {"at": str(at.pk)} if at else {}
    address = reverse("holdings:place-count", args=[take.pk])
    return redirect(f"{address}?{urlencode(kept)}" if kept else address)


def _place_at(request: HttpRequest) -> Place | None:
    at = key_of(request.POST.get("at", ""))
    return Place.objects.filter(pk=at).first() if at is not None else None


@require_POST
@needs("add", "holdings.stocktakeline")
def count_scan(request: HttpRequest, pk: int) -> HttpResponse:
    take = get_object_or_404(StockTake, pk=pk)
    if place := place_scanned(request.POST.get("tag", "")):  # the label of a drawer: the person stands there now
        messages.success(request, f"You stand at {place}.")
        return _back(request, take, at=place)
    try:
        line = scan(take, request.POST.get("tag", ""), on=timezone.localdate(), by=request.user, at=_place_at(request))
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
        return _back(request, take)
    item = line.item
    told = f"{item.tag}: {line.get_outcome_display()}"
    if line.before:
        told += f" (ticked before: {line.before})"
    if line.outcome != StockTakeLine.FOUND:
        told += f"; by the register {line.expected_at}"
    if item.gone_on:
        told += f"; by the register it left on {item.gone_on}"
    if item.lent_to:
        told += f"; by the register it is lent to {item.lent_to}: record that it is back"
    (messages.success if line.outcome == StockTakeLine.FOUND else messages.warning)(request, f"{told}.")
    return _back(request, take)


@require_POST
@needs("add", "holdings.stocktakeline")
def count_tick(request: HttpRequest, pk: int) -> HttpResponse:
    take = get_object_or_404(StockTake, pk=pk)
    ticked = [line.partition(":") for line in request.POST.getlist("line")]  # its number, and what it said on the page
    seen = {key: state for text, _, state in ticked if (key := key_of(text)) is not None}
    outcome = request.POST.get("outcome", "")
    try:
        outcome_now = "" if outcome == "open" else outcome
        count = tick(
            take, seen, outcome_now, on=timezone.localdate(), by=request.user, at=_place_at(request), seen=seen
        )
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        words = "open again" if outcome == "open" else dict(StockTakeLine.OUTCOMES).get(outcome, outcome)
        messages.success(request, f"{_things(count)}: {words}.")
    return _back(request, take)


@needs("change", "holdings.stocktake")
def count_close(request: HttpRequest, pk: int) -> HttpResponse:
    take = get_object_or_404(StockTake.objects.select_related("place"), pk=pk)
    back = reverse("holdings:place-count", args=[pk])
    tally = tally_of(take)

    def make(data: Any) -> Any:
        form = CloseCountForm(data)
        form.fields["rest"].label = f"the {tally.open} without a tick"
        if not tally.open:
            del form.fields["rest"]
        return form

    def save(form: Any) -> tuple[str, str]:
        close_count(
            take, on=timezone.localdate(), by=request.user, move_found=form.cleaned_data["move_found"],
            rest=form.cleaned_data.get("rest", ""),
        )  # fmt: skip
        return "Closed. What was found counts as seen; what was not is no spare until it is seen again.", back

    return change_page(request, make, save, heading=f"Close the {take} {take.note}", act="Close it", back=back)


@needs("change", "holdings.stocktake")
def count_drop(request: HttpRequest, pk: int) -> HttpResponse:
    take = get_object_or_404(StockTake.objects.select_related("place"), pk=pk)

    def save(form: Any) -> tuple[str, str]:
        return f"Forgotten, with its {drop_count(take)} lines. Nothing changed on the things.", reverse(
            "holdings:place-counts"
        )

    return change_page(
        request, lambda data: Form(data), save, heading=f"Forget the {take} {take.note}", act="Forget it", grave=True,
        back=reverse("holdings:place-count", args=[pk]),
        caution="Its ticks are lost. To keep what was found so far, close it and say that the rest was not looked for.",
    )  # fmt: skip
