"""Pages of the log: a chassis' runs and meters, hours of tubes."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone

from inventory.holdings.models import Tube
from inventory.house.access import needs
from inventory.house.edit_pages import change_page, person
from inventory.house.records.pages import ASKED, WELCOME, correct_page, reason_in, strike_page
from inventory.house.sheets import sheet
from inventory.house.writing import refuse
from inventory.running.actions import (
    change_meter,
    correct_hours,
    put_in_meter,
    record_reading,
    record_run,
    save_earlier_hours,
    save_meter,
)
from inventory.running.forms import (
    EarlierHoursForm,
    HoursCorrectionForm,
    MeterForm,
    MeterReadingForm,
    NewMeterForm,
    OtherMeterForm,
    RunForm,
)
from inventory.running.models import CareDone, EarlierHours, HoursCorrection, Meter, MeterReading, Run, TubeTest
from inventory.running.queries import chassis_log, log_rows, meter_readings, run_doubts, set_hours, tube_hours
from inventory.running.wording.charts import hours_chart, runs_chart
from inventory.sets.filters import ChassisFilter, OwnedTubeFilter
from inventory.sets.models import Chassis
from inventory.sets.queries import chassis_here, owned_tubes


def _chassis(tag: str) -> Chassis:
    return get_object_or_404(Chassis.objects.select_related("model", "item__place"), item__tag__iexact=tag)


def _log_of(chassis: Chassis) -> str:
    return reverse("running:chassis", args=[chassis.tag])


@needs("view", "running.run")
def chassis_page(request: HttpRequest, tag: str) -> HttpResponse:
    chassis = _chassis(tag)
    today = timezone.localdate()
    found = chassis_log(chassis, today)
    context = {
        "chassis": chassis,
        "item": chassis.item,
        "found": found,
        "chart": hours_chart(found),
        "run_chart": runs_chart(found),
        "page": sheet(request, log_rows(chassis), size=20),
        "readings": sheet(request, meter_readings(chassis), size=20, name="readings"),
    }
    return render(request, "running/chassis.html", context)


@needs("view", "running.run")
def chassis_list(request: HttpRequest) -> HttpResponse:
    found = ChassisFilter(request.GET, queryset=chassis_here())
    page = sheet(request, found.qs)
    context = {"filter": found, "page": page, "rows": set_hours(page.object_list, timezone.localdate())}
    return render(request, "running/chassis_list.html", context)


@needs("view", "running.run")
def hours_list(request: HttpRequest) -> HttpResponse:
    found = OwnedTubeFilter(request.GET, queryset=owned_tubes())
    page = sheet(request, found.qs)
    context = {"filter": found, "page": page, "rows": tube_hours(page.object_list, timezone.localdate())}
    return render(request, "running/hours_list.html", context)


def _entry_page(
    request: HttpRequest,
    row: Any,
    kind: Callable[..., Any],
    save: Callable[[Any], tuple[str, str]],
    heading: str,
    back: str,
) -> HttpResponse:
    """The page of one dated entry, new (it begins with today and the person) or to be corrected."""
    start = {} if row.pk else {"on": timezone.localdate(), "by_whom": person(request)}

    def make(data: Any) -> Any:
        return kind(data, instance=row, initial=start)

    return correct_page(request, row, make, save, why=ASKED, heading=heading, act="Record", back=back)


def _run_form(request: HttpRequest, row: Run, heading: str) -> HttpResponse:
    back = _log_of(row.chassis)

    def save(form: Any) -> tuple[str, str]:
        saved = record_run(form.save(commit=False), today=timezone.localdate(), by=request.user, reason=reason_in(form))
        for doubt in run_doubts(saved):
            messages.warning(request, doubt)
        return f"Run of {saved.on} written.", back

    return _entry_page(request, row, RunForm, save, heading, back)


@needs("add", "running.run")
def run_add(request: HttpRequest, tag: str) -> HttpResponse:
    chassis = _chassis(tag)
    return _run_form(request, Run(chassis=chassis), f"A run of {chassis}")


@needs("change", "running.run")
def run_correct(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Run.objects.select_related("chassis__model", "chassis__item"), pk=pk)
    return _run_form(request, row, f"Correct: run of {row.chassis}, {row.on}")


@needs("add", "running.meter")
def meter_add(request: HttpRequest, tag: str) -> HttpResponse:
    """The meter of a chassis, or another one in its place."""
    chassis = _chassis(tag)
    old = chassis.meters.filter(until__isnull=True).first()
    back = _log_of(chassis)
    start = {"since": timezone.localdate()}

    def make(data: Any) -> Any:
        kind = OtherMeterForm if old else NewMeterForm
        return kind(data, instance=Meter(chassis=chassis), initial=start)

    def save(form: Any) -> tuple[str, str]:
        cells, new, today = form.cleaned_data, form.save(commit=False), timezone.localdate()
        if old:
            change_meter(
                old, new, last_wheels=cells["last_wheels"], first_wheels=cells["first_wheels"], odd=cells["odd"],
                today=today, by=request.user,
            )  # fmt: skip
            return "The meter is changed. Hours run on from the old one to the new one.", back
        put_in_meter(new, first_wheels=cells["first_wheels"], today=today, by=request.user)
        return "The meter is written.", back

    heading = f"Another meter in {chassis}" if old else f"The elapsed-time meter of {chassis}"
    return change_page(request, make, save, heading=heading, act="Record", back=back, caution=chassis.model.caution)


@needs("change", "running.meter")
def meter_correct(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Meter.objects.select_related("chassis__model", "chassis__item"), pk=pk)
    back = _log_of(row.chassis)

    def save(form: Any) -> tuple[str, str]:
        save_meter(form.save(commit=False), today=timezone.localdate(), by=request.user, reason=reason_in(form))
        return "The meter is corrected.", back

    return correct_page(
        request, row, lambda data: MeterForm(data, instance=row), save, why=ASKED,
        heading=f"Correct: meter of {row.chassis}", back=back,
    )  # fmt: skip


def _reading_form(request: HttpRequest, row: MeterReading, heading: str) -> HttpResponse:
    back = _log_of(row.meter.chassis)

    def save(form: Any) -> tuple[str, str]:
        saved = record_reading(
            form.save(commit=False), today=timezone.localdate(), by=request.user, odd=form.cleaned_data["odd"],
            reason=reason_in(form),
        )  # fmt: skip
        return f"Meter reading {saved.wheels} of {saved.on} written.", back

    return _entry_page(request, row, MeterReadingForm, save, heading, back)


@needs("add", "running.meterreading")
def reading_add(request: HttpRequest, pk: int) -> HttpResponse:
    meter = get_object_or_404(Meter.objects.select_related("chassis__model", "chassis__item"), pk=pk)
    return _reading_form(request, MeterReading(meter=meter), f"Read the meter of {meter.chassis}")


@needs("change", "running.meterreading")
def reading_correct(request: HttpRequest, pk: int) -> HttpResponse:
    rows = MeterReading.objects.select_related("meter__chassis__model", "meter__chassis__item")
    row = get_object_or_404(rows, pk=pk)
    return _reading_form(request, row, f"Correct: meter of {row.meter.chassis}, {row.on}")


@needs("add", "running.earlierhours")
def earlier_hours(request: HttpRequest, tag: str) -> HttpResponse:
    """Hours before the tube came. A helper writes them once; a keeper changes them."""
    tube = get_object_or_404(Tube.objects.select_related("item"), item__tag__iexact=tag)
    row = EarlierHours.objects.filter(tube=tube).first() or EarlierHours(tube=tube)
    locked = row._state.adding is False and not request.user.has_perm("running.change_earlierhours")

    def save(form: Any) -> tuple[str, str]:
        if locked:
            raise refuse("standing", "These are written already; ask a keeper to change them.")
        saved = save_earlier_hours(form.save(commit=False), by=request.user, reason=reason_in(form))
        return f"{tube.tag}: earlier hours {saved.get_standing_display()}.", tube.item.get_absolute_url()

    return correct_page(
        request, row, lambda data: EarlierHoursForm(data, instance=row), save, why=WELCOME,
        heading=f"What {tube} had run before it came", back=tube.item.get_absolute_url(),
    )  # fmt: skip


def _correction_form(request: HttpRequest, row: HoursCorrection, heading: str) -> HttpResponse:
    back = row.tube.item.get_absolute_url()

    def save(form: Any) -> tuple[str, str]:
        saved = correct_hours(
            form.save(commit=False), today=timezone.localdate(), by=request.user, again=form.cleaned_data["again"],
            reason=reason_in(form),
        )  # fmt: skip
        return f"{row.tube.tag}: {saved.hours:+g} h, because: {saved.reason}", back

    return _entry_page(request, row, HoursCorrectionForm, save, heading, back)


@needs("add", "running.hourscorrection")
def hours_correct(request: HttpRequest, tag: str) -> HttpResponse:
    tube = get_object_or_404(Tube.objects.select_related("item"), item__tag__iexact=tag)
    return _correction_form(request, HoursCorrection(tube=tube), f"Correct the hours of {tube}")


@needs("change", "running.hourscorrection")
def hours_correction_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(HoursCorrection.objects.select_related("tube__item"), pk=pk)
    return _correction_form(request, row, f"Change a correction of {row.tube.tag}")


@dataclass(frozen=True)
class _Kind:
    """A kind of entry that can be struck out: its name, its model, what to fetch, whose it is, where to go back to."""

    words: str
    model: Any
    beside: tuple[str, ...]
    owner: Callable[[Any], Any]
    back: Callable[[Any], str]


def _of_tube(row: Any) -> Any:
    return row.tube.tag


def _tube_address(row: Any) -> str:
    return row.tube.item.get_absolute_url()


ENTRIES = {
    "run": _Kind("run", Run, ("chassis__model", "chassis__item"), lambda r: r.chassis, lambda r: _log_of(r.chassis)),
    "reading": _Kind(
        "meter reading", MeterReading, ("meter__chassis__model", "meter__chassis__item"),
        lambda r: r.meter.chassis, lambda r: _log_of(r.meter.chassis),
    ),
    "correction": _Kind("correction of hours", HoursCorrection, ("tube__item",), _of_tube, _tube_address),
    "test": _Kind("test", TubeTest, ("tube__item",), _of_tube, _tube_address),
    "care": _Kind("care", CareDone, ("item", "care"), lambda r: r.item, lambda r: reverse("running:schedules")),
}  # fmt: skip


@needs("change", "running.run")
def strike(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    if kind not in ENTRIES:
        raise Http404(kind)
    entry = ENTRIES[kind]
    row = get_object_or_404(entry.model.objects.select_related(*entry.beside), pk=pk)
    heading = f"Strike out: {entry.words} of {entry.owner(row)}, {row.on}"
    return strike_page(request, row, heading=heading, back=entry.back(row))
