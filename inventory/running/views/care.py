"""Pages of schedules: what is due, the rules, what was done, and the same for a calendar program."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone

from inventory.holdings.models import Item
from inventory.house.access import needs
from inventory.house.edit_pages import change_page, person
from inventory.house.records.pages import WELCOME, correct_page, reason_in
from inventory.house.sheets import sheet
from inventory.running.actions import record_care_done, save_care
from inventory.running.forms import CareDoneForm, CareForm
from inventory.running.models import Care, CareDone
from inventory.running.queries import calendar, calibrations_due, care_done, cares, dues

CAUTION = (
    "Oiling, conditioning and warming up mean going near live parts: supply off, discharged and proved dead before "
    "hands go in; mercury rectifiers upright, filament first, plate voltage only when the mercury has settled; stored "
    "transmitting tubes come up slowly. Local codes and licensed practice come first."
)


@needs("view", "running.care")
def schedules(request: HttpRequest) -> HttpResponse:
    today = timezone.localdate()
    lines = dues(today)
    context = {
        "dues": lines,
        "cautions": list(dict.fromkeys(line.due.caution for line in lines if line.due.caution)),
        "calibrations": calibrations_due(today),
        "cares": cares(),
        "page": sheet(request, care_done()),
        "caution": CAUTION,
        "today": today,
    }
    return render(request, "running/schedules.html", context)


@needs("view", "running.care")
def schedules_calendar(request: HttpRequest) -> HttpResponse:
    """The same as a file for a calendar program."""
    text = calendar(timezone.localdate(), timezone.now())
    answer = HttpResponse(text, content_type="text/calendar; charset=utf-8")
    answer["Content-Disposition"] = 'attachment; filename="filamentry.ics"'
    return answer


def _care_form(request: HttpRequest, row: Care, heading: str) -> HttpResponse:
    back = reverse("running:schedules")
    given = {name: request.GET[name] for name in ("item", "type", "work") if name in request.GET}
    start = {} if row.pk else {"since": timezone.localdate(), **given}

    def save(form: Any) -> tuple[str, str]:
        saved = save_care(form.save(commit=False), today=timezone.localdate(), by=request.user, reason=reason_in(form))
        return f"{saved.get_work_display()}: written.", back

    return correct_page(
        request, row, lambda data: CareForm(data, instance=row, initial=start), save, why=WELCOME,
        heading=heading, back=back,
    )  # fmt: skip


@needs("add", "running.care")
def care_add(request: HttpRequest) -> HttpResponse:
    return _care_form(request, Care(), "Something to be done again and again")


@needs("change", "running.care")
def care_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Care.objects.select_related("item", "type"), pk=pk)
    return _care_form(request, row, f"Change: {row.get_work_display()}")


@needs("add", "running.caredone")
def care_done_add(request: HttpRequest, pk: int) -> HttpResponse:
    care = get_object_or_404(Care.objects.select_related("item", "type"), pk=pk)
    item = care.item or Item.objects.filter(tag=request.GET.get("item", "")[:20]).first()
    back = reverse("running:schedules")

    def make(data: Any) -> Any:
        start = {"item": item, "on": timezone.localdate(), "by_whom": person(request)}
        return CareDoneForm(data, instance=CareDone(care=care), initial=start)

    def save(form: Any) -> tuple[str, str]:
        saved = record_care_done(form.save(commit=False), today=timezone.localdate(), by=request.user)
        return f"{saved.item}: {care.get_work_display()}, {saved.on}.", back

    heading = f"Done: {care.get_work_display()}{f', {care.words}' if care.words else ''}"
    return change_page(request, make, save, heading=heading, act="Record", back=back, caution=CAUTION)
