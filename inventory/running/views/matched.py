"""Pages of matching and of life: sets from readings, the sets kept together, how long tubes last."""

from typing import Any

from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone

from inventory.house.access import needs
from inventory.house.edit_pages import change_page, person
from inventory.house.history import changes_of
from inventory.house.keys import key_of
from inventory.house.records.pages import NOT_ASKED, correct_page
from inventory.house.sheets import sheet
from inventory.running.actions import make_set, split_set
from inventory.running.filters import MatchedSetFilter
from inventory.running.forms import MatchForm, SetForm, SplitForm, SurvivalForm
from inventory.running.models import Instrument, MatchedSet, TubeTest
from inventory.running.queries import (
    EMITTERS,
    MatchAnswer,
    every_reading_name,
    life_of,
    match_tubes,
    matched_sets,
    reading_names,
    types_meant,
    whereabouts,
)
from inventory.running.rules.matching import MOST_SIZE, MatchRefused
from inventory.running.wording.charts import life_chart
from tubes.forms import find_type

MOST_TESTS = 2 * MOST_SIZE  # two readings of each tube


@needs("view", "running.matchedset")
def matching(request: HttpRequest) -> HttpResponse:
    """Works by GET, so that an answer can be kept as an address and nothing is changed by reading."""
    asked = "type" in request.GET
    form = MatchForm(request.GET if asked else None, names=_names_to_choose(request))
    found, status = None, 200
    if asked:
        found = _answer(form) if form.is_valid() else None
        status = 200 if found else 422
    kept = sheet(request, MatchedSetFilter(request.GET, queryset=matched_sets()).qs)
    apart = [key for key, where in whereabouts(row for row in kept if not row.split_on).items() if where.apart]
    context = {"form": form, "found": found, "kept": kept, "apart": apart, "today": timezone.localdate()}
    return render(request, "running/matching.html", context, status=status)


def _names_to_choose(request: HttpRequest) -> list[str]:
    """What was read of that type on that instrument; of any type on any while the two are not chosen."""
    chosen = key_of(request.GET.get("instrument", ""))
    if chosen is None:
        return every_reading_name()
    instrument = Instrument.objects.filter(pk=chosen).first()
    try:
        kind = find_type(request.GET.get("type", "")) if instrument else None
    except ValidationError:
        return every_reading_name()
    return reading_names(kind, instrument) if kind and instrument else every_reading_name()


def _answer(form: Any) -> MatchAnswer | None:
    cells = form.cleaned_data
    try:
        return match_tubes(
            cells["type"], cells["instrument"], timezone.localdate(), size=cells["size"],
            tolerance=cells["tolerance"], days=cells["days"], first=cells["first"], second=cells["second"],
            shelf_only=cells["shelf"], with_doubted=cells["doubted"],
        )  # fmt: skip
    except MatchRefused as refusal:
        form.add_error(None, str(refusal))
        return None


@needs("add", "running.matchedset")
def matched_add(request: HttpRequest) -> HttpResponse:
    """Record a set that was found; the tests come with the address (``?test=12&test=15``)."""
    keys = [key for text in request.GET.getlist("test")[:MOST_TESTS] if (key := key_of(text)) is not None]
    rows = TubeTest.objects.filter(pk__in=keys).select_related("tube__item", "tube__type", "instrument")
    tests = list(rows.order_by("tube__item__tag"))
    names = tuple(name for key in ("first", "second") if (name := request.GET.get(key, "")[:40])) or ("",)
    back = reverse("running:matching")

    def make(data: Any) -> Any:
        start = {"made_on": timezone.localdate(), "by_whom": person(request)}
        return SetForm(data, initial=start | {"tolerance_pct": request.GET.get("tolerance", "")})

    def save(form: Any) -> tuple[str, str]:
        cells = form.cleaned_data
        row = MatchedSet(instrument=tests[0].instrument if tests else None, **cells)
        saved = make_set(row, tests, names, today=timezone.localdate(), by=request.user)
        return f"{saved} is recorded; its tubes are to stay together.", reverse("running:matched", args=[saved.pk])

    tags = ", ".join(f"{test.tube.tag} ({test.reading_text})" for test in tests).replace("\0", "") or "no tube chosen"
    return change_page(request, make, save, heading=f"Keep together: {tags}", act="Record", back=back)


@needs("view", "running.matchedset")
def matched_page(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(matched_sets(), pk=pk)
    context = {"row": row, "found": whereabouts([row]).get(row.pk), "changes": changes_of(row)}
    return render(request, "running/matched.html", context)


@needs("change", "running.matchedset")
def matched_split(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(matched_sets(), pk=pk)
    back = reverse("running:matched", args=[pk])

    def save(form: Any) -> tuple[str, str]:
        cells = form.cleaned_data
        split_set(row, on=cells["split_on"], why=cells["split_why"], today=timezone.localdate(), by=request.user)
        return f"{row} is split.", back

    start = {"split_on": timezone.localdate()}
    found = whereabouts([row]).get(row.pk)
    tubes = ", ".join(f"{member.tube}" for member in row.members.all())
    where = f"; {found.text}" if found and found.text else ""
    said = "Apart already" if found and found.apart else "Kept together until now"
    return correct_page(
        request, row, lambda data: SplitForm(data, initial=start), save, why=NOT_ASKED,
        heading=f"Split {row}", act="Split", back=back, caution=f"{said}: {tubes}{where}.",
    )  # fmt: skip


@needs("view", "running.tubetest")
def survival(request: HttpRequest) -> HttpResponse:
    """Works by GET, like every question."""
    asked = "type" in request.GET or "emitter" in request.GET
    form = SurvivalForm(request.GET if asked else None, emitters=[(name, name) for name in EMITTERS])
    found, status = None, 200
    if asked and form.is_valid():
        cells = form.cleaned_data
        types = types_meant(cells["type"], cells["same"], cells["emitter"])
        found = life_of(types, timezone.localdate(), weak_failed=cells["weak"], estimates=cells["estimates"])
    elif asked:
        status = 422
    context = {"form": form, "found": found, "chart": life_chart(found) if found else None}
    return render(request, "running/survival.html", context, status=status)
