"""Pages of the ledger: recording what was done and what upset it, each record, correcting it, the whole ledger."""

from dataclasses import replace
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone

from inventory.house.access import needs
from inventory.house.edit_pages import change_page, person, way_back
from inventory.house.history import Change, changes_of
from inventory.house.records.pages import StrikeForm, correct_page, reason_in, strike_page
from inventory.house.sheets import sheet
from inventory.pairing.actions import record_disturbance, record_neutralization, strike_on_air
from inventory.pairing.forms import (
    TO_STRIKE,
    DisturbanceForm,
    NeutralizationForm,
    ask_its_null,
)
from inventory.pairing.models import CompanionCheck, Disturbance, Neutralization, OnAirRecord
from inventory.pairing.queries import changed_then, last_record, setting_again, stays_at_null, told_of, tubes_then
from inventory.pairing.rules.fold import DialSetting
from inventory.pairing.rules.kept_null import kept_null, readings_of
from inventory.pairing.rules.null import SAFETY
from inventory.pairing.wording.charts import null_charts, readings_beside
from inventory.sets.models import Chassis, PlugInUnit, Seating, SetModel

HANDED_OVER = ("setting", "null_reading", "dial_scale", "readings", "indicator")  # by the null finder, in the address
Pair = tuple[Chassis | None, PlugInUnit | None]


def start_of_pair(request: HttpRequest) -> dict[str, Any]:
    """What a form about a pair begins with: today, the person, and the things that the address names."""
    chassis, unit = _named(request)
    start: dict[str, Any] = {
        "on": timezone.localdate(),
        "by_whom": person(request),
    }
    return start | {name: thing for name, thing in (("chassis", chassis), ("unit", unit)) if thing}


def _named(request: HttpRequest) -> Pair:
    chassis = Chassis.objects.select_related("model", "item").filter(item__tag=request.GET.get("chassis", ""))
    unit = PlugInUnit.objects.select_related("model", "item").filter(item__tag=request.GET.get("unit", ""))
    return chassis.first(), unit.first()


def likely(chassis: Chassis | None, unit: PlugInUnit | None) -> Pair:
    """The missing side of a pair: what sits in the other at present, where that is one thing."""
    if (chassis and unit) or not (chassis or unit):
        return chassis, unit
    here = Seating.objects.filter(until__isnull=True).select_related(
        "chassis__model", "chassis__item", "unit__model", "unit__item"
    )
    seated = list(here.filter(chassis=chassis) if chassis else here.filter(unit=unit))[:2]
    if len(seated) != 1:
        return chassis, unit
    return chassis or seated[0].chassis, unit or seated[0].unit


@needs("add", "pairing.neutralization")
def neutralize(request: HttpRequest) -> HttpResponse:
    """A few taps where the pair is known; ``again`` sets the dial down as it was the last time."""
    named = _named(request)
    chassis, unit = likely(*named)
    settled = bool(
        named[0] and named[1] and named[0].model.neutralizing != SetModel.NONE
        and named[1].model.fits.filter(pk=named[0].model_id).exists()
    )  # fmt: skip
    from_finder = bool(request.GET.get("readings"))
    own, like = last_record(chassis, unit) if chassis and unit else (None, None)
    dial = setting_again(own) if own else DialSetting()
    start = start_of_pair(request) | {"chassis": chassis, "unit": unit}
    if like:
        start |= {"method": like.method, "dial_scale": like.dial_scale}
    start |= {name: request.GET[name] for name in HANDED_OVER if request.GET.get(name)}

    def make(data: Any) -> NeutralizationForm:
        if data and data.get("again") and not data.get("setting"):
            data = data.copy()
            data["setting"] = data["again"]
        return NeutralizationForm(data, initial=start, chosen=settled, found=from_finder)

    def save(form: Any) -> tuple[str, str]:
        row = record_neutralization(form.save(commit=False), today=timezone.localdate(), by=request.user)
        kept = "" if row.setting else " No dial setting was written down: it cannot be reset later."
        lock = " The lock is not tightened." if row.locked is False else ""
        return f"{row.unit} neutralized on {row.chassis}, {row.on}.{kept}{lock}", way_back(
            request, row.chassis.item.get_absolute_url()
        )

    return change_page(
        request, make, save, "pairing/neutralize.html",
        heading="Record a neutralization", act="Record", back=way_back(request, _back(chassis, unit)), caution=SAFETY,
        pair=named if settled else None, own=own, own_setting=dial.words or "",
        again=dial.only, from_finder=from_finder,
    )  # fmt: skip


def _back(chassis: Chassis | None, unit: PlugInUnit | None) -> str:
    if chassis and unit:
        return reverse("pairing:pair", args=[chassis.tag, unit.tag])
    thing = chassis or unit
    return thing.item.get_absolute_url() if thing else reverse("pairing:table")


