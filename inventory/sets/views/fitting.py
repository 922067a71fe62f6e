"""Tubes into positions and out again, their dates corrected."""

from typing import Any

from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone

from inventory.holdings.models import Tube
from inventory.house.access import needs
from inventory.house.concerns import claims_elsewhere, mates_of, minded_when_carried, undone_by_another_tube
from inventory.house.edit_pages import change_page, way_back
from inventory.sets.actions import MOVES_STAND, fit, take_out
from inventory.sets.forms import FitForm, FittingForm, OutForm
from inventory.sets.models import Fitting, Position
from inventory.sets.queries import chassis_here, open_fittings
from inventory.sets.queries.doubts import against_fitting
from inventory.sets.queries.in_position import stand_ins_in
from inventory.sets.queries.mercury import mercury_against
from inventory.sets.queries.substitutes import judged_before_fitting, tube_tagged
from inventory.sets.queries.there import NOTHING
from inventory.sets.views.stays import BENCH_CAUTION, later_move, stay_correct
from tubes.queries.judging import limits
from tubes.rules.mercury import handling


def _judged(position: Position, tube: Tube | None) -> dict[str, Any]:
    """What the judge says of the tube that is to be fitted, or why it cannot."""
    try:
        return {"judgement": judged_before_fitting(position, tube)}
    except ValueError as fault:
        return {"not_judged": str(fault)}


@needs("add", "sets.fitting")
def tube_fit(request: HttpRequest, tag: str, pk: int) -> HttpResponse:
    chassis = get_object_or_404(chassis_here(), item__tag=tag)
    position = get_object_or_404(Position.objects.select_related("type", "set_model"), pk=pk, set_model=chassis.model)
    current = open_fittings().filter(chassis=chassis, position=position).select_related("tube__item").first()
    its_page = chassis.get_absolute_url()
    back = way_back(request, its_page)

    def save(form: Any) -> tuple[str, str]:
        cells = form.cleaned_data
        said = {name: cells[name] for name in ("tube", "since", "since_at", "until", "until_at", "note")}
        names = ("replace", "old_tube_to", "other_type", "in_doubt", "claimed", "mercury_why", "seen")
        how = {name: cells[name] for name in names if name in cells}
        try:
            row = fit(
                Fitting(chassis=chassis, position=position, **said), today=timezone.localdate(), by=request.user, **how
            )
        except ValidationError as refusal:
            form.ask_too(refusal)
            raise
        if row.until:
            told = f"{row.tube.tag} was in {position.mark} from {row.since} to {row.until}: filled in. {MOVES_STAND}"
            return told, back
        where = "below" if back == its_page else "on the page of the set"
        look = f" Look {where} which pairs are due now." if position.neutralized else ""
        later = later_move(current.tube.item, cells["old_tube_to"]) if current and cells.get("replace") else ""
        return f"{row.tube.tag} fitted in {position.mark}.{later}{look}", back

    asked = request.POST.get("tube") or request.GET.get("tube", "")
    tube = tube_tagged(asked)
    start = {"tube": asked, "since": timezone.localdate(), "replace": current is not None}
    wants = f", wants {position.type}" if position.type else ""
    sits = stand_ins_in([chassis.pk]).get((chassis.pk, position.pk), ())
    there = [*([current.tube.tag] if current else []), *(one.name for one in sits)]
    heading = f"{chassis} {position.mark}{wants}" + (f"; holds {', '.join(there)}" if there else "; empty")
    holds = current.tube.tag if current else NOTHING
    doubt = against_fitting(tube) if tube else ""
    claims = claims_elsewhere(tube.item, chassis, position) if tube else []
    against = mercury_against(position, tube.type if tube else position.type)

    def make(data: Any) -> Any:
        form = FitForm(data, initial=start, mark=position.mark, holds=holds)
        for name, asks in (("in_doubt", doubt), ("claimed", claims), ("mercury_why", against)):
            if not asks:
                del form.fields[name]
        return form

    return change_page(
        request, make, save,
        heading=heading, act="Fit", back=back, caution=chassis.model.caution or BENCH_CAUTION,
        undone=undone_by_another_tube(chassis, position), template="sets/fit.html", **_judged(position, tube),
        mercury_against=against, mercury_handling=handling(limits()) if against else "",
        holds=current, mates=mates_of(tube.item) if tube else [], doubt=doubt, claims=claims, asked=tube,
        stand_ins=sits,
    )  # fmt: skip


@needs("add", "sets.fitting")
def tube_out(request: HttpRequest, pk: int) -> HttpResponse:
    fitting = get_object_or_404(
        Fitting.objects.select_related("tube__item", "chassis__model", "chassis__item", "position"), pk=pk
    )

    def save(form: Any) -> tuple[str, str]:
        cells = form.cleaned_data
        take_out(
            fitting, until=cells["until"], until_at=cells["until_at"], place=cells["place"],
            today=timezone.localdate(), by=request.user,
        )  # fmt: skip
        told = f"{fitting.tube.tag} is out of {fitting.position.mark}.{later_move(fitting.tube.item, cells['place'])}"
        return told, way_back(request, fitting.chassis.get_absolute_url())

    start = {"until": timezone.localdate()}
    return change_page(
        request, lambda data: OutForm(data, initial=start), save,
        heading=f"Take {fitting.tube.tag} out of {fitting.chassis} {fitting.position.mark}", act="Take out",
        back=way_back(request, fitting.chassis.get_absolute_url()),
        caution=f"{fitting.chassis.model.caution or BENCH_CAUTION} {minded_when_carried([fitting.tube.item])}".strip(),
    )  # fmt: skip


@needs("change", "sets.fitting")
def fitting_correct(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(
        Fitting.objects.select_related("tube__item", "chassis__model", "chassis__item", "position"), pk=pk
    )
    return stay_correct(request, row, FittingForm, f"Correct: {row.tube.tag} in {row.chassis} {row.position.mark}")
