"""Pages of what the collection is worth, and of appraisals."""

from dataclasses import replace
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.house.access import needs
from inventory.house.edit_pages import person
from inventory.house.records.pages import strike_page
from inventory.house.sheets import sheet
from inventory.valuation.actions.appraisals import keep_appraisal
from inventory.valuation.forms import BesideForm, KeepForm, ValueForm
from inventory.valuation.models import Appraisal
from inventory.valuation.queries.appraisals import all_like, appraisals, beside, kept_evidence, like, since, unaltered
from inventory.valuation.queries.collection import collection
from inventory.valuation.queries.going import keepers_currency
from inventory.valuation.queries.stated import lost_of
from inventory.valuation.queries.worth import Collection, building_of, kind_of, type_of
from inventory.valuation.rules.bases import BASES
from inventory.valuation.rules.compare import Comparison
from inventory.valuation.wording.papers.kinds import PAPERS, SEE_SUMS
from inventory.valuation.wording.papers.schedule import cover
from inventory.valuation.wording.things import kind_in_words
from inventory.valuation.wording.worth_charts import bridge, building_bars, dearest_bars, kind_bars, over_time

MOST_TYPES = 20
MOST_THINGS = 25  # on a sheet: a row is a screen on a phone
MOST_SETS = 12
MOST_TOLD = 200  # differences of two appraisals on the page


@needs("add", "valuation.appraisal", SEE_SUMS)
def collection_page(request: HttpRequest) -> HttpResponse:
    """What is owned, by the evidence of a day: totals, buildings, kinds, types, sets beside their tubes."""
    form = ValueForm(request.GET or None)
    found: Collection | None = None
    if not form.is_bound or form.is_valid():
        asked = _asked(form) if form.is_bound else _usual()
        try:
            found = collection(**asked)
        except ValueError as refusal:
            form.add_error(None, str(refusal)) if form.is_bound else messages.error(request, str(refusal))
    context: dict[str, Any] = {"form": form, "found": found, "keep": KeepForm()}
    if found:
        types = found.by(type_of)
        kinds = [replace(one, name=kind_in_words(one.name)) for one in found.by(kind_of)]
        context |= {
            "basis": BASES[found.market.basis], "buildings": found.by(building_of), "kinds": kinds,
            "types": [one for one in types if one.amount][:MOST_TYPES], "without": _without(found),
            "page": sheet(request, found.lines, MOST_THINGS),
            "splits": sheet(request, found.splits, MOST_SETS, "splits"),
            "matched": sheet(request, found.matched, name="matched"), **_pictures(found),
            "left_out": _left_out(found), "most": MOST_TYPES, "papers": PAPERS.values(), "asked": _paper_asked(request),
        }  # fmt: skip
    return render(request, "valuation/collection.html", context, status=422 if form.errors else 200)


def _pictures(found: Collection) -> dict[str, Any]:
    """The charts of a valuation; the last appraisal of the same things, and what became of it since."""
    market, kept = found.market, all_like(found)
    last = kept[0] if kept else None
    what = since(last, found) if last else None
    return {
        "last": last, "since": what, "by_building": building_bars(found), "by_kind": kind_bars(found),
        "dearest": dearest_bars(found), "bridge": what and last and bridge(what, last.on, None, market.currency),
        "chart": over_time(kept, (market.on, found.total), market.currency), "cover": cover(found.cover),
    }  # fmt: skip


def _asked(form: ValueForm) -> dict[str, Any]:
    """What a valid form asks, in the keeper's currency where it names none."""
    return form.asked(timezone.localdate(), keepers_currency())


def _paper_asked(request: HttpRequest) -> str:
    """What of a valuation its papers are asked with; their bases are their own."""
    asked = request.GET.copy()
    for name in [*asked]:
        if name not in ("on", "currency", "place", "real"):
            asked.pop(name)
    return asked.urlencode()


def _usual() -> dict[str, Any]:
    form = ValueForm({})
    form.is_valid()
    return _asked(form)