@needs("view", "pairing.neutralization")
def neutralization(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(
        Neutralization.objects.select_related("chassis__model", "chassis__item", "unit__model", "unit__item"), pk=pk
    )
    fit = kept_null(row.null_fit, row.indicator)
    readings, stays = readings_of(row.readings), stays_at_null(row)
    context = {
        "row": row,
        "kind": "neutralized",
        "caution": SAFETY,
        "tubes": tubes_then(row, stays),
        "changed_then": changed_then(row, stays),
        "fit": fit,
        "charts": null_charts(fit, readings) if fit else [],
        "readings": readings_beside(fit, readings),
        "changes": _changes(row),
    }
    return render(request, "pairing/record.html", context)


@needs("view", "pairing.disturbance")
def disturbance(request: HttpRequest, pk: int) -> HttpResponse:
    ends = ("chassis__model", "chassis__item", "unit__model", "unit__item")
    row = get_object_or_404(Disturbance.objects.select_related(*ends), pk=pk)
    context = {"row": row, "kind": "disturbed", "caution": SAFETY, "changes": _changes(row)}
    return render(request, "pairing/record.html", context)


def _changes(row: Neutralization | Disturbance) -> list[Change]:
    """What the record said before, and who changed it; what is worked out from other columns is left out."""
    hidden = {"null found from them"}
    return [
        replace(change, fields=tuple(field for field in change.fields if field[0] not in hidden))
        for change in changes_of(row, limit=50)
    ]


def correct(
    request: HttpRequest, row: Any, record: Any, form_class: Any, heading: str, page: str, **context: Any
) -> HttpResponse:
    """The page that corrects a record: with a reason, and only as it was seen. ``page``: where it stands."""

    def save(form: Any) -> tuple[str, str]:
        more = {"with_null": form.cleaned_data["its_null"]} if "its_null" in form.fields else {}
        record(form.save(commit=False), today=timezone.localdate(), by=request.user, reason=reason_in(form), **more)
        return "The record is corrected; what it said before stays on record.", page

    return correct_page(
        request, row, lambda data: form_class(data, instance=row), save,
        heading=heading, act="Correct", back=page, **context,
    )  # fmt: skip


def _correct_pair(request: HttpRequest, row: Any, record: Any, form_class: Any, what: str) -> HttpResponse:
    page = reverse(f"pairing:{what}", args=[row.pk])
    return correct(request, row, record, form_class, f"Correct a {what}", page, caution=SAFETY)


@needs("change", "pairing.neutralization")
def neutralization_correct(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Neutralization, pk=pk)
    return _correct_pair(request, row, record_neutralization, NeutralizationForm, "neutralization")


@needs("add", "pairing.disturbance")
def disturb(request: HttpRequest) -> HttpResponse:
    def save(form: Any) -> tuple[str, str]:
        row = record_disturbance(form.save(commit=False), today=timezone.localdate(), by=request.user)
        thing: Any = row.unit or row.chassis
        return f"{row.get_cause_display()} recorded, {row.on}.", thing.item.get_absolute_url()

    start = start_of_pair(request)
    return change_page(
        request, lambda data: DisturbanceForm(data, initial=start), save,
        heading="Record a disturbance", act="Record", back=_back(*_named(request)), caution=SAFETY,
    )  # fmt: skip


@needs("change", "pairing.disturbance")
def disturbance_correct(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Disturbance, pk=pk)
    return _correct_pair(request, row, record_disturbance, DisturbanceForm, "disturbance")


EVENTS: dict[str, Any] = {
    "neutralized": Neutralization,
    "disturbed": Disturbance,
    "compared": CompanionCheck,
    "on-air": OnAirRecord,
}
RECORDS = {"neutralized": "pairing:neutralization", "disturbed": "pairing:disturbance"}


def _page_of_record(kind: str, row: Any, thing: Any) -> str:
    """Where a record of the ledger can be read."""
    if kind in RECORDS:
        return reverse(RECORDS[kind], args=[row.pk])
    return reverse("pairing:on-air", args=[thing.tag]) if kind == "on-air" else thing.item.get_absolute_url()


@needs("change", "pairing.neutralization")
def event_strike(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    if kind not in EVENTS:
        raise Http404(kind)
    row = get_object_or_404(EVENTS[kind], pk=pk)
    thing = row.companion if kind == "compared" else row.chassis if kind == "on-air" else row.unit or row.chassis
    back = _page_of_record(kind, row, thing)
    heading = f"Strike out: {kind} {row.on}, {thing}"
    how: dict[str, Any] = (
        {"make": _strike_form(row), "strike": _strike_on_air(request, row)} if kind == "on-air" else {}
    )
    return strike_page(request, row, heading=heading, back=back, **how)


def _strike_form(row: OnAirRecord) -> Any:
    def make(data: Any) -> StrikeForm:
        form = StrikeForm(data)
        ask_its_null(form, row, TO_STRIKE)
        return form

    return make


def _strike_on_air(request: HttpRequest, row: OnAirRecord) -> Any:
    def strike(form: Any) -> None:
        cells = form.cleaned_data
        strike_on_air(row, cells["why"], by=request.user, with_null=cells.get("its_null", ""))

    return strike


@needs("view", "pairing.neutralization")
def ledger(request: HttpRequest, side: str, tag: str) -> HttpResponse:
    """The whole ledger of a chassis or a unit, with its time line."""
    if side not in ("chassis", "unit"):
        raise Http404(side)
    model: Any = Chassis if side == "chassis" else PlugInUnit
    thing = get_object_or_404(model.objects.select_related("model", "item"), item__tag__iexact=tag)
    of: dict[str, Any] = {side: thing}
    told = told_of(on=timezone.localdate(), **of)
    context = {"thing": thing, "side": side, "told": told, "page": sheet(request, told.lines)}  # type: ignore[arg-type]
    return render(request, "pairing/whole_ledger.html", context)
