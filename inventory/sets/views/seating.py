"""Plug-in units into bays and out again, their dates corrected."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone

from inventory.holdings.forms.alone import why_alone
from inventory.house.access import needs
from inventory.house.concerns import ties_between
from inventory.house.edit_pages import change_page, way_back
from inventory.sets.actions import MOVES_STAND, seat, unseat
from inventory.sets.forms import OutForm, SeatForm, SeatingForm
from inventory.sets.models import Bay, Seating
from inventory.sets.queries import chassis_here
from inventory.sets.queries.there import NOTHING
from inventory.sets.views.stays import BENCH_CAUTION, later_move, stay_correct


@needs("add", "sets.seating")
def unit_seat(request: HttpRequest, tag: str, pk: int) -> HttpResponse:
    chassis = get_object_or_404(chassis_here(), item__tag=tag)
    bay = get_object_or_404(Bay, pk=pk, set_model=chassis.model)

    back = way_back(request, chassis.get_absolute_url())

    def save(form: Any) -> tuple[str, str]:
        cells = form.cleaned_data
        seat(
            cells["unit"], chassis, bay, since=cells["since"], today=timezone.localdate(), by=request.user,
            until=cells["until"], seen=cells["seen"],
        )  # fmt: skip
        if cells["until"]:
            told = f"{cells['unit']} was in bay {bay.mark} from {cells['since']} to {cells['until']}: filled in."
            return f"{told} {MOVES_STAND}", back
        return f"{cells['unit']} is in bay {bay.mark}.", back

    current = Seating.objects.filter(chassis=chassis, bay=bay, until__isnull=True).select_related("unit__item").first()
    holds = current.unit.tag if current else NOTHING

    def make(data: Any) -> Any:
        start = {"since": timezone.localdate(), "unit": request.GET.get("unit", "")[:20]}
        return SeatForm(data, initial=start, set_model=chassis.model, mark=f"Bay {bay.mark}", holds=holds)

    return change_page(
        request, make, save, heading=f"{chassis}, bay {bay.mark}", act="Put in",
        back=back, caution=chassis.model.caution or BENCH_CAUTION,
    )  # fmt: skip


@needs("add", "sets.seating")
def unit_out(request: HttpRequest, pk: int) -> HttpResponse:
    seating = get_object_or_404(
        Seating.objects.select_related("unit__item", "unit__model", "chassis__model", "chassis__item", "bay"), pk=pk
    )

    tied = ties_between(seating.unit.item, seating.chassis.item)

    def make(data: Any) -> Any:
        form = OutForm(data, initial={"until": timezone.localdate()})
        del form.fields["until_at"]
        return why_alone(form, "; ".join(tied), needed=False)

    def save(form: Any) -> tuple[str, str]:
        cells = form.cleaned_data
        unseat(
            seating, until=cells["until"], place=cells["place"], today=timezone.localdate(), by=request.user,
            why=cells.get("why", ""),
        )  # fmt: skip
        later = later_move(seating.unit.item, cells["place"])
        return f"{seating.unit} is out of bay {seating.bay.mark}.{later}", seating.chassis.get_absolute_url()

    return change_page(
        request, make, save, heading=f"Take {seating.unit} out of {seating.chassis}", act="Take out",
        back=seating.chassis.get_absolute_url(),
        caution=" ".join([seating.chassis.model.caution or BENCH_CAUTION, *(f"Tied: {mate}." for mate in tied)]),
    )  # fmt: skip


@needs("change", "sets.seating")
def seating_correct(request: HttpRequest, pk: int) -> HttpResponse:
    rows = Seating.objects.select_related("unit__item", "unit__model", "chassis__model", "chassis__item", "bay")
    row = get_object_or_404(rows, pk=pk)
    return stay_correct(request, row, SeatingForm, f"Correct: {row.unit} in {row.chassis}")