def _without(found: Collection) -> list[tuple[str, int]]:
    """What has no amount, by its type or model, and why where something was sold; the most first."""
    count: dict[str, int] = {}
    for line in found.without:
        name = f"{kind_in_words(line.thing.kind)}: {type_of(line)}"
        if line.no_amount:
            name += f", {line.thing.grade} ({line.no_amount})"
        count[name] = count.get(name, 0) + 1
    return sorted(count.items(), key=lambda pair: (-pair[1], pair[0]))[:MOST_TYPES]


def _left_out(found: Collection) -> list[tuple[str, int]]:
    """Why evidence does not count, with how many rows each."""
    count = found.market.left_out() + found.sets.left_out()
    return count.most_common(MOST_TYPES)


@require_POST
@needs("add", "valuation.appraisal")
def appraisal_keep(request: HttpRequest) -> HttpResponse:
    """Freeze the valuation that the form asks for."""
    form, keep = ValueForm(request.POST), KeepForm(request.POST)
    if not form.is_valid() or not keep.is_valid():
        return render(request, "valuation/collection.html", {"form": form, "keep": keep, "found": None}, status=422)
    try:
        found = collection(**_asked(form))
    except ValueError as refusal:
        form.add_error(None, str(refusal))
        return render(request, "valuation/collection.html", {"form": form, "keep": keep, "found": None}, status=422)
    kept = keep_appraisal(found, by=request.user, by_whom=person(request)[:80], note=keep.cleaned_data["note"])
    messages.success(request, f"{kept}: kept with its {kept.things} lines and all the evidence.")
    return redirect("valuation:appraisal", kept.pk)


@needs("add", "valuation.appraisal", SEE_SUMS)
def appraisal_list(request: HttpRequest) -> HttpResponse:
    context = {"page": sheet(request, appraisals()), "form": BesideForm()}
    return render(request, "valuation/appraisals.html", context)


@needs("add", "valuation.appraisal", SEE_SUMS)
def appraisal_page(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Appraisal, pk=pk)
    inputs = row.inputs
    evidence, counted = kept_evidence(row)
    context = {
        "appraisal": row, "basis": BASES.get(row.basis), "page": sheet(request, row.lines.all()),  # type: ignore[attr-defined]
        "evidence": sheet(request, evidence, name="evidence"), "parameters": inputs.get("parameters", {}),
        "counted": counted, "unaltered": unaltered(row), "lost": lost_of(row), **_before(row),
        "papers": PAPERS.values(),
    }  # fmt: skip
    return render(request, "valuation/appraisal.html", context)


def _before(row: Appraisal) -> dict[str, Any]:
    """The appraisal of the same things before this one, what became of it until then, and all of them over time."""
    kept = like(row)
    earlier = [one for one in kept if (one.on, one.pk) < (row.on, row.pk)]
    before = earlier[-1] if earlier else None
    what = beside(before, row) if before else None
    return {
        "before": before, "chart": over_time(kept, None, row.currency),
        "bridge": what and before and bridge(what, before.on, row.on, row.currency),
    }  # fmt: skip


@needs("add", "valuation.appraisal", SEE_SUMS)
def appraisals_beside(request: HttpRequest) -> HttpResponse:
    """Two appraisals line by line."""
    form = BesideForm(request.GET or None)
    found = None
    if form.is_bound and form.is_valid():
        try:
            found = beside(form.cleaned_data["then"], form.cleaned_data["now"])
        except ValueError as refusal:
            form.add_error(None, str(refusal))
    context = {
        "form": form, "found": found, "most": MOST_TOLD, **(_beside(form, found) if found else {}),
    }  # fmt: skip
    return render(request, "valuation/beside.html", context, status=422 if form.errors else 200)


def _beside(form: BesideForm, found: Comparison) -> dict[str, Any]:
    then, now = form.cleaned_data["then"], form.cleaned_data["now"]
    return {"then": then, "now": now, "bridge": bridge(found, then.on, now.on, now.currency)}


@needs("change", "valuation.appraisal")
def appraisal_strike(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Appraisal, pk=pk)
    return strike_page(request, row, heading=f"Strike out: {row}", back=reverse("valuation:appraisal", args=[pk]))
