"""A set going on the air: the bench sheet for a frequency, and the record of what the meters said."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone

from inventory.house.access import needs
from inventory.house.edit_pages import change_page, person
from inventory.house.history import changes_of
from inventory.house.sheets import sheet
from inventory.pairing.actions import record_on_air
from inventory.pairing.forms import ModulationForm, OnAirForm, OnAirRecordForm
from inventory.pairing.models import OnAirRecord
from inventory.pairing.queries import on_air, on_air_records, record_before, what_follows
from inventory.pairing.rules.modulated import Modulated, under_modulation
from inventory.pairing.rules.on_air_checks import modulation_index
from inventory.pairing.views.ledger import correct, likely
from inventory.pairing.wording.on_air_record import on_air_remarks, told_records
from inventory.sets.models import Chassis
from inventory.sets.queries.mercury import mercury_of

ON_AIR_CAUTION = (
    "High voltage and RF: nobody touches set, feeder or aerial while it is on; RF burns without a shock. Cover closed, "
    "interlocks in order, dummy load or licence and a clear frequency. Local codes and licensed practice come first."
)
SHOWN, TOLD = 12, 6  # records on a sheet, and how many of the latest with what the checks make of them


@needs("view", "pairing.neutralization")
def on_air_page(request: HttpRequest, tag: str) -> HttpResponse:
    chassis = get_object_or_404(Chassis.objects.select_related("model", "item__place"), item__tag=tag)
    form = OnAirForm(request.GET if "frequency" in request.GET else None)
    found = None
    if form.is_bound and form.is_valid():
        day = form.cleaned_data["on"] or timezone.localdate()
        found = on_air(chassis, form.cleaned_data["frequency"], day)
    records = on_air_records(chassis)
    page = sheet(request, records, size=SHOWN)
    counting = list(records.filter(struck=""))
    told = told_records(list(page.object_list), counting, TOLD)
    carrier, modulated = _modulation(request, counting)
    context = {
        "chassis": chassis,
        "form": form,
        "found": found,
        "mercury": found.mercury if found else mercury_of(chassis),
        "caution": ON_AIR_CAUTION,
        "page": page,
        "counting": counting,
        "told": told,
        "carrier": carrier,
        "modulated": modulated,
    }
    wrong = form.errors or (carrier.is_bound and carrier.errors)
    return render(request, "pairing/on_air.html", context, status=422 if wrong else 200)


def _modulation(request: HttpRequest, records: list[OnAirRecord]) -> tuple[ModulationForm, Modulated | None]:
    """The carrier form, begun with the latest power and load on record, and what modulation makes of it."""
    if "carrier_w" not in request.GET:
        last = next((record for record in records if record.output_w), None)
        start = {"carrier_w": last.output_w, "load_ohm": last.load_ohm} if last else {}
        return ModulationForm(initial=start), None
    form = ModulationForm(request.GET)
    if not form.is_valid():
        return form, None
    cells = form.cleaned_data
    try:
        if (percent := cells["percent"]) is not None:
            m = percent / 100
        else:
            m = modulation_index(cells["carrier_a"], cells["modulated_a"])
        return form, under_modulation(cells["carrier_w"], m, cells["load_ohm"])
    except ValueError as fault:
        form.add_error("modulated_a", f"{fault}.")
        return form, None


@needs("add", "pairing.onairrecord")
def on_air_add(request: HttpRequest, tag: str) -> HttpResponse:
    chassis = get_object_or_404(Chassis.objects.select_related("model", "item"), item__tag=tag)
    row, back = OnAirRecord(chassis=chassis), reverse("pairing:on-air", args=[tag])
    mercury = mercury_of(chassis)
    caution = f"{ON_AIR_CAUTION} {mercury.words}" if mercury else ON_AIR_CAUTION
    start = {"on": timezone.localdate(), "by_whom": person(request), "unit": likely(chassis, None)[1]}

    def save(form: Any) -> tuple[str, str]:
        today = timezone.localdate()
        saved = record_on_air(
            form.save(commit=False), today=today, by=request.user, setting=form.cleaned_data.get("setting", "")
        )
        remarks = sorted(on_air_remarks(saved, record_before(saved)), key=lambda remark: remark.agrees is not False)
        told = [f"{remark.text} ({remark.word})" for remark in remarks]
        return " ".join([f"On-air record of {saved.on} written.", *what_follows(saved, today), *told]), back

    return change_page(
        request, lambda data: OnAirRecordForm(data, instance=row, initial=start), save,
        heading=f"{chassis} on the air", act="Record", back=back, caution=caution,
    )  # fmt: skip


@needs("change", "pairing.onairrecord")
def on_air_correct(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(OnAirRecord.objects.select_related("chassis__model", "chassis__item"), pk=pk)
    return correct(
        request, row, record_on_air, OnAirRecordForm, f"Correct: {row.chassis} on the air, {row.on}",
        reverse("pairing:on-air", args=[row.chassis.tag]), caution=ON_AIR_CAUTION, changes=changes_of(row),
        template="pairing/on_air_correct.html",
    )  # fmt: skip
